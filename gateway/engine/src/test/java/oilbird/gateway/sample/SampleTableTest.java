package oilbird.gateway.sample;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class SampleTableTest {
    private static List<String> mistakes(String text) {
        Loaded<List<SampleTable.Row>> loaded = SampleTable.read("lab.csv", text);
        assertThat(loaded.value()).isNull();
        return loaded.problems().stream().map(Problem::toString).toList();
    }

    @Test
    void aTableOfSamplesIsReadWithWhatIsBelowDetectionAndBeyondTheRange() {
        List<SampleTable.Row> rows = SampleTable.read("lab.csv", """
                        asset,laboratory,sampled at,reference,hydrogen,acetylene,ethylene,carbon monoxide
                        t1,Marsh laboratory,2026-11-20,R 17,120.5,<1,>2000,
                        t2,Marsh laboratory,2026-11-20T09:30:00+01:00,,12,0.4,3,190
                        """).result().orElseThrow();
        assertThat(rows).extracting(SampleTable.Row::asset).containsExactly("t1", "t2");
        assertThat(rows.get(0).reference()).isEqualTo("R 17");
        assertThat(rows.get(0).sample().of(Gas.H2)).isEqualTo(new Concentration.Measured(120.5));
        assertThat(rows.get(0).sample().of(Gas.C2H2)).isEqualTo(new Concentration.BelowDetection(1));
        assertThat(rows.get(0).sample().of(Gas.C2H4)).isEqualTo(new Concentration.Saturated(2000));
        assertThat(rows.get(0).sample().of(Gas.CO))
                .as("an empty cell was not analysed")
                .isNull();
        assertThat(rows.get(1).sample().at()).hasToString("2026-11-20T08:30:00Z");
        assertThat(rows.get(1).line()).isEqualTo(3);
    }

    @Test
    void everyMistakeIsToldWithItsPlaceAndNothingIsTaken() {
        assertThat(mistakes("""
                        asset,laboratory,sampled-at,hydrogen,acetylene
                        t1,Marsh,20.11.2026,12,0
                        ,Marsh,2026-11-20,"1,5",0
                        t1,Marsh,2026-11-20,NaN,-3
                        t1,Marsh,2026-11-20,12
                        t1,Marsh,2026-11-20,,
                        """))
                .anySatisfy(m -> assertThat(m).startsWith("lab.csv:2:10: error: the time of sampling is a day"))
                .anySatisfy(m -> assertThat(m).startsWith("lab.csv:3:1: error: no asset is named"))
                .anySatisfy(m -> assertThat(m).startsWith("lab.csv:3:").contains("`1,5` is no content of hydrogen"))
                .anySatisfy(m ->
                        assertThat(m).startsWith("lab.csv:4:").contains("`NaN`").contains("write ppm as 12.5"))
                .anySatisfy(m -> assertThat(m).startsWith("lab.csv:4:").contains("`-3` is no content of acetylene"))
                .anySatisfy(m -> assertThat(m).startsWith("lab.csv:5:1: error: the row has 4 cells"))
                .anySatisfy(m -> assertThat(m).startsWith("lab.csv:6:1: error: no gas is given"));
    }

    @Test
    void columnsThatNobodyKnowsAreNamedWithWhatIsMeant() {
        assertThat(mistakes("asset,laboratory,hydrogene,hydrogene\nt1,M,1,2\n"))
                .anySatisfy(m -> assertThat(m)
                        .isEqualTo("lab.csv:1:18: error: there is no column `hydrogene`; did you mean hydrogen?"))
                .anySatisfy(m -> assertThat(m).contains("the column `sampled-at` is missing"));
    }

    @Test
    void aSampleGivenTwiceIsTold() {
        assertThat(mistakes("asset,laboratory,sampled-at,hydrogen\nt1,M,2026-11-20,5\nt1,M,2026-11-20,6\n"))
                .singleElement()
                .asString()
                .startsWith("lab.csv:3:1: error: this sample of that laboratory and time is already in line 2");
    }

    @ParameterizedTest
    @ValueSource(strings = {"", "\n\n", "asset,laboratory,sampled-at,hydrogen\n", "\"asset", "\u0000", ";;;\n;;;\n"})
    void whatIsNoTableIsRefusedAndNeverThrows(String text) {
        assertThat(mistakes(text)).isNotEmpty();
    }
}
