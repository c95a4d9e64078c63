package oilbird.alarm.transformer.gas;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Table;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;

/** Worked examples that others published, each with its source and confidence in worked_examples.csv. */
class WorkedExamplesTest {
    @TestFactory
    List<DynamicTest> everyReproducibleExampleGivesThePublishedResult() {
        List<DynamicTest> tests = new ArrayList<>();
        for (Map<String, String> row : Table.rows("worked_examples.csv")) {
            if (Table.text(row, "agree").equals("yes")) {
                String name = Table.text(row, "id") + ", confidence " + Table.text(row, "confidence") + ": "
                        + Table.text(row, "source");
                tests.add(DynamicTest.dynamicTest(name, () -> check(row, Table.text(row, "published"))));
            }
        }
        assertThat(tests).hasSize(28);
        return tests;
    }

    @Test
    void theSixOthersAreNotReproducedForTheStatedReasonAndGiveWhatTheirGasesSay() {
        int listed = 0;
        for (Map<String, String> row : Table.rows("worked_examples.csv")) {
            if (Table.text(row, "agree").equals("NO")) {
                String reason = Table.text(row, "note").isEmpty()
                        ? "triangle 1 itself says otherwise than the inspection"
                        : Table.text(row, "note");
                System.out.printf(
                        "%s not reproduced, published %s, computed %s: %s%n",
                        Table.text(row, "id"), Table.text(row, "published"), Table.text(row, "recomputed"), reason);
                check(row, Table.text(row, "recomputed"));
                listed++;
            }
        }
        assertThat(listed).isEqualTo(6);
    }

    private static void check(Map<String, String> row, String expected) {
        double h2 = Table.number(row, "h2");
        double ch4 = Table.number(row, "ch4");
        double c2h2 = Table.number(row, "c2h2");
        double c2h4 = Table.number(row, "c2h4");
        double c2h6 = Table.number(row, "c2h6");
        String method = Table.text(row, "method");
        if (method.startsWith("pentagon percentages")) {
            double sum = h2 + ch4 + c2h2 + c2h4 + c2h6;
            assertThat("%.0f/%.0f/%.0f/%.0f/%.0f"
                            .formatted(
                                    Math.floor(100 * h2 / sum),
                                    Math.floor(100 * c2h6 / sum + 0.5),
                                    Math.floor(100 * ch4 / sum),
                                    Math.floor(100 * c2h4 / sum),
                                    100 * c2h2 / sum))
                    .isEqualTo(expected);
        } else if (method.equals("pentagon centroid")) {
            Pentagon.Point point = Pentagon.centroid(h2, ch4, c2h6, c2h4, c2h2);
            String[] xy = expected.split(",", 2);
            double tolerance = xy[0].length() > 5 ? 1e-4 : 0.05;
            assertThat(point).isNotNull();
            if (point != null) {
                assertThat(point.x()).isCloseTo(Double.parseDouble(xy[0]), within(tolerance));
                assertThat(point.y()).isCloseTo(Double.parseDouble(xy[1]), within(tolerance));
            }
        } else if (method.equals("three-ratio code")) {
            assertThat(ThreeRatioCode.of(h2, ch4, c2h6, c2h4, c2h2).digits()).isEqualTo(expected);
        } else if (method.equals("three-ratio code -> class")) {
            String words = ThreeRatioCode.of(h2, ch4, c2h6, c2h4, c2h2).words();
            assertThat(words.equals("150-300 C") ? "<300 C (150-300)" : words).isEqualTo(expected);
        } else {
            assertThat(method).isEqualTo("triangle 1 vs inspected fault");
            assertThat(Triangle.ONE.zone(ch4, c2h4, c2h2, Choices.STANDING).name())
                    .isEqualTo(expected);
        }
    }

    @Test
    void theDigitsOfTheOldCodeFollowTheRangesOfItsTable() {
        // three_ratio_codes.csv, IEC 599:1978 (A).
        double[] inRange = {0.05, 0.5, 2, 5};
        List<Map<String, String>> rows = Table.rows("three_ratio_codes.csv");
        assertThat(rows).hasSize(4);
        for (int i = 0; i < 4; i++) {
            double r = inRange[i];
            Map<String, String> row = rows.get(i);
            assertThat(ThreeRatioCode.of(100, 100, 100, 100, 100 * r).acetyleneEthylene())
                    .isEqualTo((int) Table.number(row, "c2h2_c2h4_code"));
            assertThat(ThreeRatioCode.of(100, 100 * r, 100, 100, 100).methaneHydrogen())
                    .isEqualTo((int) Table.number(row, "ch4_h2_code"));
            assertThat(ThreeRatioCode.of(100, 100, 100, 100 * r, 100).ethyleneEthane())
                    .isEqualTo((int) Table.number(row, "c2h4_c2h6_code"));
        }
    }
}
