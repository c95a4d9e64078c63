package oilbird.alarm.state;

import static oilbird.alarm.state.Memory.OPERATOR;
import static oilbird.alarm.state.Memory.second;
import static org.assertj.core.api.Assertions.assertThat;

import oilbird.alarm.state.AlarmEvent.Annunciation;
import oilbird.alarm.state.AlarmEvent.Kind;
import org.junit.jupiter.api.Test;

/** Suppression from outside beside the rule's own logic: OPC 10000-9, 5.8.3 and 5.8.8 to 5.8.11. */
class SuppressionTest {
    private AlarmState state = Memory.named(StateName.UNACK).state();
    private AlarmPolicy policy = Memory.plain();
    private long now = 10;

    @Test
    void whatIsSuppressedFromOutsideIsSuppressedByNameAndLeavesTheList() {
        AlarmStep step = take(new AlarmInput.Suppress(OPERATOR, "load test", second(++now)));

        assertThat(state.name()).isEqualTo(StateName.DSUPR);
        assertThat(step.events()).singleElement().satisfies(e -> {
            assertThat(e.kind()).isEqualTo(Kind.SUPPRESSED);
            assertThat(e.annunciate()).isEqualTo(Annunciation.END);
            assertThat(e.suppressed()).isTrue();
            assertThat(e.by()).isEqualTo(OPERATOR);
            assertThat(e.text()).isEqualTo("load test");
        });
    }

    @Test
    void anInactiveAlarmCanBeSuppressed() { // C64
        state = Memory.named(StateName.NORM).state();
        assertThat(take(new AlarmInput.Suppress(OPERATOR, "", second(++now))).refusal())
                .isNull();
        assertThat(state.name()).isEqualTo(StateName.DSUPR);
    }

    @Test
    void whereNothingMaySuppressTheAlarmTheCallIsRefused() {
        policy = Memory.restricted(Memory.plain(), true, false);
        AlarmStep step = take(new AlarmInput.Suppress(OPERATOR, "", second(++now)));
        assertThat(step.refusal()).isEqualTo(Refusal.SUPPRESSION_NOT_ALLOWED);
        assertThat(Refusal.SUPPRESSION_NOT_ALLOWED.opcUaStatus()).isEqualTo("Bad_MethodInvalid"); // C64
        assertThat(state.name()).isEqualTo(StateName.UNACK);
    }

    @Test
    void theAlarmStaysSuppressedWhileEitherAsksForIt() {
        logic(true);
        take(new AlarmInput.Suppress(OPERATOR, "", second(++now)));
        logic(false);
        assertThat(state.name()).isEqualTo(StateName.DSUPR);
        AlarmStep lifted = take(new AlarmInput.Unsuppress(OPERATOR, "", second(++now)));
        assertThat(state.name()).isEqualTo(StateName.UNACK);
        assertThat(lifted.events().get(0).annunciate()).isEqualTo(Annunciation.START);
    }

    @Test
    void whatAPersonLiftsStaysLiftedUntilTheLogicChangesItsAnswer() { // OPC 10000-9, 5.8.10: overrides the group
        logic(true);
        take(new AlarmInput.Unsuppress(OPERATOR, "look at it", second(++now)));
        assertThat(state.name()).isEqualTo(StateName.UNACK);
        logic(true);
        assertThat(state.name()).as("the same answer again").isEqualTo(StateName.UNACK);
        assertThat(logic(false).events())
                .as("ends without a change that anybody sees")
                .isEmpty();
        logic(true);
        assertThat(state.name()).as("a new answer").isEqualTo(StateName.DSUPR);
    }

    @Test
    void whoLiftsWhatIsNotSuppressedOrSuppressesTwiceIsRefused() {
        assertThat(take(new AlarmInput.Unsuppress(OPERATOR, "", second(++now))).refusal())
                .isEqualTo(Refusal.NOT_SUPPRESSED);
        take(new AlarmInput.Suppress(OPERATOR, "", second(++now)));
        assertThat(take(new AlarmInput.Suppress(OPERATOR, "", second(++now))).refusal())
                .isEqualTo(Refusal.ALREADY_SUPPRESSED);
    }

    @Test
    void otherRulesThatForbidItEndASuppressionFromOutside() {
        take(new AlarmInput.Suppress(OPERATOR, "", second(++now)));
        policy = Memory.restricted(Memory.plain(), true, false);
        logic(false);
        assertThat(state.name()).isEqualTo(StateName.UNACK);
        assertThat(state.suppression()).isEqualTo(Suppression.NONE);
    }

    private AlarmStep logic(boolean suppressed) {
        return take(new AlarmInput.SuppressByDesign(suppressed, "pump-off", second(++now)));
    }

    private AlarmStep take(AlarmInput input) {
        AlarmStep step = AlarmMachine.step(state, input, policy);
        state = step.next();
        return step;
    }
}
