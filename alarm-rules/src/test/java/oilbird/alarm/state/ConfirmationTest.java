package oilbird.alarm.state;

import static oilbird.alarm.state.Memory.OPERATOR;
import static oilbird.alarm.state.Memory.second;
import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.state.AlarmEvent.Annunciation;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import org.junit.jupiter.api.Test;

/** Confirmation, against the published sequence of OPC 10000-9, Annex B.1.2 (without branches, with confirmation). */
class ConfirmationTest {
    private static final AlarmPolicy ASKS = Memory.confirmed(Memory.plain());

    private final List<String> rows = new ArrayList<>();
    private AlarmState state = AlarmState.initial(Memory.ID, ASKS);
    private long now;

    @Test
    void theSequenceOfTheStandardsAnnexIsReproducedRowByRow() {
        goes(true);
        acknowledge();
        goes(false);
        confirm();
        goes(true);
        goes(false);
        acknowledge();
        confirm();

        // active, acknowledged, confirmed, retain; OPC 10000-9, Annex B.1.2, events 1 to 8
        assertThat(rows)
                .containsExactly(
                        "T F T T", "T T F T", "F T F T", "F T T F", "T F T T", "F F T T", "F T F T", "F T T F");
    }

    @Test
    void anAlarmWithoutConfirmationIsOfNoInterestOnceItIsGoneAndAcknowledged() {
        state = AlarmState.initial(Memory.ID, Memory.plain());
        take(sample(true), Memory.plain());
        take(new AlarmInput.Acknowledge(OPERATOR, "", null, second(++now)), Memory.plain());
        AlarmStep gone = take(sample(false), Memory.plain());

        assertThat(gone.events()).singleElement().satisfies(e -> {
            assertThat(e.retain()).isFalse();
            assertThat(e.confirmed()).isTrue();
            assertThat(e.annunciate()).isEqualTo(Annunciation.END);
        });
        AlarmStep refused = take(new AlarmInput.Confirm(OPERATOR, "", null, second(++now)), Memory.plain());
        assertThat(refused.refusal()).isEqualTo(Refusal.ALREADY_CONFIRMED);
    }

    @Test
    void anAlarmThatWaitsForConfirmationIsNormalByNameAndStaysOnTheList() {
        goes(true);
        acknowledge();
        AlarmStep gone = take(sample(false), ASKS);

        assertThat(state.name()).isEqualTo(StateName.NORM);
        assertThat(state.annunciated()).isTrue();
        assertThat(gone.events().get(0).annunciate()).isEqualTo(Annunciation.STEADY);
        assertThat(confirm().events().get(0).annunciate()).isEqualTo(Annunciation.END);
    }

    @Test
    void whoConfirmsBeforeAnybodyAcknowledgedIsRefused() {
        goes(true);

        AlarmStep early = take(new AlarmInput.Confirm(OPERATOR, "", state.lastEvent(), second(++now)), ASKS);

        assertThat(early.refusal()).isEqualTo(Refusal.NOT_ACKNOWLEDGED);
        assertThat(Refusal.NOT_ACKNOWLEDGED.opcUaStatus()).isEqualTo("Bad_InvalidState");
        assertThat(early.events())
                .singleElement()
                .satisfies(e -> assertThat(e.kind()).isEqualTo(Kind.REFUSED));
    }

    @Test
    void whoConfirmsTwiceIsToldSoAlsoByTheEventThatWasConfirmed() {
        goes(true);
        acknowledge();
        String seen = state.lastEvent();
        AlarmInput.Confirm call = new AlarmInput.Confirm(OPERATOR, "valve changed", seen, second(++now));
        take(call, ASKS);

        // OPC 10000-9, 5.7.4
        assertThat(take(call, ASKS).refusal()).isEqualTo(Refusal.ALREADY_CONFIRMED);
        assertThat(Refusal.ALREADY_CONFIRMED.opcUaStatus()).isEqualTo("Bad_ConditionBranchAlreadyConfirmed");
    }

    @Test
    void whoSawAnOlderEventIsRefused() {
        goes(true);
        String raised = state.lastEvent();
        acknowledge();

        AlarmStep stale = take(new AlarmInput.Confirm(OPERATOR, "", raised, second(++now)), ASKS);

        assertThat(stale.refusal()).isEqualTo(Refusal.EVENT_UNKNOWN);
        assertThat(state.confirmed()).isFalse();
    }

    @Test
    void aLatchIsNotResetBeforeTheConfirmation() {
        AlarmPolicy latching = Memory.confirmed(Memory.policy(true, Acknowledgement.BY_PERSON, 0, 1, 0));
        take(sample(true), latching);
        take(sample(false), latching);
        take(new AlarmInput.Acknowledge(OPERATOR, "", null, second(++now)), latching);
        AlarmInput.Reset reset = new AlarmInput.Reset(OPERATOR, "", second(++now));

        // OPC 10000-9, 5.8.5: reset needs confirmed where it is supported
        assertThat(take(reset, latching).refusal()).isEqualTo(Refusal.NOT_LATCHED);
        take(new AlarmInput.Confirm(OPERATOR, "", null, second(++now)), latching);
        assertThat(take(new AlarmInput.Reset(OPERATOR, "", second(++now)), latching)
                        .refusal())
                .isNull();
    }

    @Test
    void whatIsAcknowledgedByRuleWaitsForConfirmationToo() {
        AlarmPolicy byRule = Memory.confirmed(Memory.policy(false, Acknowledgement.BY_RULE, 0, 1, 0));

        take(sample(true), byRule);

        assertThat(state.acknowledged()).isTrue();
        assertThat(state.confirmed()).isFalse();
    }

    private void goes(boolean active) {
        take(sample(active), ASKS);
    }

    private void acknowledge() {
        take(new AlarmInput.Acknowledge(OPERATOR, "", state.lastEvent(), second(++now)), ASKS);
    }

    private AlarmStep confirm() {
        return take(new AlarmInput.Confirm(OPERATOR, "", state.lastEvent(), second(++now)), ASKS);
    }

    private AlarmInput sample(boolean holds) {
        IndicationState condition = holds ? IndicationState.HOLDS : IndicationState.DOES_NOT_HOLD;
        return new AlarmInput.Evaluated(condition, Quality.GOOD, Priority.MINOR, "", second(++now));
    }

    private AlarmStep take(AlarmInput input, AlarmPolicy policy) {
        AlarmStep step = AlarmMachine.step(state, input, policy);
        state = step.next();
        for (AlarmEvent e : step.events()) {
            rows.add(letter(e.active()) + " " + letter(e.acknowledged()) + " " + letter(e.confirmed()) + " "
                    + letter(e.retain()));
            if (e.kind() != Kind.REFUSED) {
                state = state.withLastEvent("e" + now);
            }
        }
        return step;
    }

    private static String letter(boolean is) {
        return is ? "T" : "F";
    }
}
