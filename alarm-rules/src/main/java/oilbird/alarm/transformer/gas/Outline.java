package oilbird.alarm.transformer.gas;

import java.util.ArrayList;
import java.util.List;

/**
 * The zones of a figure as they are drawn, for pictures; what decides a sample's zone are {@link Triangle#zone} and
 * {@link Pentagon#zone}, and a test holds that both agree.
 *
 * @param zone a zone may have more than one outline.
 * @param corners of a triangle: percent of the three gases in the order of its corners; of a pentagon: x and y.
 */
public record Outline(Zone zone, List<List<Double>> corners) {
    public Outline {
        corners = corners.stream().map(List::copyOf).toList();
    }

    /**
     * Polygons of triangles 1, 4 and 5 (IEEE C57.104-2019 Annex D by several public copies; confidence A), standing
     * reading of the disputed cells.
     */
    public static List<Outline> of(Triangle triangle) {
        return switch (triangle) {
            case ONE -> TRIANGLE_1;
            case FOUR -> TRIANGLE_4;
            case FIVE -> TRIANGLE_5;
        };
    }

    /** The regions of a pentagon, by the choices for its disputed corners. */
    public static List<Outline> of(Pentagon pentagon, Choices choices) {
        return pentagon.outlines(choices);
    }

    private static Outline outline(Zone zone, double... percent) {
        List<List<Double>> corners = new ArrayList<>();
        for (int i = 0; i < percent.length; i += 3) {
            corners.add(List.of(percent[i], percent[i + 1], percent[i + 2]));
        }
        return new Outline(zone, corners);
    }

    // CH4, C2H4, C2H2.
    private static final List<Outline> TRIANGLE_1 = List.of(
            outline(Zone.PD, 98, 2, 0, 100, 0, 0, 98, 0, 2),
            outline(Zone.T1, 96, 0, 4, 76, 20, 4, 80, 20, 0, 98, 2, 0, 98, 0, 2),
            outline(Zone.T2, 76, 20, 4, 46, 50, 4, 50, 50, 0, 80, 20, 0),
            outline(Zone.T3, 0, 85, 15, 0, 100, 0, 50, 50, 0, 35, 50, 15),
            outline(Zone.D1, 0, 0, 100, 0, 23, 77, 64, 23, 13, 87, 0, 13),
            outline(Zone.D2, 0, 23, 77, 0, 71, 29, 31, 40, 29, 47, 40, 13, 64, 23, 13),
            outline(Zone.DT, 0, 71, 29, 0, 85, 15, 35, 50, 15, 46, 50, 4, 96, 0, 4, 87, 0, 13, 47, 40, 13, 31, 40, 29));

    // H2, CH4, C2H6.
    private static final List<Outline> TRIANGLE_4 = List.of(
            outline(Zone.PD, 98, 2, 0, 97, 2, 1, 84, 15, 1, 85, 15, 0),
            outline(
                    Zone.S, 100, 0, 0, 98, 2, 0, 97, 2, 1, 84, 15, 1, 85, 15, 0, 64, 36, 0, 40, 36, 24, 15, 61, 24, 15,
                    55, 30, 9, 61, 30, 9, 45, 46, 54, 0, 46),
            outline(Zone.C, 64, 36, 0, 40, 36, 24, 15, 61, 24, 15, 55, 30, 0, 70, 30, 0, 100, 0),
            outline(Zone.O, 9, 61, 30, 0, 70, 30, 0, 0, 100, 9, 0, 91),
            outline(Zone.ND, 54, 0, 46, 9, 45, 46, 9, 0, 91));

    // CH4, C2H4, C2H6.
    private static final List<Outline> TRIANGLE_5 = List.of(
            outline(Zone.PD, 98, 0, 2, 97, 1, 2, 85, 1, 14, 86, 0, 14),
            outline(Zone.O, 100, 0, 0, 90, 10, 0, 76, 10, 14, 85, 1, 14, 97, 1, 2, 98, 0, 2),
            outline(Zone.O, 46, 0, 54, 36, 10, 54, 0, 10, 90, 0, 0, 100),
            outline(Zone.S, 86, 0, 14, 76, 10, 14, 36, 10, 54, 46, 0, 54),
            outline(Zone.T2, 90, 10, 0, 65, 35, 0, 53, 35, 12, 78, 10, 12),
            outline(Zone.C, 78, 10, 12, 38, 50, 12, 36, 50, 14, 16, 70, 14, 0, 70, 30, 60, 10, 30),
            outline(Zone.ND, 60, 10, 30, 35, 35, 30, 0, 35, 65, 0, 10, 90),
            outline(
                    Zone.T3, 65, 35, 0, 0, 100, 0, 0, 35, 65, 35, 35, 30, 0, 70, 30, 16, 70, 14, 36, 50, 14, 38, 50, 12,
                    53, 35, 12));
}
