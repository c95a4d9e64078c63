package oilbird.alarm.diagnosis;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import java.util.regex.Pattern;
import oilbird.alarm.rule.StationFacts;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Every faulty file tells its mistakes, each at its place, in words and with a remedy. */
class FaultyFaultModelsTest {
    private static List<String> problems(String text) {
        StationFacts facts = WindlowCauses.facts();
        Loaded<FaultModel> read = FaultModelReader.read("causes/hbg-8.yaml", text);
        List<Problem> problems = new ArrayList<>(read.problems());
        read.result()
                .ifPresent(model -> problems.addAll(CauseBinder.bind(
                                List.of(model), facts, WindlowCauses.model().rules(), List.of("hbg-8", "tcc-4"))
                        .problems()));
        return problems.stream().map(Problem::toString).toList();
    }

    private static String changed(String from, String to) {
        assertThat(WindlowCauses.GAS_MONITOR).contains(from);
        return WindlowCauses.GAS_MONITOR.replaceFirst(Pattern.quote(from), to);
    }

    @Test
    void theModelOfTheTestsHasNone() {
        assertThat(problems(WindlowCauses.GAS_MONITOR)).isEmpty();
    }

    @Test
    void anUnknownIndicationIsAnErrorWithTheNearestName() {
        assertThat(problems(changed("oil-flow-low: {", "oil-flow-lo: {")))
                .containsExactly("causes/hbg-8.yaml:34:7: error: the map `hbg-8` has no indication `oil-flow-lo`;"
                        + " did you mean oil-flow-low?");
    }

    @Test
    void aRuleUnderProducesIsShownItsPlace() {
        assertThat(problems(changed("oil-flow-low: {", "hydrogen-high: {")))
                .containsExactly("causes/hbg-8.yaml:34:7: error: the map `hbg-8` has no indication `hydrogen-high`;"
                        + " write it under raises, as it is the key of a rule");
    }

    @Test
    void aRuleThatTellsWhatAnIndicationTellsIsOneSignWithIt() {
        assertThat(problems(changed("heat-sink-warm: {", "detector: {")))
                .containsExactly("causes/hbg-8.yaml:14:7: warning: the rule `detector` tells of the indication"
                        + " `detector-fault` and of nothing else; write detector-fault under produces: an indication and"
                        + " its alarm are one sign");
    }

    @Test
    void anUnknownRuleIsAWarningSinceRulesChangeMoreOftenThanCauses() {
        assertThat(problems(changed("heat-sink-warm: {", "heat-sink-wram: {")))
                .containsExactly("causes/hbg-8.yaml:14:7: warning: no rule has the key `heat-sink-wram`, so the cause"
                        + " cannot show itself by it; did you mean heat-sink-warm?");
    }

    @Test
    void aLimitInAnotherUnitIsAnError() {
        assertThat(problems(changed("unit: K", "unit: degC")))
                .containsExactly("causes/hbg-8.yaml:16:9: error: the limit is in `degC`, and `heat-sink-temperature` is"
                        + " read in `K`; write the limit in K");
    }

    @Test
    void evidenceThatSpeaksForACauseWhateverIsSeenIsAnError() {
        assertThat(problems(changed("otherwise: 0.5", "otherwise: 2")))
                .singleElement()
                .asString()
                .contains("both ratios lie on the same side of 1")
                .contains("make otherwise at most 1");
    }

    @Test
    void aCauseThatShowsItselfByNothingIsAnError() {
        assertThat(problems(changed("    produces:\n      oil-flow-low: {probability: 0.98, within: 2 s}\n", "")))
                .singleElement()
                .asString()
                .contains("the cause `oil-valve-shut` shows itself by nothing, so it can never be found");
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "probability: 0.95|probability: 1.5",
                "per_year: 0.2|per_year: 0",
                "trouble: monitor|trouble: mointor",
                "within: 2 s|within: soon",
                "says: |sais: ",
                "fault_model: 1|fault_model: 2"
            })
    void whatTheSchemaForbidsIsRefusedAtItsPlace(String change) {
        String[] parts = change.split("\\|", -1);
        List<String> told = problems(changed(parts[0], parts[1]));

        assertThat(told)
                .isNotEmpty()
                .anySatisfy(p -> assertThat(p).matches("causes/hbg-8.yaml:\\d+:\\d+: error: .+; .+"));
    }
}
