package oilbird.gateway.picture;

import java.util.List;

/** Zones of a plot as polygons, and what must be known of one to label it. */
final class Shapes {
    private Shapes() {}

    /** Draws neighbouring zones in tints that differ. */
    static void tinted(Svg svg, List<List<double[]>> zones) {
        for (int i = 0; i < zones.size(); i++) {
            svg.polygon(
                    zones.get(i),
                    "fill",
                    Svg.TINTS.get(i % Svg.TINTS.size()),
                    "stroke",
                    Svg.SOFT,
                    "stroke-width",
                    "1.2",
                    "stroke-linejoin",
                    "round");
        }
    }

    static double area(List<double[]> corners) {
        return Math.abs(signedArea(corners));
    }

    private static double signedArea(List<double[]> corners) {
        double twice = 0;
        for (int i = 0; i < corners.size(); i++) {
            double[] p = corners.get(i);
            double[] q = corners.get((i + 1) % corners.size());
            twice += p[0] * q[1] - q[0] * p[1];
        }
        return twice / 2;
    }

    /** The centre of its area. */
    static double[] middle(List<double[]> corners) {
        double area = signedArea(corners);
        double x = 0;
        double y = 0;
        for (int i = 0; i < corners.size(); i++) {
            double[] p = corners.get(i);
            double[] q = corners.get((i + 1) % corners.size());
            double cross = p[0] * q[1] - q[0] * p[1];
            x += (p[0] + q[0]) * cross;
            y += (p[1] + q[1]) * cross;
        }
        return new double[] {x / (6 * area), y / (6 * area)};
    }
}
