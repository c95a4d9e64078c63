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

    // ---- first checks of a fault model

    private static final String SEE = """
            first_checks:
              see-fan:
                exposure: 0
                action: Look at the fan's speed.
                outcomes:
                  - {found: none, means: stopped, given: {fan-stopped: 0.9}}
                  - {found: usual, means: its signal, given: {fan-signal-lost: 0.9}}
            """;

    private static List<String> withChecks(String checks) {
        return problems(WindlowCauses.GAS_MONITOR + "\n" + checks).stream()
                // causes that this short section does not speak of
                .filter(p -> !p.contains("it can only be handed over"))
                .toList();
    }

    @Test
    void checksThatSpeakOfCausesOfTheFileHaveNoProblem() {
        assertThat(withChecks(SEE)).isEmpty();
    }

    @Test
    void aCauseThatNoCheckSpeaksOfIsToldAsAWarning() {
        assertThat(problems(WindlowCauses.GAS_MONITOR + "\n" + SEE))
                .anySatisfy(p -> assertThat(p)
                        .contains("warning: no outcome of any first check speaks of the cause `oil-valve-shut`"));
    }

    @Test
    void anOutcomeThatSpeaksOfNoCauseIsShownTheNearest() {
        assertThat(withChecks(SEE.replace("given: {fan-stopped:", "given: {fan-stoped:")))
                .singleElement()
                .asString()
                .contains("the check `see-fan` speaks of the cause `fan-stoped`, which is not there")
                .contains("did you mean fan-stopped?");
    }

    @Test
    void aCauseThatNothingPutsRightAndForWhichNobodyIsCalledIsADeadEnd() {
        String nobody = changed("    call: monitor technician\n    respond_within: 3 d\n", "");

        assertThat(problems(nobody + "\n" + SEE))
                .anySatisfy(p -> assertThat(p)
                        .contains(
                                "error: a dead end: nothing puts the cause `fan-stopped` right, and nobody is to be called")
                        .contains("add call:"));
    }

    @Test
    void aLastStepOfAFixedOrderAfterWhichNothingFollowsIsADeadEnd() {
        assertThat(withChecks(SEE + "order: [see-fan]\n"))
                .hasSize(2)
                .allSatisfy(p -> assertThat(p).contains("a dead end: after `see-fan`, the last in the order"));
        assertThat(withChecks(SEE.replace("0.9}}", "0.9}, hand_over: maker}") + "order: [see-fan]\n"))
                .isEmpty();
    }

    @Test
    void aCheckThatNothingAsksForAndThatTellsNothingCanNeverBeReached() {
        String idle = "  idle:\n    exposure: 0\n    action: Look.\n    outcomes: [{found: x, means: y}]\n";

        assertThat(withChecks(SEE + idle)).singleElement().asString().contains("the check `idle` can never be reached");
        assertThat(withChecks(SEE.replace("means: stopped", "means: stopped, next: idle") + idle))
                .isEmpty();
    }

    @Test
    void aCheckOutsideAFixedOrderCanNeverBeReached() {
        String second = "  second:\n    exposure: 0\n    action: Look.\n    outcomes:\n"
                + "      - {found: x, means: y, given: {fan-stopped: 0.9}, hand_over: maker}\n"
                + "      - {found: z, means: y, hand_over: maker}\n";

        assertThat(withChecks(SEE + second + "order: [second]\n"))
                .singleElement()
                .asString()
                .contains("the check `see-fan` can never be reached");
    }

    @Test
    void namesInTheOrderAndOfTheDeviceMapAreHeldAgainstEachOther() {
        assertThat(withChecks(SEE + "order: [see-fun]\n"))
                .anySatisfy(p -> assertThat(p)
                        .contains("neither this file nor the map `hbg-8` has a first check `see-fun`")
                        .contains("did you mean see-fan?"));
        assertThat(withChecks(SEE.replace("see-fan", "compare-fan-and-heat-sink")))
                .singleElement()
                .asString()
                .contains("the device map has a first check `compare-fan-and-heat-sink` already");
    }
}
