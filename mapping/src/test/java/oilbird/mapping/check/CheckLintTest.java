package oilbird.mapping.check;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import java.util.Map;
import oilbird.mapping.text.Claims;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.YamlDocument;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * Each defect that would endanger people, equipment or evidence is refused, at its place and with a remedy. Every test
 * shows beside it the same check put right, which passes.
 *
 * <p>What is demanded: EN 50110-1, 6.2 (switch off, secure against switching on, prove absence of voltage, earth) and
 * 29 CFR 1910.333(b)(2) (lock out, test with an instrument proved before and after, discharge stored energy), both from
 * memory; that a current transformer's secondary circuit is not opened and a bushing tap is not touched in service is
 * common practice.
 */
class CheckLintTest {
    private static final String OUTCOME = "    outcomes: [{found: something, means: something}]\n";
    private static final String ISOLATED =
            "prepared: [every-supply-isolated, locked, absence-of-voltage-tested, stored-energy-discharged]";

    private static List<String> problems(String checks) {
        Problems problems = new Problems();
        YamlDocument.read("causes/m.yaml", "first_checks:\n" + checks, problems).ifPresent(root -> {
            Claims.refuse(root);
            CheckLinks.refuse(CheckReader.read(root.asMapping().mapping("first_checks")), Map.of(), problems);
        });
        return problems.list().stream().map(Object::toString).toList();
    }

    private static String check(String name, String... lines) {
        return "  " + name + ":\n    " + String.join("\n    ", lines) + "\n" + OUTCOME;
    }

    private static void refused(String check, String... words) {
        assertThat(problems(check))
                .hasSize(1)
                .first()
                .asString()
                .startsWith("causes/m.yaml:")
                .contains(words);
    }

    private static void passes(String check) {
        assertThat(problems(check)).isEmpty();
    }

    @Test
    void anExposureBelowThatOfItsCaution() {
        refused(
                check("look", "exposure: 1", "action: Look at it.", "cautions: [S25, S05]"),
                "5:21: error",
                "the caution S05",
                "is for exposure 3 and above, the check says exposure 1",
                "raise the exposure to 3");
        passes(check("look", "exposure: 3", "action: Look at it.", "cautions: [S01, S05]"));
    }

    @Test
    void aCautionThatItsCircuitNeeds() {
        refused(
                check("fan", "exposure: 3", "action: Look at the fan.", "circuit: fan", "cautions: [S01]"),
                "lacks the caution S07");
        passes(check("fan", "exposure: 3", "action: Look at the fan.", "circuit: fan", "cautions: [S01, S07]"));
        passes(check("fan", "exposure: 1", "action: Look at the fan.", "circuit: fan", "cautions: [S25]"));
    }

    @Test
    void aMeasurementWithoutRangeAndUnit() {
        refused(
                check("v", "exposure: 3", "action: Measure the supply.", "cautions: [S01, S03]"),
                "measures something without range and unit");
        refused(
                "  v:\n    exposure: 3\n    action: Measure the supply.\n    cautions: [S01, S03]\n"
                        + "    measures: {quantity: voltage, unit: V}\n"
                        + "    outcomes: [{found: good, when: within, means: good}]\n",
                "without a range");
        passes(check(
                "v", "exposure: 3", "action: Measure the supply.", "accepted: 46 to 50 V", "cautions: [S01, S03]"));
    }

    @Test
    void aMeasuredValueThatNoOutcomeIsFor() {
        refused(
                "  v:\n    exposure: 3\n    action: Measure the supply.\n    cautions: [S01, S03]\n"
                        + "    measures: {quantity: voltage, unit: V, from: 46, to: 50}\n"
                        + "    outcomes: [{found: good, when: within, means: good}, {found: low, when: [below, none], means: low}]\n",
                "no outcome says what a value means that is above");
    }

    @Test
    void anEnergisedMeasurementWithoutProvingTheTesterBeforeAndAfter() {
        refused(
                check("v", "exposure: 3", "action: Measure the supply.", "accepted: 46 to 50 V", "cautions: [S01]"),
                "lacks the caution S03",
                "prove tester before and after");
        assertThat(problems(check(
                        "v",
                        "exposure: 2",
                        "action: Measure the supply.",
                        "accepted: 46 to 50 V",
                        "cautions: [S01, S03]")))
                .hasSize(2)
                .anySatisfy(p -> assertThat(p).contains("measures at exposure 2", "make it exposure 3 or higher"));
    }

    @Test
    void aBoardHandledBeforeIsolationAndElectrostaticPrecautions() {
        String[] bare = {"exposure: 3", "action: Unplug the input board.", "cautions: [S01, S17]"};
        assertThat(problems(check("board", bare)))
                .hasSize(2)
                .anySatisfy(p -> assertThat(p).contains("every supply is isolated", "absence of voltage is tested"))
                .anySatisfy(p -> assertThat(p).contains("wrist strap"));
        refused(
                check(
                        "board",
                        "exposure: 3",
                        "action: Unplug the input board.",
                        "does: handle-board",
                        ISOLATED.replace("]", ", electrostatic]"),
                        "cautions: [S01]"),
                "lacks the caution S17");
        passes(check(
                "board",
                "exposure: 3",
                "action: Unplug the input board.",
                "does: handle-board",
                ISOLATED.replace("]", ", electrostatic]"),
                "cautions: [S01, S17]"));
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "Open the 4-20 mA loop at the terminals.",
                "With the cabinet open, disconnect the load loop.",
                "Lift the wire of the current transformer.",
                "Look at the wiring, then open the CT circuit.",
                "Unplug the sensor lead.",
                "Open the test tap."
            })
    void aLoopACurrentTransformersOrABushingTapsCircuitOpenedInService(String action) {
        refused(
                check("open", "exposure: 3", "action: \"" + action + "\"", "cautions: [S01]"),
                "opens a circuit in service",
                "asset-out-of-service");
        passes(check(
                "open",
                "exposure: 4",
                "action: \"" + action + "\"",
                "prepared: [asset-out-of-service]",
                "cautions: [S01]"));
    }

    @Test
    void aCircuitSaidToBeOpenedByItsKind() {
        refused(
                check(
                        "open",
                        "exposure: 3",
                        "action: Part the terminal link.",
                        "circuit: current-loop",
                        "does: open-circuit",
                        "cautions: [S01, S18]"),
                "a 4-20 mA loop");
        passes(check(
                "clamp",
                "exposure: 3",
                "action: Measure the loop current with a clamp, the loop left closed.",
                "accepted: 4 to 20 mA",
                "circuit: current-loop",
                "cautions: [S01, S03, S18]"));
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "Turn the oil valve a little.",
                "Look at the mark, then close the lower valve.",
                "Open slowly the sampling valve."
            })
    void aValveTurnedBelowExposure4(String action) {
        refused(
                check("valve", "exposure: 3", "action: \"" + action + "\"", "cautions: [S01, S09]"),
                "turns a valve at exposure 3",
                "make it exposure 4");
        passes(check("valve", "exposure: 4", "action: \"" + action + "\"", "cautions: [S01, S09]"));
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "Without touching them, compare the marks of the valves with their tags.",
                "Open the cabinet and look at the valve.",
                "Do not open the valve; look at its mark."
            })
    void lookingAtAValveIsNotTurningIt(String action) {
        passes(check("valve", "exposure: 2", "action: \"" + action + "\"", "cautions: [S01]"));
    }

    @Test
    void aReplacementWithoutIsolationBefore() {
        refused(
                check(
                                "fan",
                                "exposure: 3",
                                "action: Replace the fan.",
                                "does: replace",
                                "prepared: [every-supply-isolated, locked]",
                                "proof: see",
                                "cautions: [S01, S02]")
                        + check("see", "exposure: 0", "action: Look at the speed."),
                "replaces a part before it is confirmed that absence of voltage is tested",
                "stored energy is discharged",
                "add absence-of-voltage-tested, stored-energy-discharged to prepared:");
    }

    @Test
    void aReplacementWithoutAProofAfter() {
        refused(
                check(
                        "fan",
                        "exposure: 3",
                        "action: Replace the fan.",
                        "does: replace",
                        ISOLATED,
                        "cautions: [S01, S02]"),
                "replaces a part without a proof after it");
        passes(check(
                        "fan",
                        "exposure: 3",
                        "action: Replace the fan.",
                        "does: replace",
                        ISOLATED,
                        "proof: see",
                        "cautions: [S01, S02]")
                + check("see", "exposure: 0", "action: Look at the speed."));
    }

    @Test
    void aReplacementThatIsOnlyInTheWords() {
        assertThat(problems(check("fan", "exposure: 3", "action: Replace the fan.", "cautions: [S01, S02]")))
                .hasSize(2);
    }

    @Test
    void aRestartBeforeTheWordsAreSaved() {
        refused(
                check("again", "exposure: 3", "action: Restart the monitor.", "cautions: [S01]"),
                "restarts a device before it is confirmed that the status words and their raw frames are saved",
                "add words-saved to prepared:");
        passes(check(
                "again", "exposure: 3", "action: Restart the monitor.", "prepared: [words-saved]", "cautions: [S01]"));
        passes(check("look", "exposure: 2", "action: Look at the protection. Reset nothing.", "cautions: [S01]"));
    }

    @Test
    void aDeadEndWhereChecksLeadInACircle() {
        String circle = "  a:\n    exposure: 0\n    action: Look.\n    outcomes: [{found: x, means: y, next: b}]\n"
                + "  b:\n    exposure: 0\n    action: Look.\n    outcomes: [{found: x, means: y, next: a}]\n";
        assertThat(problems(circle))
                .hasSize(2)
                .allSatisfy(p -> assertThat(p).contains("a dead end", "lead back to it"));
        passes(circle.replace("next: a", "hand_over: maker"));
    }

    @Test
    void aStepThatWaitsForItself() {
        refused(
                check("a", "exposure: 0", "action: Look.", "after: [a]"),
                "can never be reached",
                "take one of the names out of after:");
    }

    @Test
    void aNameThatNoCheckHas() {
        refused(
                check("a", "exposure: 0", "action: Look.", "after: [bb]") + check("b", "exposure: 0", "action: Look."),
                "names the check `bb`",
                "did you mean b?");
    }

    @Test
    void probabilitiesThatDoNotComeToOne() {
        assertThat(problems("  a:\n    exposure: 0\n    action: Look.\n    outcomes:\n"
                        + "      - {found: x, means: y, given: {fan: 0.8}}\n"
                        + "      - {found: z, means: y, given: {fan: 0.4}}\n"))
                .singleElement()
                .asString()
                .contains("with `fan` come to 1.2 and not to 1");
    }

    /** Words of other languages are from memory. */
    @ParameterizedTest
    @ValueSource(
            strings = {
                "the circuit is dead",
                "it is SAFE to touch",
                "the terminals are de-energised",
                "d\u00ade\u00ada\u00add",
                "\uff53\uff41\uff46\uff45 now",
                "der Kreis ist spannungsfrei",
                "die Klemmen sind jetzt sicher",
                "le circuit est hors tension",
                "el circuito est\u00e1 sin tensi\u00f3n",
                "il circuito \u00e8 sicuro",
                "de klem is spanningsloos",
                "kretsen \u00e4r sp\u00e4nningsl\u00f6s",
                "obw\u00f3d jest bez napi\u0119cia"
            })
    void theWordsDeadAndSafeInAnyOfTheseLanguages(String text) {
        refused(
                "  a:\n    exposure: 0\n    action: Look.\n    outcomes: [{found: x, means: \"" + text + "\"}]\n",
                "the text says",
                "nothing here may call anything dead or safe");
    }

    @ParameterizedTest
    @ValueSource(strings = {"a fail-safe contact", "the deadband", "deadline", "the Sicherung has blown", "assurance"})
    void wordsThatOnlyContainThem(String text) {
        passes("  a:\n    exposure: 0\n    action: Look.\n    outcomes: [{found: x, means: \"" + text + "\"}]\n");
    }
}
