package oilbird.alarm.transformer.gas;

import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * Pentagons 1 and 2 (Duval and Lamarre, IEEE EIM 30(6) 2014; confidence A). The five hydrocarbon and hydrogen
 * percentages are laid on axes at 90 (H2), 18 (C2H2), 306 (C2H4), 234 (CH4) and 162 degrees (C2H6), and the
 * area centroid of their polygon is the point. Inputs in one volume unit, not negative. Mineral oil only. With
 * nearly one gas the area vanishes and the point hangs on traces: see {@link #degenerate}.
 */
public enum Pentagon {
    ONE,
    TWO;

    /** A point of the figure, in percent from its centre. */
    public record Point(double x, double y) {}

    // Axes in the order H2, C2H6, CH4, C2H4, C2H2, which runs counter-clockwise from the top.
    private static final double SIN_18 = 0.30901699437494745;
    private static final double COS_18 = 0.9510565162951535;
    private static final double SIN_54 = 0.8090169943749475;
    private static final double COS_54 = 0.5877852522924731;
    private static final double[] AXIS_X = {0, -COS_18, -COS_54, COS_54, COS_18};
    private static final double[] AXIS_Y = {1, SIN_18, -SIN_54, -SIN_54, SIN_18};

    private record Region(Zone zone, double[] x, double[] y) {}

    private static final Map<Pentagon, Region[][]> REGIONS = new EnumMap<>(Pentagon.class);

    static {
        for (Pentagon pentagon : values()) {
            Region[][] readings = new Region[4][];
            for (int reading = 0; reading < readings.length; reading++) {
                double cornerD1 = (reading & 1) == 0 ? 12.4 : 12;
                double cornerT1 = (reading & 2) == 0 ? 3.1 : 3.0;
                readings[reading] = regions(pentagon, cornerD1, cornerT1);
            }
            REGIONS.put(pentagon, readings);
        }
    }

    private static Region[] regions(Pentagon pentagon, double cornerD1, double cornerT1) {
        Region pd = region(Zone.PD, 0, 33, -1, 33, -1, 24.5, 0, 24.5);
        Region d1 = region(Zone.D1, 0, 40, 38, cornerD1, 32, -6.1, 4, 16, 0, 1.5);
        Region d2 = region(Zone.D2, 4, 16, 32, -6.1, 24.3, -30, 0, -3, 0, 1.5);
        Region s = region(Zone.S, 0, 1.5, -35, cornerT1, -38, 12.4, 0, 40, 0, 33, -1, 33, -1, 24.5, 0, 24.5);
        if (pentagon == ONE) {
            return new Region[] {
                pd,
                d1,
                d2,
                region(Zone.T3, 0, -3, 24.3, -30, 23.5, -32.4, 1, -32.4, -6, -4),
                region(Zone.T2, -6, -4, 1, -32.4, -22.5, -32.4),
                region(Zone.T1, -6, -4, -22.5, -32.4, -23.5, -32.4, -35, cornerT1, 0, 1.5, 0, -3),
                s
            };
        }
        return new Region[] {
            pd,
            d1,
            d2,
            s,
            region(Zone.T3_H, 0, -3, 24.3, -30, 23.5, -32.4, 2.5, -32.4, -3.5, -3),
            region(Zone.C, -3.5, -3, 2.5, -32.4, -21.5, -32.4, -11, -8),
            region(Zone.O, -3.5, -3, -11, -8, -21.5, -32.4, -23.5, -32.4, -35, cornerT1, 0, 1.5, 0, -3)
        };
    }

    private static Region region(Zone zone, double... corners) {
        double[] x = new double[corners.length / 2];
        double[] y = new double[corners.length / 2];
        for (int i = 0; i < x.length; i++) {
            x[i] = corners[2 * i];
            y[i] = corners[2 * i + 1];
        }
        return new Region(zone, x, y);
    }

    /** The area centroid of the five gases, or null when they span no area. */
    public static @Nullable Point centroid(double h2, double ch4, double c2h6, double c2h4, double c2h2) {
        double sum = h2 + ch4 + c2h6 + c2h4 + c2h2;
        if (!(sum > 0)) {
            return null;
        }
        double[] radius = {h2, c2h6, ch4, c2h4, c2h2};
        double area2 = 0;
        double momentX = 0;
        double momentY = 0;
        for (int i = 0; i < 5; i++) {
            int next = i == 4 ? 0 : i + 1;
            double p = 100 * radius[i] / sum;
            double q = 100 * radius[next] / sum;
            double x0 = p * AXIS_X[i];
            double y0 = p * AXIS_Y[i];
            double x1 = q * AXIS_X[next];
            double y1 = q * AXIS_Y[next];
            double cross = x0 * y1 - x1 * y0;
            area2 += cross;
            momentX += (x0 + x1) * cross;
            momentY += (y0 + y1) * cross;
        }
        // One gas alone, or two on axes that are not neighbours, span nothing.
        return area2 > 1e-12 ? new Point(momentX / (3 * area2), momentY / (3 * area2)) : null;
    }

    /**
     * Whether one gas holds four fifths of the sum and yet spans less than half of the polygon's area, because
     * both gases on the neighbouring axes are traces: the point then says nothing about the main gas.
     */
    public static boolean degenerate(double h2, double ch4, double c2h6, double c2h4, double c2h2) {
        double[] radius = {h2, c2h6, ch4, c2h4, c2h2};
        double sum = 0;
        double cross = 0;
        int main = 0;
        for (int i = 0; i < 5; i++) {
            sum += radius[i];
            cross += radius[i] * radius[i == 4 ? 0 : i + 1];
            main = radius[i] > radius[main] ? i : main;
        }
        double own = radius[main] * (radius[(main + 1) % 5] + radius[(main + 4) % 5]);
        return radius[main] >= 0.8 * sum && own < 0.5 * cross || !(cross > 0);
    }

    /** The zone of a point. A point in a sliver at the outer edge, which has no zone, gets the nearest one. */
    public Zone zone(Point point, Choices choices) {
        Region[] regions = regions(choices);
        for (Region region : regions) {
            if (contains(region, point)) {
                return region.zone();
            }
        }
        Zone nearest = regions[0].zone();
        double least = Double.POSITIVE_INFINITY;
        for (Region region : regions) {
            double distance = squareDistance(region, point);
            if (distance < least) {
                least = distance;
                nearest = region.zone();
            }
        }
        return nearest;
    }

    /** Whether the point lies in a zone as drawn, and not in a sliver between the zones and the edge. */
    public boolean insideAZone(Point point, Choices choices) {
        for (Region region : regions(choices)) {
            if (contains(region, point)) {
                return true;
            }
        }
        return false;
    }

    /** The regions as drawn. */
    List<Outline> outlines(Choices choices) {
        List<Outline> outlines = new ArrayList<>();
        for (Region region : regions(choices)) {
            List<List<Double>> corners = new ArrayList<>();
            for (int i = 0; i < region.x().length; i++) {
                corners.add(List.of(region.x()[i], region.y()[i]));
            }
            outlines.add(new Outline(region.zone(), corners));
        }
        return outlines;
    }

    private Region[] regions(Choices choices) {
        int reading = (choices.alternative(DisputedCell.PENTAGON_D1_CORNER) ? 1 : 0)
                | (choices.alternative(DisputedCell.PENTAGON_T1_CORNER) ? 2 : 0);
        Region[][] readings = REGIONS.get(this);
        if (readings == null) {
            throw new IllegalStateException("no zones for pentagon " + this);
        }
        return readings[reading];
    }

    private static boolean contains(Region region, Point point) {
        double[] x = region.x();
        double[] y = region.y();
        boolean inside = false;
        for (int i = 0, j = x.length - 1; i < x.length; j = i++) {
            if (y[i] > point.y() != y[j] > point.y()
                    && point.x() < (x[j] - x[i]) * (point.y() - y[i]) / (y[j] - y[i]) + x[i]) {
                inside = !inside;
            }
        }
        return inside;
    }

    private static double squareDistance(Region region, Point point) {
        double[] x = region.x();
        double[] y = region.y();
        double least = Double.POSITIVE_INFINITY;
        for (int i = 0, j = x.length - 1; i < x.length; j = i++) {
            double ux = x[i] - x[j];
            double uy = y[i] - y[j];
            double along = ((point.x() - x[j]) * ux + (point.y() - y[j]) * uy) / (ux * ux + uy * uy);
            double t = Math.max(0, Math.min(1, along));
            double dx = point.x() - x[j] - t * ux;
            double dy = point.y() - y[j] - t * uy;
            least = Math.min(least, dx * dx + dy * dy);
        }
        return least;
    }
}
