package oilbird.alarm.transformer.gas;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Samples;
import oilbird.alarm.transformer.Table;
import oilbird.alarm.transformer.TransformerFacts;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;

/**
 * The 117 inspected cases of the IEC TC 10 collection (tc10.csv) against what a second implementation gives for
 * each (tc10_methods.csv, written apart from this code, from the polygons).
 */
class InspectedCasesTest {
    private static final Map<Method, String> COLUMNS = Map.of(
            Method.IEC_RATIOS, "iec_ratios",
            Method.IEC_SIMPLE, "iec_simple",
            Method.ROGERS, "rogers",
            Method.DOERNENBURG, "doernenburg",
            Method.TRIANGLE_1, "triangle1",
            Method.TRIANGLE_4, "triangle4",
            Method.TRIANGLE_5, "triangle5",
            Method.PENTAGON_1, "pentagon1",
            Method.PENTAGON_2, "pentagon2");

    @TestFactory
    List<DynamicTest> eachMethodGivesForEachCaseWhatTheCheckedTableSays() {
        List<Samples.Case> cases = Samples.tc10();
        List<Map<String, String>> expected = Table.rows("tc10_methods.csv");
        assertThat(cases).hasSize(117);
        assertThat(expected).hasSize(117);
        List<DynamicTest> tests = new ArrayList<>();
        for (int i = 0; i < cases.size(); i++) {
            Samples.Case one = cases.get(i);
            Map<String, String> row = expected.get(i);
            tests.add(DynamicTest.dynamicTest(one.id() + " " + one.fault(), () -> {
                assertThat(Table.text(row, "id")).isEqualTo(one.id());
                List<MethodAnswer> answers =
                        GasMethods.all(TransformerFacts.mineralOilTransformer(), one.sample(), Choices.STANDING);
                assertThat(answers).hasSize(COLUMNS.size());
                for (MethodAnswer answer : answers) {
                    String column = COLUMNS.getOrDefault(answer.method(), "");
                    assertThat(answer.shortLabel()).as(column).isEqualTo(Table.text(row, column));
                }
            }));
        }
        return tests;
    }

    @Test
    void dischargesOfLowAndHighEnergyOverlapInTwentyNineCasesAndBothAreGiven() {
        // The count is from the reference on IEC 60599 Table 1, computed there by another program.
        int both = 0;
        for (Samples.Case one : Samples.tc10()) {
            MethodAnswer answer = GasMethods.answer(
                    Method.IEC_RATIOS, TransformerFacts.mineralOilTransformer(), one.sample(), Choices.STANDING);
            both += answer.possibleFaults().equals(List.of(Fault.D1, Fault.D2)) ? 1 : 0;
        }
        assertThat(both).isEqualTo(29);
    }
}
