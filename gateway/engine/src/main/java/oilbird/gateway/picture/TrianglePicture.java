package oilbird.gateway.picture;

import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.Outline;
import oilbird.alarm.transformer.gas.Triangle;
import oilbird.alarm.transformer.gas.Zone;
import org.jspecify.annotations.Nullable;

/** A triangle with its zones, axes in percent, and the way of the last samples. */
final class TrianglePicture {
    private static final double WIDTH = 480;
    private static final double SIDE = 352;
    private static final double LEFT = 64;
    private static final double TOP = 100;
    private static final double HEIGHT = SIDE * 0.8660254037844386;
    private static final List<Gas> ORDER = List.of(Gas.H2, Gas.CH4, Gas.C2H6, Gas.C2H4, Gas.C2H2);

    private TrianglePicture() {}

    static String draw(Triangle triangle, String asset, TransformerPicture transformer) {
        int a = ORDER.indexOf(triangle.first());
        int b = ORDER.indexOf(triangle.second());
        int c = ORDER.indexOf(triangle.third());
        GasTrail trail = new GasTrail(transformer, g -> place(g[a], g[b], g[c]));
        String number = triangle == Triangle.ONE ? "1" : triangle == Triangle.FOUR ? "4" : "5";
        String nothing = trail.nothingToRead();
        String says = nothing.isEmpty()
                ? says(triangle, trail.newest, transformer.setup().choices())
                : nothing;
        double total = TOP + HEIGHT + 82 + 18 * zones(triangle).size();
        Svg svg = new Svg(WIDTH, total, asset + ": triangle " + number, says);
        svg.head(asset + ": triangle " + number, says);
        zones(svg, triangle);
        axes(svg, triangle);
        trail.draw(svg);
        GasTrail.key(svg, 16, TOP + HEIGHT + 62);
        legend(svg, triangle, TOP + HEIGHT + 86);
        return svg.done();
    }

    private static String says(Triangle triangle, @Nullable GasSample newest, Choices choices) {
        if (newest == null) {
            return "No gas analysis yet.";
        }
        for (Gas gas : List.of(triangle.first(), triangle.second(), triangle.third())) {
            if (newest.of(gas) == null) {
                return "Cannot be told: " + gas.words() + " is not known.";
            }
        }
        Zone zone = triangle.zone(
                ppm(newest, triangle.first()), ppm(newest, triangle.second()), ppm(newest, triangle.third()), choices);
        String when = Times.minute(newest.at());
        String turn = turn(triangle, newest, choices);
        if (!turn.isEmpty()) {
            return turn;
        }
        return zone == Zone.NONE
                ? "Newest sample, " + when + ": none of its gases above detection."
                : "Newest sample, " + when + ": " + GasTrail.zoneWords(zone) + ".";
    }

    /** Triangle 1 comes first; why this one is not to be read after it, or nothing. */
    private static String turn(Triangle triangle, GasSample newest, Choices choices) {
        if (triangle == Triangle.ONE) {
            return "";
        }
        for (Gas gas : List.of(Gas.CH4, Gas.C2H4, Gas.C2H2)) {
            if (newest.of(gas) == null) {
                return "Not to be read: triangle 1, which comes first, lacks " + gas.words() + ".";
            }
        }
        Zone first = Triangle.ONE.zone(ppm(newest, Gas.CH4), ppm(newest, Gas.C2H4), ppm(newest, Gas.C2H2), choices);
        List<Zone> after = triangle == Triangle.FOUR ? List.of(Zone.PD, Zone.T1, Zone.T2) : List.of(Zone.T2, Zone.T3);
        return after.contains(first)
                ? ""
                : "Not to be read for the newest sample, " + Times.minute(newest.at())
                        + ": triangle 1, which comes first, gives " + GasTrail.zoneWords(first) + ".";
    }

    private static double ppm(GasSample sample, Gas gas) {
        Concentration known = sample.of(gas);
        return known == null ? 0 : known.nominalPpm();
    }

    /** Top corner is 100 % of the first gas, right corner of the second, left corner of the third. */
    private static double @Nullable [] place(double a, double b, double c) {
        double sum = a + b + c;
        if (!(sum > 0)) {
            return null;
        }
        return at(100 * a / sum, 100 * b / sum);
    }

    private static double[] at(double first, double second) {
        return new double[] {LEFT + SIDE * (second + first / 2) / 100, TOP + HEIGHT * (1 - first / 100)};
    }

    private static Set<Zone> zones(Triangle triangle) {
        Set<Zone> zones = new LinkedHashSet<>();
        Outline.of(triangle).forEach(o -> zones.add(o.zone()));
        return zones;
    }

    private static void zones(Svg svg, Triangle triangle) {
        List<Outline> outlines = Outline.of(triangle);
        Shapes.tinted(svg, outlines.stream().map(TrianglePicture::corners).toList());
        for (Outline outline : outlines) {
            List<double[]> corners = corners(outline);
            double[] middle = Shapes.middle(corners);
            if (Shapes.area(corners) > 500) {
                svg.text(middle[0], middle[1] + 5, "middle", outline.zone().name(), "font-weight", "600");
            } else {
                // Too narrow for its name: the name stands outside, with a line to it.
                double[] outside = outside(middle);
                svg.line(middle[0], middle[1], outside[0], outside[1], "stroke", Svg.INK, "stroke-width", "0.8");
                svg.label(
                        outside[0] + (outside[0] > middle[0] ? 4 : -4),
                        outside[1] + 4,
                        outside[0] > middle[0] ? "start" : "end",
                        outline.zone().name(),
                        "font-weight",
                        "600");
            }
        }
    }

    private static double[] outside(double[] middle) {
        boolean right = middle[0] >= LEFT + SIDE / 2;
        return new double[] {middle[0] + (right ? 44 : -44), middle[1] - 14};
    }

    private static List<double[]> corners(Outline outline) {
        List<double[]> corners = new ArrayList<>();
        outline.corners().forEach(p -> corners.add(at(p.get(0), p.get(1))));
        return corners;
    }

    private static void axes(Svg svg, Triangle triangle) {
        for (int percent = 20; percent < 100; percent += 20) {
            double[] left = at(percent, 0);
            svg.line(left[0] - 5, left[1], left[0], left[1], "stroke", Svg.INK);
            svg.text(left[0] - 8, left[1] + 4, "end", String.valueOf(percent), "font-size", "12");
            double[] right = at(100 - percent, percent);
            svg.line(right[0], right[1], right[0] + 3, right[1] - 5, "stroke", Svg.INK);
            svg.text(right[0] + 6, right[1] - 5, "start", String.valueOf(percent), "font-size", "12");
            double[] bottom = at(0, 100 - percent);
            svg.line(bottom[0], bottom[1], bottom[0] + 3, bottom[1] + 5, "stroke", Svg.INK);
            svg.text(bottom[0] + 4, bottom[1] + 17, "middle", String.valueOf(percent), "font-size", "12");
        }
        svg.text(LEFT + SIDE / 2, TOP - 8, "middle", name(triangle.first()) + " 100 %", "font-size", "13");
        svg.text(LEFT + SIDE + 8, TOP + HEIGHT + 36, "end", name(triangle.second()) + " 100 %", "font-size", "13");
        svg.text(LEFT - 44, TOP + HEIGHT + 36, "start", name(triangle.third()) + " 100 %", "font-size", "13");
    }

    private static String name(Gas gas) {
        return gas.name();
    }

    private static void legend(Svg svg, Triangle triangle, double y) {
        int i = 0;
        for (Zone zone : zones(triangle)) {
            svg.text(16, y + 18.0 * i, "start", GasTrail.zoneWords(zone), "font-size", "12", "fill", Svg.SOFT);
            i++;
        }
    }
}
