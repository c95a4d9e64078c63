package oilbird.alarm.transformer.gas;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Table;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/**
 * Triangles and pentagons against the published vertices (duval_zones.csv; IEEE C57.104-2019 Annex D, Duval and
 * Lamarre 2014; confidence A). The code has inequalities for the triangles, the file has polygons.
 */
class ZonesTest {
    private static final int STEPS = 500;

    private record Polygon(String zone, double[] x, double[] y) {
        boolean contains(double px, double py) {
            boolean inside = false;
            for (int i = 0, j = x.length - 1; i < x.length; j = i++) {
                if (y[i] > py != y[j] > py && px < (x[j] - x[i]) * (py - y[i]) / (y[j] - y[i]) + x[i]) {
                    inside = !inside;
                }
            }
            return inside;
        }

        double distance(double px, double py) {
            double least = Double.POSITIVE_INFINITY;
            for (int i = 0, j = x.length - 1; i < x.length; j = i++) {
                double ux = x[i] - x[j];
                double uy = y[i] - y[j];
                double t = Math.max(0, Math.min(1, ((px - x[j]) * ux + (py - y[j]) * uy) / (ux * ux + uy * uy)));
                double dx = px - x[j] - t * ux;
                double dy = py - y[j] - t * uy;
                least = Math.min(least, dx * dx + dy * dy);
            }
            return Math.sqrt(least);
        }
    }

    @ParameterizedTest
    @EnumSource(Triangle.class)
    void aTriangleGivesTheZoneOfThePublishedPolygonAtEveryPointOfAFineGrid(Triangle triangle) {
        List<Polygon> polygons = triangle(triangle);
        int checked = 0;
        int onAnEdge = 0;
        Map<String, Integer> seen = new LinkedHashMap<>();
        List<String> mismatches = new ArrayList<>();
        for (int i = 0; i <= STEPS; i++) {
            for (int j = 0; j <= STEPS - i; j++) {
                double a = 100.0 * i / STEPS;
                double b = 100.0 * j / STEPS;
                double c = 100.0 * (STEPS - i - j) / STEPS;
                String zone = triangle.zone(a, b, c, Choices.STANDING).name();
                double x = a + b / 2;
                double y = b * Math.sqrt(3) / 2;
                boolean allowed = false;
                int inner = 0;
                boolean innerIsOurs = true;
                for (Polygon polygon : polygons) {
                    boolean edge = polygon.distance(x, y) < 1e-9;
                    boolean inside = polygon.contains(x, y);
                    allowed |= (edge || inside) && polygon.zone().equals(zone);
                    if (inside && !edge) {
                        inner++;
                        innerIsOurs &= polygon.zone().equals(zone);
                    }
                }
                onAnEdge += inner == 0 ? 1 : 0;
                if (!allowed || inner > 1 || !innerIsOurs) {
                    mismatches.add("%s %s %s gives %s".formatted(a, b, c, zone));
                }
                seen.merge(zone, 1, Integer::sum);
                checked++;
            }
        }
        System.out.printf("triangle %s: %d points, %d on an edge, %s%n", triangle, checked, onAnEdge, seen);
        assertThat(mismatches).isEmpty();
        assertThat(checked).isGreaterThanOrEqualTo(100_000);
        // PD of triangles 4 and 5 is a sliver one percent wide, so an edge takes a fair share of a small zone.
        assertThat(onAnEdge).isLessThan(checked / 20);
        assertThat(seen.keySet()).containsExactlyInAnyOrderElementsOf(names(polygons));
    }

    @Test
    void theInequalitiesWrittenOutInTheReferenceGiveTheSameZones() {
        // The inequalities of the reference text, restated on their own, in the order in which they stand there. On
        // a bound the last bit of a percentage decides, so a point a rounding error beside it may speak too.
        List<String> mismatches = new ArrayList<>();
        int checked = 0;
        for (int i = 0; i <= STEPS; i++) {
            for (int j = 0; j <= STEPS - i; j++) {
                double a = 100.0 * i / STEPS;
                double b = 100.0 * j / STEPS;
                double c = 100.0 * (STEPS - i - j) / STEPS;
                for (Triangle triangle : Triangle.values()) {
                    Zone zone = triangle.zone(a, b, c, Choices.STANDING);
                    if (zone != reference(triangle, a, b, c) && !besideABound(triangle, a, b, c, zone)) {
                        mismatches.add("%s: %s %s %s gives %s".formatted(triangle, a, b, c, zone));
                    }
                    checked++;
                }
            }
        }
        assertThat(mismatches).isEmpty();
        assertThat(checked).isGreaterThanOrEqualTo(300_000);
    }

    private static boolean besideABound(Triangle triangle, double a, double b, double c, Zone zone) {
        for (double da : new double[] {0, -1e-9, 1e-9}) {
            for (double db : new double[] {0, -1e-9, 1e-9}) {
                if (reference(triangle, a + da, b + db, c - da - db) == zone) {
                    return true;
                }
            }
        }
        return false;
    }

    private static Zone reference(Triangle triangle, double a, double b, double c) {
        return switch (triangle) {
            case ONE -> reference1(a, b, c);
            case FOUR -> reference4(a, b, c);
            case FIVE -> reference5(b, c);
        };
    }

    private static Zone reference1(double ch4, double c2h4, double c2h2) {
        if (ch4 >= 98) return Zone.PD;
        if (c2h2 < 4 && c2h4 < 20) return Zone.T1;
        if (c2h2 < 4 && 20 <= c2h4 && c2h4 < 50) return Zone.T2;
        if (c2h2 < 15 && c2h4 >= 50) return Zone.T3;
        if (c2h2 >= 13 && c2h4 < 23) return Zone.D1;
        if (c2h2 >= 13 && 23 <= c2h4 && c2h4 < 40 || c2h2 >= 29 && c2h4 >= 40) return Zone.D2;
        return Zone.DT;
    }

    private static Zone reference4(double h2, double ch4, double c2h6) {
        if (2 <= ch4 && ch4 < 15 && c2h6 < 1) return Zone.PD;
        if (h2 < 9 && c2h6 >= 30) return Zone.O;
        if (ch4 >= 36 && c2h6 < 24 || h2 < 15 && 24 <= c2h6 && c2h6 < 30) return Zone.C;
        if (h2 >= 9 && c2h6 >= 46) return Zone.ND;
        return Zone.S;
    }

    private static Zone reference5(double c2h4, double c2h6) {
        if (c2h4 < 1 && 2 <= c2h6 && c2h6 < 14) return Zone.PD;
        if (c2h4 < 10 && (c2h6 < 14 || c2h6 >= 54)) return Zone.O;
        if (c2h4 < 10 && 14 <= c2h6 && c2h6 < 54) return Zone.S;
        if (10 <= c2h4 && c2h4 < 35 && c2h6 < 12) return Zone.T2;
        if (10 <= c2h4 && c2h4 < 35 && c2h6 >= 30) return Zone.ND;
        if (10 <= c2h4 && c2h4 < 50 && 12 <= c2h6 && c2h6 < 14) return Zone.C;
        if (10 <= c2h4 && c2h4 < 70 && 14 <= c2h6 && c2h6 < 30) return Zone.C;
        return Zone.T3;
    }

    @ParameterizedTest
    @EnumSource(Pentagon.class)
    void aPentagonGivesTheZoneOfThePublishedPolygonAndTheNearestInTheSlivers(Pentagon pentagon) {
        List<Polygon> polygons = pentagon(pentagon);
        int checked = 0;
        int slivers = 0;
        for (double x = -37.95; x < 38; x += 0.25) {
            for (double y = -32.35; y < 40; y += 0.25) {
                List<String> inside = new ArrayList<>();
                String nearest = "";
                double least = Double.POSITIVE_INFINITY;
                for (Polygon polygon : polygons) {
                    if (polygon.contains(x, y)) {
                        inside.add(polygon.zone());
                    }
                    if (polygon.distance(x, y) < least) {
                        least = polygon.distance(x, y);
                        nearest = polygon.zone();
                    }
                }
                if (least < 1e-6 || !inPentagon(x, y)) {
                    continue;
                }
                checked++;
                String zone = pentagon.zone(new Pentagon.Point(x, y), Choices.STANDING)
                        .name()
                        .replace('_', '-');
                if (inside.isEmpty()) {
                    slivers++;
                    assertThat(zone).isEqualTo(nearest);
                } else {
                    assertThat(inside).as("%s %s", x, y).containsExactly(zone);
                }
            }
        }
        System.out.printf("pentagon %s: %d points, %d in slivers without a zone%n", pentagon, checked, slivers);
        assertThat(checked).isGreaterThan(50_000);
        assertThat(slivers).isLessThan(checked / 500);
    }

    private static boolean inPentagon(double x, double y) {
        for (int i = 0; i < 5; i++) {
            double angle = Math.toRadians(54 + 72 * i);
            if (x * Math.cos(angle) + y * Math.sin(angle) > 40 * Math.cos(Math.toRadians(36))) {
                return false;
            }
        }
        return true;
    }

    @Test
    void theCentroidOfTheWorkedExampleIsThePublishedOne() {
        // Duval and Lamarre, IEEE EIM 30(6) 2014, Fig. 1: gases from one source, the centroid from memory.
        Pentagon.Point point = Pentagon.centroid(31, 192, 130, 31, 0);
        assertThat(point).isNotNull();
        if (point != null) {
            assertThat(point.x()).isCloseTo(-17.3, within(0.05));
            assertThat(point.y()).isCloseTo(-9.1, within(0.05));
            assertThat(Pentagon.ONE.zone(point, Choices.STANDING)).isEqualTo(Zone.T1);
            assertThat(Pentagon.TWO.zone(point, Choices.STANDING)).isEqualTo(Zone.O);
        }
    }

    @Test
    void aPointThatHangsOnTracesBesideOneGasIsCalledDegenerate() {
        // Hydrogen 183 with traces on both neighbouring axes lands in a thermal zone (computed in the reference).
        Pentagon.Point point = Pentagon.centroid(183, 6, 0.001, 5, 0.001);
        assertThat(point).isNotNull();
        if (point != null) {
            assertThat(point.x()).isCloseTo(-0.10, within(0.01));
            assertThat(point.y()).isCloseTo(-1.13, within(0.01));
        }
        assertThat(Pentagon.degenerate(183, 6, 0.001, 5, 0.001)).isTrue();
        assertThat(Pentagon.degenerate(33046, 619, 58, 2, 0)).isFalse();
        assertThat(Pentagon.degenerate(100, 0, 0, 0, 0)).isTrue();
        assertThat(Pentagon.centroid(100, 0, 0, 0, 0)).isNull();
        assertThat(Pentagon.centroid(0, 0, 0, 0, 0)).isNull();
    }

    @Test
    void theOtherReadingOfEachDisputedCornerOfAFigureMovesItsZone() {
        Choices c = Choices.STANDING.flipped(DisputedCell.TRIANGLE_4_C);
        assertThat(Triangle.FOUR.zone(40, 50, 10, Choices.STANDING)).isEqualTo(Zone.C);
        assertThat(Triangle.FOUR.zone(40, 50, 10, c)).isEqualTo(Zone.NONE);
        Choices o = Choices.STANDING.flipped(DisputedCell.TRIANGLE_5_O);
        assertThat(Triangle.FIVE.zone(94, 5, 1, Choices.STANDING)).isEqualTo(Zone.O);
        assertThat(Triangle.FIVE.zone(94, 5, 1, o)).isEqualTo(Zone.NONE);
        Choices ethane = Choices.STANDING.flipped(DisputedCell.TRIANGLE_5_ETHANE);
        assertThat(Triangle.FIVE.zone(80.5, 5, 14.5, Choices.STANDING)).isEqualTo(Zone.S);
        assertThat(Triangle.FIVE.zone(80.5, 5, 14.5, ethane)).isEqualTo(Zone.O);
        Pentagon.Point s = new Pentagon.Point(-30, 2.82);
        assertThat(Pentagon.ONE.zone(s, Choices.STANDING)).isEqualTo(Zone.T1);
        assertThat(Pentagon.ONE.zone(s, Choices.STANDING.flipped(DisputedCell.PENTAGON_T1_CORNER)))
                .isEqualTo(Zone.S);
    }

    private static List<Polygon> triangle(Triangle triangle) {
        String figure = switch (triangle) {
            case ONE -> "triangle1";
            case FOUR -> "triangle4";
            case FIVE -> "triangle5";
        };
        return polygons(figure, row -> {
            Map<String, Double> parts = new LinkedHashMap<>();
            for (String column : List.of("coord1", "coord2", "coord3")) {
                String[] part = Table.text(row, column).split("=", 2);
                parts.put(part[0], Double.valueOf(part[1]));
            }
            double first = parts.getOrDefault(triangle.first().name(), Double.NaN);
            double second = parts.getOrDefault(triangle.second().name(), Double.NaN);
            return new double[] {first + second / 2, second * Math.sqrt(3) / 2};
        });
    }

    private static List<Polygon> pentagon(Pentagon pentagon) {
        return polygons(pentagon == Pentagon.ONE ? "pentagon1" : "pentagon2", row -> new double[] {
            Double.parseDouble(Table.text(row, "coord1").substring(2)),
            Double.parseDouble(Table.text(row, "coord2").substring(2))
        });
    }

    private static List<Polygon> polygons(
            String figure, java.util.function.Function<Map<String, String>, double[]> corner) {
        Map<String, List<double[]>> corners = new LinkedHashMap<>();
        for (Map<String, String> row : Table.rows("duval_zones.csv")) {
            if (Table.text(row, "figure").equals(figure)) {
                corners.computeIfAbsent(Table.text(row, "zone"), zone -> new ArrayList<>())
                        .add(corner.apply(row));
            }
        }
        List<Polygon> polygons = new ArrayList<>();
        corners.forEach((zone, points) -> polygons.add(new Polygon(
                zone.replace("_upper", "").replace("_lower", ""),
                points.stream().mapToDouble(p -> p[0]).toArray(),
                points.stream().mapToDouble(p -> p[1]).toArray())));
        return polygons;
    }

    private static List<String> names(List<Polygon> polygons) {
        return polygons.stream().map(Polygon::zone).distinct().toList();
    }

    /** What pictures draw is what the published vertices say, and what decides the zone agrees with it above. */
    @ParameterizedTest
    @EnumSource(Triangle.class)
    void theOutlinesThatAreDrawnAreThePublishedOnes(Triangle triangle) {
        List<Polygon> published = triangle(triangle);
        List<Outline> drawn = Outline.of(triangle);
        assertThat(drawn).hasSameSizeAs(published);
        for (int i = 0; i < published.size(); i++) {
            Polygon polygon = published.get(i);
            Outline outline = drawn.get(i);
            assertThat(outline.zone().name()).isEqualTo(polygon.zone());
            assertThat(outline.corners()).hasSize(polygon.x().length);
            for (int corner = 0; corner < polygon.x().length; corner++) {
                List<Double> percent = outline.corners().get(corner);
                assertThat(percent.stream().mapToDouble(d -> d).sum()).isCloseTo(100, within(1e-9));
                assertThat(percent.get(0) + percent.get(1) / 2).isCloseTo(polygon.x()[corner], within(1e-9));
                assertThat(percent.get(1) * Math.sqrt(3) / 2).isCloseTo(polygon.y()[corner], within(1e-9));
            }
        }
    }

    @ParameterizedTest
    @EnumSource(Pentagon.class)
    void theOutlinesOfAPentagonAreThePublishedOnes(Pentagon pentagon) {
        Map<String, Polygon> published = new LinkedHashMap<>();
        pentagon(pentagon).forEach(p -> published.put(p.zone().replace('-', '_'), p));
        List<Outline> drawn = Outline.of(pentagon, Choices.STANDING);
        assertThat(drawn).hasSameSizeAs(published.keySet());
        for (Outline outline : drawn) {
            Polygon polygon = published.get(outline.zone().name());
            assertThat(polygon).as(outline.zone().name()).isNotNull();
            if (polygon != null) {
                assertThat(outline.corners())
                        .extracting(c -> c.get(0))
                        .containsExactlyInAnyOrderElementsOf(
                                Arrays.stream(polygon.x()).boxed().toList());
            }
        }
    }
}
