package oilbird.gateway.picture;

import java.io.StringWriter;
import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.List;
import javax.xml.stream.XMLOutputFactory;
import javax.xml.stream.XMLStreamException;
import javax.xml.stream.XMLStreamWriter;

/**
 * One picture being drawn: white ground, dark ink, text in one face. Escaping is the XML writer's of the JDK.
 * Coordinates grow to the right and downwards.
 */
final class Svg {
    /** Ink of lines and text; on white its contrast is above 12 to 1. */
    static final String INK = "#20282c";

    static final String SOFT = "#5b666c";
    static final String FAINT = "#c3cacd";
    static final String GROUND = "#ffffff";
    /** Tints of grounds, told apart by their labels and not by the tint. */
    static final List<String> TINTS =
            List.of("#f4f5f1", "#e7ebe8", "#dbe3e4", "#eef0ea", "#e1e6df", "#d5dedd", "#f0ede6");

    /** The colour of what is new or measured; in grey it is a dark line. */
    static final String NEW = "#0b4f6c";

    private static final int PLACES = 2;
    /** Characters of a line below the title. */
    private static final int LINE = 68;

    private final StringWriter text = new StringWriter();
    private final XMLStreamWriter xml;

    /**
     * @param title what it is, read out first.
     * @param description what it shows now, in words.
     */
    Svg(double width, double height, String title, String description) {
        try {
            xml = XMLOutputFactory.newFactory().createXMLStreamWriter(text);
            xml.writeStartElement("svg");
            xml.writeDefaultNamespace("http://www.w3.org/2000/svg");
            attribute("viewBox", "0 0 " + number(width) + " " + number(height));
            attribute("role", "img");
            attribute("aria-labelledby", "title description");
            attribute("font-family", "system-ui, 'DejaVu Sans', sans-serif");
            attribute("font-size", "14");
            attribute("fill", INK);
            open("title", "id", "title").words(title).close();
            open("desc", "id", "description").words(description).close();
            rectangle(0, 0, width, height, "fill", GROUND);
        } catch (XMLStreamException e) {
            throw new IllegalStateException(e);
        }
    }

    /** The finished document. */
    String done() {
        try {
            xml.writeEndElement();
            xml.close();
        } catch (XMLStreamException e) {
            throw new IllegalStateException(e);
        }
        return text.toString();
    }

    static String number(double value) {
        BigDecimal rounded =
                BigDecimal.valueOf(value).setScale(PLACES, RoundingMode.HALF_UP).stripTrailingZeros();
        return rounded.signum() == 0 ? "0" : rounded.toPlainString();
    }

    Svg open(String element, String... attributes) {
        try {
            xml.writeStartElement(element);
        } catch (XMLStreamException e) {
            throw new IllegalStateException(e);
        }
        attributes(attributes);
        return this;
    }

    Svg close() {
        try {
            xml.writeEndElement();
        } catch (XMLStreamException e) {
            throw new IllegalStateException(e);
        }
        return this;
    }

    private Svg words(String words) {
        try {
            xml.writeCharacters(words);
        } catch (XMLStreamException e) {
            throw new IllegalStateException(e);
        }
        return this;
    }

    private void attribute(String name, String value) {
        try {
            xml.writeAttribute(name, value);
        } catch (XMLStreamException e) {
            throw new IllegalStateException(e);
        }
    }

    private void attributes(String... pairs) {
        for (int i = 0; i < pairs.length; i += 2) {
            attribute(pairs[i], pairs[i + 1]);
        }
    }

    Svg text(double x, double y, String anchor, String words, String... attributes) {
        open("text", "x", number(x), "y", number(y), "text-anchor", anchor);
        attributes(attributes);
        return words(words).close();
    }

    /** Title and what the picture says now, in the lines that it needs; both are also the picture's name in words. */
    Svg head(String title, String says) {
        text(16, 26, "start", title, "font-size", "17", "font-weight", "600");
        open("text", "x", "16", "y", "46", "font-size", "12.5", "fill", SOFT);
        String rest = says;
        for (int line = 0; !rest.isEmpty(); line++) {
            int end = rest.length() <= LINE ? rest.length() : rest.lastIndexOf(' ', LINE) + 1;
            end = end <= 0 ? rest.length() : end;
            open("tspan", "x", "16", "dy", line == 0 ? "0" : "16");
            words(rest.substring(0, end)).close();
            rest = rest.substring(end);
        }
        return close();
    }

    /** Text with a halo in the colour of the ground, to stay readable over lines. */
    Svg label(double x, double y, String anchor, String words, String... attributes) {
        open(
                "text",
                "x",
                number(x),
                "y",
                number(y),
                "text-anchor",
                anchor,
                "paint-order",
                "stroke",
                "stroke",
                GROUND,
                "stroke-width",
                "4",
                "stroke-linejoin",
                "round");
        attributes(attributes);
        return words(words).close();
    }

    Svg line(double x1, double y1, double x2, double y2, String... attributes) {
        open("line", "x1", number(x1), "y1", number(y1), "x2", number(x2), "y2", number(y2));
        attributes(attributes);
        return close();
    }

    Svg rectangle(double x, double y, double width, double height, String... attributes) {
        open("rect", "x", number(x), "y", number(y), "width", number(width), "height", number(height));
        attributes(attributes);
        return close();
    }

    Svg circle(double x, double y, double radius, String... attributes) {
        open("circle", "cx", number(x), "cy", number(y), "r", number(radius));
        attributes(attributes);
        return close();
    }

    /** A square on its corner: what a laboratory says. */
    Svg diamond(double x, double y, double radius, String... attributes) {
        return polygon(
                List.of(
                        new double[] {x, y - radius},
                        new double[] {x + radius, y},
                        new double[] {x, y + radius},
                        new double[] {x - radius, y}),
                attributes);
    }

    Svg polygon(List<double[]> corners, String... attributes) {
        open("polygon", "points", points(corners));
        attributes(attributes);
        return close();
    }

    Svg polyline(List<double[]> corners, String... attributes) {
        open("polyline", "points", points(corners), "fill", "none");
        attributes(attributes);
        return close();
    }

    private static String points(List<double[]> corners) {
        StringBuilder points = new StringBuilder();
        for (double[] corner : corners) {
            points.append(points.isEmpty() ? "" : " ")
                    .append(number(corner[0]))
                    .append(',')
                    .append(number(corner[1]));
        }
        return points.toString();
    }
}
