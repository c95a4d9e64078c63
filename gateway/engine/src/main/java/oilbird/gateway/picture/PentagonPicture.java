package oilbird.gateway.picture;

import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.Outline;
import oilbird.alarm.transformer.gas.Pentagon;
import oilbird.alarm.transformer.gas.Zone;
import org.jspecify.annotations.Nullable;

/** A pentagon with its zones, its five axes cut at 40 %, and the way of the last samples. */
final class PentagonPicture {
    private static final double WIDTH = 480;
    private static final double MIDDLE = 240;
    private static final double TOP = 106;
    private static final double SCALE = 3.9;
    private static final double CUT = 40;
    // Axes from the centre, degrees counter-clockwise from the right: H2 90, C2H6 162, CH4 234, C2H4 306, C2H2 18.
    private static final List<Gas> AXES = List.of(Gas.H2, Gas.C2H6, Gas.CH4, Gas.C2H4, Gas.C2H2);
    private static final double[] DEGREES = {90, 162, 234, 306, 18};
    private static final List<Gas> ORDER = List.of(Gas.H2, Gas.CH4, Gas.C2H6, Gas.C2H4, Gas.C2H2);

    private PentagonPicture() {}

    static String draw(Pentagon pentagon, String asset, TransformerPicture transformer) {
        Choices choices = transformer.setup().choices();
        GasTrail trail = new GasTrail(transformer, PentagonPicture::place);
        String number = pentagon == Pentagon.ONE ? "1" : "2";
        String nothing = trail.nothingToRead();
        String says = nothing.isEmpty() ? says(pentagon, trail.newest, choices) : nothing;
        List<Outline> outlines = Outline.of(pentagon, choices);
        double bottom = y(-CUT * 0.8090169943749475);
        Svg svg = new Svg(WIDTH, bottom + 68 + 18 * outlines.size(), asset + ": pentagon " + number, says);
        svg.head(asset + ": pentagon " + number, says);
        zones(svg, outlines);
        axes(svg);
        trail.draw(svg);
        GasTrail.key(svg, 16, bottom + 48);
        for (int i = 0; i < outlines.size(); i++) {
            svg.text(
                    16,
                    bottom + 72 + 18.0 * i,
                    "start",
                    GasTrail.zoneWords(outlines.get(i).zone()),
                    "font-size",
                    "12",
                    "fill",
                    Svg.SOFT);
        }
        return svg.done();
    }

    private static String says(Pentagon pentagon, @Nullable GasSample newest, Choices choices) {
        if (newest == null) {
            return "No gas analysis yet.";
        }
        double[] gases = new double[ORDER.size()];
        for (int i = 0; i < gases.length; i++) {
            Concentration known = newest.of(ORDER.get(i));
            if (known == null) {
                return "Cannot be told: " + ORDER.get(i).words() + " is not known.";
            }
            gases[i] = known.nominalPpm();
        }
        Pentagon.Point point = Pentagon.centroid(gases[0], gases[1], gases[2], gases[3], gases[4]);
        if (point == null || Pentagon.degenerate(gases[0], gases[1], gases[2], gases[3], gases[4])) {
            return "Cannot be told: the point hangs on traces beside one gas.";
        }
        Zone zone = pentagon.zone(point, choices);
        return "Newest sample, " + Times.minute(newest.at()) + ": " + GasTrail.zoneWords(zone) + ".";
    }

    private static double @Nullable [] place(double[] gases) {
        for (double gas : gases) {
            if (Double.isNaN(gas)) {
                return null;
            }
        }
        Pentagon.Point point = Pentagon.centroid(gases[0], gases[1], gases[2], gases[3], gases[4]);
        return point == null ? null : new double[] {x(point.x()), y(point.y())};
    }

    private static double x(double percent) {
        return MIDDLE + SCALE * percent;
    }

    private static double y(double percent) {
        return TOP + SCALE * (CUT - percent);
    }

    private static void zones(Svg svg, List<Outline> outlines) {
        Shapes.tinted(svg, outlines.stream().map(PentagonPicture::corners).toList());
        for (Outline outline : outlines) {
            List<double[]> corners = corners(outline);
            double[] middle = Shapes.middle(corners);
            String name = outline.zone() == Zone.T3_H ? "T3-H" : outline.zone().name();
            if (Shapes.area(corners) > 400) {
                // The zone S bends around the centre, which lies outside of it.
                double shift = outline.zone() == Zone.S ? -28 : 0;
                svg.text(middle[0] + shift, middle[1] + 5, "middle", name, "font-weight", "600");
            } else {
                svg.line(middle[0], middle[1], middle[0] - 74, middle[1] - 8, "stroke", Svg.INK, "stroke-width", "0.8");
                svg.label(middle[0] - 78, middle[1] - 4, "end", name, "font-weight", "600");
            }
        }
    }

    private static List<double[]> corners(Outline outline) {
        List<double[]> corners = new ArrayList<>();
        outline.corners().forEach(p -> corners.add(new double[] {x(p.get(0)), y(p.get(1))}));
        return corners;
    }

    private static void axes(Svg svg) {
        List<double[]> edge = new ArrayList<>();
        for (int i = 0; i < AXES.size(); i++) {
            double cos = Math.cos(Math.toRadians(DEGREES[i]));
            double sin = Math.sin(Math.toRadians(DEGREES[i]));
            edge.add(new double[] {x(CUT * cos), y(CUT * sin)});
            svg.line(
                    x(0),
                    y(0),
                    x(CUT * cos),
                    y(CUT * sin),
                    "stroke",
                    Svg.SOFT,
                    "stroke-width",
                    "0.8",
                    "stroke-dasharray",
                    "2 3");
            String anchor = Math.abs(cos) < 0.1 ? "middle" : cos > 0 ? "start" : "end";
            svg.label(
                    x((CUT + 2.5) * cos),
                    y((CUT + 2.5) * sin) + (sin < 0 ? 14 : 2),
                    anchor,
                    AXES.get(i).name() + " 40 %",
                    "font-size",
                    "13");
            for (int percent = 10; percent < CUT; percent += 10) {
                svg.circle(x(percent * cos), y(percent * sin), 1.6, "fill", Svg.SOFT);
            }
        }
        svg.polygon(edge, "fill", "none", "stroke", Svg.INK, "stroke-width", "1.6");
        svg.label(x(0) + 5, y(20) + 4, "start", "20", "font-size", "11", "fill", Svg.SOFT);
    }
}
