package oilbird.alarm.state;

import static oilbird.alarm.state.Memory.OPERATOR;
import static oilbird.alarm.state.Memory.second;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;
import static org.assertj.core.api.Assertions.tuple;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import oilbird.alarm.state.AlarmEvent.Annunciation;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.junit.jupiter.api.Nested;
import org.junit.jupiter.api.Test;

/** What the transition table leaves open, as decided in the machine's description. */
class AlarmMachineTest {
    private static final AlarmPolicy DELAYED = Memory.policy(false, Acknowledgement.BY_PERSON, 10, 3, 0);

    private AlarmPolicy policy = Memory.plain();
    private AlarmState state = Memory.named(StateName.NORM).state();
    private final List<AlarmEvent> events = new ArrayList<>();

    private AlarmStep take(AlarmInput input) {
        AlarmStep step = AlarmMachine.step(state, input, policy);
        state = step.next();
        events.addAll(step.events());
        return step;
    }

    private AlarmStep sample(IndicationState condition, Quality quality, Priority priority, long s) {
        return take(new AlarmInput.Evaluated(condition, quality, priority, "at " + s, second(s)));
    }

    private AlarmStep holds(long s) {
        return sample(IndicationState.HOLDS, Quality.GOOD, Priority.MINOR, s);
    }

    private AlarmStep gone(long s) {
        return sample(IndicationState.DOES_NOT_HOLD, Quality.GOOD, Priority.MINOR, s);
    }

    private AlarmStep untold(long s) {
        return sample(IndicationState.CANNOT_BE_TOLD, Quality.BAD, Priority.MINOR, s);
    }

    private AlarmStep elapsed(long s) {
        return take(new AlarmInput.Elapsed(second(s)));
    }

    private void start(Memory memory, AlarmPolicy newPolicy) {
        state = memory.state();
        policy = newPolicy;
    }

    private List<Kind> kinds() {
        return events.stream().map(AlarmEvent::kind).toList();
    }

    private List<Annunciation> annunciations() {
        return events.stream().map(AlarmEvent::annunciate).toList();
    }

    @Nested
    class Delays {
        @Test
        void theTimeRunsOutBetweenTwoSamplesAndTheEvidenceIsThatOfTheNewestSample() {
            start(Memory.named(StateName.NORM), DELAYED);
            assertThat(holds(0).wakeAt()).isEqualTo(AlarmState.NEVER);
            holds(1);
            assertThat(holds(2).wakeAt()).isEqualTo(second(10).monotonicNanos());

            elapsed(10);

            assertThat(kinds()).containsExactly(Kind.RAISED);
            assertThat(events.get(0).text()).isEqualTo("at 2");
            assertThat(events.get(0).at()).isEqualTo(second(10));
            assertThat(state.activeSince()).isEqualTo(second(10));
        }

        @Test
        void theTimeIsOverButTheSamplesAreTooFew() {
            start(Memory.named(StateName.NORM), DELAYED);
            holds(0);
            holds(50);
            elapsed(100);
            assertThat(events).isEmpty();

            holds(101);

            assertThat(kinds()).containsExactly(Kind.RAISED);
        }

        @Test
        void aLateWakeUpChangesNothingInTheOutcome() {
            start(Memory.named(StateName.NORM), DELAYED);
            holds(0);
            holds(1);
            holds(2);

            gone(60); // the alarm was due at 10 and returns only after the off-delay

            assertThat(kinds()).containsExactly(Kind.RAISED);
            assertThat(state.active()).isTrue();
        }

        @Test
        void badDataInBetweenMakesTheOnDelayStartAgain() {
            start(Memory.named(StateName.NORM), DELAYED);
            holds(0);
            holds(1);
            holds(2);
            untold(9);
            assertThat(elapsed(20).wakeAt()).isEqualTo(AlarmState.NEVER);
            holds(21);
            holds(22);
            holds(23);
            elapsed(30);
            assertThat(events).isEmpty();

            elapsed(31);

            assertThat(kinds()).containsExactly(Kind.RAISED);
        }

        @Test
        void badDataInBetweenMakesTheOffDelayStartAgain() {
            start(Memory.named(StateName.ACKED), DELAYED);
            gone(0);
            gone(1);
            gone(2);
            untold(9);
            gone(11);
            gone(12);
            gone(13);
            elapsed(20);
            assertThat(state.active()).isTrue();

            elapsed(21);

            assertThat(kinds()).containsExactly(Kind.QUALITY_CHANGED, Kind.QUALITY_CHANGED, Kind.RETURNED);
        }

        @Test
        void aDelayOfHundredsOfYearsNeverEnds() {
            start(
                    Memory.named(StateName.NORM),
                    new AlarmPolicy(
                            AlarmClass.AUXILIARY,
                            Priority.MINOR,
                            Duration.ofSeconds(Long.MAX_VALUE),
                            Duration.ofNanos(Long.MAX_VALUE - 1),
                            1,
                            1,
                            false,
                            Acknowledgement.BY_PERSON,
                            Duration.ZERO,
                            false,
                            Duration.ZERO,
                            false));
            assertThat(holds(5).wakeAt()).isEqualTo(AlarmState.NEVER);
            start(Memory.named(StateName.ACKED), policy);
            assertThat(gone(5).wakeAt()).isEqualTo(AlarmState.NEVER);
        }

        @Test
        void whatAsksForNothingNewLeavesTheVerySameState() {
            AlarmState told = state;
            assertThat(gone(2).next()).isSameAs(told);
            assertThat(elapsed(3).next()).isSameAs(told);
        }
    }

    @Nested
    class DoubtfulData {
        @Test
        void uncertainDataRaises() {
            sample(IndicationState.HOLDS, Quality.UNCERTAIN, Priority.MINOR, 1);
            assertThat(kinds()).containsExactly(Kind.RAISED);
            assertThat(events.get(0).quality()).isEqualTo(Quality.UNCERTAIN);
        }

        @Test
        void uncertainDataNeverClears() {
            start(Memory.named(StateName.ACKED), policy);
            for (int s = 1; s < 100; s++) {
                sample(IndicationState.DOES_NOT_HOLD, Quality.UNCERTAIN, Priority.MINOR, s);
            }
            assertThat(state.active()).isTrue();
            assertThat(kinds()).containsExactly(Kind.QUALITY_CHANGED);
            gone(100);
            assertThat(kinds()).containsExactly(Kind.QUALITY_CHANGED, Kind.RETURNED);
        }

        @Test
        void uncertainDataEscalatesButNeverEases() {
            start(Memory.named(StateName.ACKED), policy);
            sample(IndicationState.HOLDS, Quality.UNCERTAIN, Priority.MAJOR, 1);
            assertThat(kinds()).containsExactly(Kind.ESCALATED);
            sample(IndicationState.HOLDS, Quality.UNCERTAIN, Priority.MINOR, 2);
            assertThat(state.priority()).isEqualTo(Priority.MAJOR);
            holds(3);
            assertThat(kinds()).containsExactly(Kind.ESCALATED, Kind.EASED);
            assertThat(annunciations()).containsExactly(Annunciation.START, Annunciation.NONE);
            assertThat(state.occurrence()).isEqualTo(8);
        }

        @Test
        void aConditionToldFromBadDataCountsAsUntold() {
            start(Memory.named(StateName.ACKED), policy);
            sample(IndicationState.DOES_NOT_HOLD, Quality.BAD, Priority.MINOR, 1);
            assertThat(state.active()).isTrue();
            assertThat(state.condition()).isTrue();
            start(Memory.named(StateName.NORM), policy);
            sample(IndicationState.HOLDS, Quality.BAD, Priority.MINOR, 2);
            assertThat(state.active()).isFalse();
            assertThat(state.condition()).isFalse();
        }

        @Test
        void whatCannotBeToldIsBadWhateverQualityComesWithIt() {
            sample(IndicationState.CANNOT_BE_TOLD, Quality.GOOD, Priority.MINOR, 1);
            assertThat(state.quality()).isEqualTo(Quality.BAD);
            assertThat(events).isEmpty();
        }

        @Test
        void oneQualityEventForEachChangeAndNoneForASuppressedNormalAlarm() {
            start(Memory.named(StateName.LTACK), policy);
            untold(1);
            untold(2);
            gone(3);
            assertThat(kinds()).containsExactly(Kind.QUALITY_CHANGED, Kind.QUALITY_CHANGED);
            assertThat(annunciations()).containsOnly(Annunciation.NONE);
            events.clear();
            start(Memory.named(StateName.SHLVD), policy);
            untold(4);
            assertThat(events).isEmpty();
            assertThat(state.quality()).isEqualTo(Quality.BAD);
        }
    }

    @Nested
    class Levels {
        @Test
        void aShortPeakToAHigherLevelDoesNotEscalate() {
            start(Memory.named(StateName.ACKED), DELAYED);
            for (int s = 0; s < 10; s++) {
                sample(IndicationState.HOLDS, Quality.GOOD, Priority.CRITICAL, s);
            }
            holds(10 - 1);
            assertThat(events).isEmpty();
        }

        @Test
        void escalationOfAnUnacknowledgedAlarmIsAnnunciatedAnewToo() {
            start(Memory.named(StateName.UNACK), policy);
            sample(IndicationState.HOLDS, Quality.GOOD, Priority.CRITICAL, 1);
            assertThat(kinds()).containsExactly(Kind.ESCALATED);
            assertThat(annunciations()).containsExactly(Annunciation.START);
            assertThat(state.occurrence()).isEqualTo(8);
            assertThat(state.activeSince()).isEqualTo(second(0));
        }

        @Test
        void aReturnCountsFromWhenTheConditionWasGoneNotFromWhenItEased() {
            start(Memory.named(StateName.ACKED), DELAYED);
            sample(IndicationState.HOLDS, Quality.GOOD, Priority.WARNING, 0);
            sample(IndicationState.HOLDS, Quality.GOOD, Priority.WARNING, 4);
            gone(8);
            gone(9);
            gone(10);
            elapsed(17);
            assertThat(events).isEmpty();
            elapsed(18);
            assertThat(kinds()).containsExactly(Kind.RETURNED);
        }

        @Test
        void anAlarmIsRaisedAtTheLevelLastTold() {
            start(Memory.named(StateName.NORM), DELAYED);
            holds(0);
            holds(5);
            sample(IndicationState.HOLDS, Quality.GOOD, Priority.MAJOR, 10);
            assertThat(events.get(0).priority()).isEqualTo(Priority.MAJOR);
        }
    }

    @Nested
    class Layers {
        @Test
        void whatHappensUnderAShelfIsRecordedButNotAnnunciated() {
            start(Memory.named(StateName.SHLVD), Memory.policy(true, Acknowledgement.BY_PERSON, 0, 1, 0));
            holds(1);
            gone(2);
            holds(3);
            assertThat(kinds()).containsExactly(Kind.RAISED, Kind.RETURNED, Kind.RAISED);
            assertThat(annunciations()).containsOnly(Annunciation.NONE);
            assertThat(state.occurrence()).isEqualTo(9);
        }

        @Test
        void leavingOneLayerWhileAnotherHoldsAnnunciatesNothingAndKeepsTheAcknowledgement() {
            Memory both = Memory.named(StateName.OOSRV).set(true, true, false);
            both.suppressed = true;
            start(both, policy);
            take(new AlarmInput.PlaceInService(OPERATOR, "done", second(1)));
            assertThat(annunciations()).containsExactly(Annunciation.NONE);
            assertThat(state.name()).isEqualTo(StateName.DSUPR);
            assertThat(state.acknowledged()).isTrue();

            take(new AlarmInput.SuppressByDesign(false, "pump-off", second(2)));

            assertThat(annunciations()).containsExactly(Annunciation.NONE, Annunciation.START);
            assertThat(state.name()).isEqualTo(StateName.UNACK);
        }

        @Test
        void aShelvedAlarmChangesFromOneKindOfShelvingToTheOther() {
            start(Memory.named(StateName.SHLVD), policy);
            take(new AlarmInput.ShelveOneShot(OPERATOR, "r", second(10)));
            assertThat(state.shelving().kind()).isEqualTo(Shelving.Kind.ONE_SHOT);
            assertThat(state.shelving().until()).isEqualTo(second(70).monotonicNanos());
            take(new AlarmInput.ShelveTimed(OPERATOR, "r", Duration.ofSeconds(5), second(20)));
            assertThat(state.shelving().kind()).isEqualTo(Shelving.Kind.TIMED);
            assertThat(state.shelving().until()).isEqualTo(second(25).monotonicNanos());
            assertThat(state.shelving().untilWallMillis()).isEqualTo(second(25).wallMillis());
            assertThat(events).extracting(AlarmEvent::text).containsExactly("r; once, for at most PT1M", "r; for PT5S");
        }

        @Test
        void oneShotShelvingOfAQuietAlarmLastsThroughItsNextActivation() {
            start(Memory.named(StateName.NORM), policy);
            take(new AlarmInput.ShelveOneShot(OPERATOR, "r", second(0)));
            gone(1);
            holds(2);
            assertThat(state.name()).isEqualTo(StateName.SHLVD);
            gone(3);
            assertThat(state.name()).isEqualTo(StateName.NORM);
            assertThat(kinds()).containsExactly(Kind.SHELVED, Kind.RAISED, Kind.RETURNED, Kind.AUTO_UNSHELVED);
        }

        @Test
        void outOfServiceIsRemindedOfOnceAndEndsOnlyByAPerson() {
            take(new AlarmInput.RemoveFromService(OPERATOR, "fan exchange", "P-12", Duration.ofHours(8), second(0)));
            assertThat(events.get(0).text()).isEqualTo("fan exchange; permit P-12; for PT8H");
            long hours8 = Duration.ofHours(8).toSeconds();
            OutOfService service = Objects.requireNonNull(state.outOfService());
            assertThat(service.untilWallMillis()).isEqualTo(second(hours8).wallMillis());
            assertThat(elapsed(hours8 - 1).wakeAt()).isEqualTo(second(hours8).monotonicNanos());
            elapsed(hours8);
            assertThat(elapsed(hours8 * 100).wakeAt()).isEqualTo(AlarmState.NEVER);
            assertThat(kinds()).containsExactly(Kind.REMOVED_FROM_SERVICE, Kind.SERVICE_TIME_OVER);
            assertThat(events.get(1).text()).isEqualTo("fan exchange; permit P-12");
            assertThat(state.name()).isEqualTo(StateName.OOSRV);
            OutOfService kept = Objects.requireNonNull(state.outOfService());
            assertThat(kept.untilWallMillis()).isEqualTo(service.untilWallMillis());
        }

        @Test
        void outOfServiceWithoutATimeAndWithoutAPermitSaysSo() {
            take(new AlarmInput.RemoveFromService(OPERATOR, "not verified", "", Duration.ZERO, second(0)));
            assertThat(events.get(0).text()).isEqualTo("not verified");
            assertThat(state.outOfService())
                    .isEqualTo(new OutOfService(OPERATOR, "not verified", "", AlarmState.NEVER, 0));
        }

        @Test
        void aTimeBeyondAllClocksIsNoTimeLimit() {
            for (Duration endless : List.of(
                    Duration.ofSeconds(Long.MAX_VALUE),
                    Duration.ofNanos(Long.MAX_VALUE),
                    Duration.ofNanos(Long.MAX_VALUE - 1))) {
                start(Memory.named(StateName.NORM), policy);
                take(new AlarmInput.RemoveFromService(OPERATOR, "stored", "", endless, second(5)));
                assertThat(state.outOfService())
                        .isEqualTo(new OutOfService(OPERATOR, "stored", "", AlarmState.NEVER, 0));
            }
            // a monotonic clock may begin below zero
            start(Memory.named(StateName.NORM), policy);
            Duration endless = Duration.ofNanos(Long.MAX_VALUE);
            take(new AlarmInput.RemoveFromService(OPERATOR, "stored", "", endless, second(-5)));
            assertThat(Objects.requireNonNull(state.outOfService()).until()).isEqualTo(AlarmState.NEVER);
        }

        @Test
        void aClassThatNobodyMayShelveIsNotShelved() {
            policy = Memory.restricted(policy, false, true);
            assertThat(take(new AlarmInput.ShelveTimed(OPERATOR, "r", Duration.ofSeconds(5), second(1)))
                            .refusal())
                    .isEqualTo(Refusal.SHELVING_NOT_ALLOWED);
            assertThat(take(new AlarmInput.ShelveOneShot(OPERATOR, "r", second(1)))
                            .refusal())
                    .isEqualTo(Refusal.SHELVING_NOT_ALLOWED);
            assertThat(state.name()).isEqualTo(StateName.NORM);
        }

        @Test
        void aRuleSetThatNoLongerAllowsSuppressionEndsItAtTheNextAnswer() {
            start(Memory.named(StateName.DSUPR).set(true, true, false), Memory.restricted(policy, true, false));
            take(new AlarmInput.SuppressByDesign(true, "pump-off", second(1)));
            assertThat(kinds()).containsExactly(Kind.UNSUPPRESSED);
            assertThat(state.name()).isEqualTo(StateName.UNACK);
        }
    }

    @Nested
    class DisabledAlarms {
        @Test
        void nothingComesOfSamplesUntilTheAlarmIsEnabled() {
            take(new AlarmInput.Disable(OPERATOR, "not fitted", second(0)));
            events.clear();
            holds(1);
            untold(2);
            gone(3);
            holds(4);
            assertThat(events).isEmpty();
            assertThat(elapsed(5).wakeAt()).isEqualTo(AlarmState.NEVER);

            take(new AlarmInput.Enable(OPERATOR, "fitted", second(6)));

            assertThat(kinds()).containsExactly(Kind.RAISED, Kind.ENABLED);
            assertThat(annunciations()).containsExactly(Annunciation.NONE, Annunciation.START);
            assertThat(state.name()).isEqualTo(StateName.UNACK);
        }

        @Test
        void anAlarmThatReturnedWhileDisabledIsNormalAfterwards() {
            start(Memory.named(StateName.UNACK), policy);
            take(new AlarmInput.Disable(OPERATOR, "r", second(0)));
            gone(1);
            take(new AlarmInput.Enable(OPERATOR, "r", second(2)));
            assertThat(kinds()).containsExactly(Kind.DISABLED, Kind.RETURNED, Kind.ENABLED);
            assertThat(annunciations()).containsExactly(Annunciation.END, Annunciation.NONE, Annunciation.NONE);
            assertThat(state.name()).isEqualTo(StateName.NORM);
        }

        @Test
        void theOnDelayGoesOnAcrossEnabling() {
            start(Memory.named(StateName.DISABLED), DELAYED);
            holds(0);
            holds(1);
            holds(2);
            assertThat(take(new AlarmInput.Enable(OPERATOR, "r", second(5))).wakeAt())
                    .isEqualTo(second(10).monotonicNanos());
            elapsed(10);
            assertThat(kinds()).containsExactly(Kind.ENABLED, Kind.RAISED);
        }

        @Test
        void shelvingEndsInItsTime() {
            Memory m = Memory.named(StateName.SHLVD);
            m.enabled = false;
            start(m, policy);
            elapsed(1_000);
            assertThat(kinds()).containsExactly(Kind.AUTO_UNSHELVED);
            assertThat(annunciations()).containsExactly(Annunciation.NONE);
        }
    }

    @Nested
    class Acknowledging {
        @Test
        void theSameCallAgainIsToldFromAStaleOne() {
            start(Memory.named(StateName.UNACK), policy);
            var call = new AlarmInput.Acknowledge(OPERATOR, "seen", "e7", second(1));
            assertThat(take(call).refusal()).isNull();
            state = state.withLastEvent("e8");
            assertThat(state.acknowledgedEvent()).isEqualTo("e7");
            assertThat(take(call).refusal()).isEqualTo(Refusal.ALREADY_ACKNOWLEDGED);
            assertThat(take(new AlarmInput.Acknowledge(OPERATOR, "seen", "e6", second(1)))
                            .refusal())
                    .isEqualTo(Refusal.EVENT_UNKNOWN);
            assertThat(events.get(1).text()).isEqualTo("Acknowledge: ALREADY_ACKNOWLEDGED");
        }

        @Test
        void anAcknowledgementOfTheLastOccurrenceIsNotTakenForThisOne() {
            start(Memory.named(StateName.UNACK), policy);
            state = state.withLastEvent("e9");
            assertThat(take(new AlarmInput.Acknowledge(OPERATOR, "seen", "e6", second(1)))
                            .refusal())
                    .isEqualTo(Refusal.EVENT_UNKNOWN);
            assertThat(state.name()).isEqualTo(StateName.UNACK);
        }

        @Test
        void theRuleAcknowledgesAtOnceWhereTheControlRoomOwnsAcknowledgement() {
            policy = Memory.policy(true, Acknowledgement.BY_RULE, 0, 1, 0);
            holds(1);
            gone(2);
            assertThat(events)
                    .extracting(AlarmEvent::kind, AlarmEvent::after, AlarmEvent::annunciate)
                    .containsExactly(
                            tuple(Kind.RAISED, StateName.UNACK, Annunciation.START),
                            tuple(Kind.AUTO_ACKNOWLEDGED, StateName.ACKED, Annunciation.STEADY),
                            tuple(Kind.RETURNED, StateName.LTACK, Annunciation.STEADY));
            assertThat(events.get(1).by()).isEqualTo(new Actor("cooling.fan-stopped", "rule"));
            assertThat(events.get(1).text()).isEqualTo("BY_RULE");
        }

        @Test
        void aLatchingAlarmIsNotAcknowledgedByItsReturn() {
            start(
                    Memory.named(StateName.UNACK).set(true, false, true),
                    Memory.policy(true, Acknowledgement.ON_RETURN, 0, 1, 0));
            gone(1);
            assertThat(state.name()).isEqualTo(StateName.LTUNK);
        }

        @Test
        void reAlarmCountsFromTheAcknowledgementAndRepeats() {
            start(Memory.named(StateName.UNACK), Memory.policy(false, Acknowledgement.BY_PERSON, 0, 1, 30));
            assertThat(take(new AlarmInput.Acknowledge(OPERATOR, "", null, second(10)))
                            .wakeAt())
                    .isEqualTo(second(40).monotonicNanos());
            take(new AlarmInput.Comment(OPERATOR, "crew called", null, second(20)));
            untold(25); // held with bad quality it still asks again
            assertThat(elapsed(40).wakeAt()).isEqualTo(AlarmState.NEVER);
            take(new AlarmInput.Acknowledge(OPERATOR, "", null, second(50)));
            elapsed(80);
            assertThat(state.reAlarms()).isEqualTo(2);
            take(new AlarmInput.Acknowledge(OPERATOR, "", null, second(81)));
            assertThat(gone(90).wakeAt()).isEqualTo(AlarmState.NEVER);
            assertThat(state.reAlarms()).isZero();
            assertThat(state.occurrence()).isEqualTo(7);
        }

        @Test
        void aRuleSetWithoutReAlarmStopsARunningOne() {
            Memory m = Memory.named(StateName.ACKED);
            m.reAlarm = 40;
            start(m, policy);
            assertThat(elapsed(50).wakeAt()).isEqualTo(AlarmState.NEVER);
            assertThat(events).isEmpty();
        }

        @Test
        void aRuleSetThatLatchesLatchesAnAlarmThatWasActiveBefore() {
            start(Memory.named(StateName.ACKED), Memory.policy(true, Acknowledgement.BY_PERSON, 0, 1, 0));
            gone(1);
            assertThat(state.name()).isEqualTo(StateName.LTACK);
        }
    }

    @Nested
    class Values {
        @Test
        void aPolicyIsChecked() {
            assertThatIllegalArgumentException()
                    .isThrownBy(() -> Memory.policy(false, Acknowledgement.BY_PERSON, -1, 1, 0));
            assertThatIllegalArgumentException()
                    .isThrownBy(() -> Memory.policy(false, Acknowledgement.BY_PERSON, 0, 0, 0));
            assertThatIllegalArgumentException()
                    .isThrownBy(() -> Memory.policy(false, Acknowledgement.BY_PERSON, 0, 1, -1));
        }

        @Test
        void anActNeedsAName() {
            assertThatIllegalArgumentException().isThrownBy(() -> new Actor(" ", "page"));
        }

        @Test
        void anAlarmIsWrittenAndOrderedByAssetThenRule() {
            AlarmId a = new AlarmId("T1", "b");
            assertThat(a).hasToString("T1/b");
            assertThat(a).isLessThan(new AlarmId("T2", "a")).isLessThan(new AlarmId("T1", "c"));
        }

        @Test
        void aNewAlarmIsNormalAndUntold() {
            AlarmState fresh = AlarmState.initial(Memory.ID, policy);
            assertThat(fresh.name()).isEqualTo(StateName.NORM);
            assertThat(fresh.condition()).isNull();
            assertThat(fresh.quality()).isEqualTo(Quality.BAD);
            assertThat(fresh.occurrence()).isZero();
            assertThat(fresh.annunciated()).isFalse();
        }

        @Test
        void everyRefusalHasAStatusOfTheStandardAndAMessage() {
            // OPC 10000-6 StatusCode.csv, symbols as used by OPC 10000-9, 5.5 to 5.8
            List<String> symbols = List.of(
                    "Bad_ConditionBranchAlreadyAcked",
                    "Bad_ConditionBranchAlreadyConfirmed",
                    "Bad_EventIdUnknown",
                    "Bad_InvalidState",
                    "Bad_ConditionAlreadyShelved",
                    "Bad_ConditionNotShelved",
                    "Bad_ShelvingTimeOutOfRange",
                    "Bad_MethodInvalid",
                    "Bad_ConditionDisabled",
                    "Bad_ConditionAlreadyDisabled",
                    "Bad_ConditionAlreadyEnabled",
                    "Bad_InvalidArgument",
                    "Bad_NodeIdUnknown");
            for (Refusal refusal : Refusal.values()) {
                assertThat(symbols).contains(refusal.opcUaStatus());
                assertThat(refusal.message()).isNotBlank();
            }
        }
    }

    @Nested
    class Restart {
        private static final long LEFT = 900;

        private Moment later(long wallSeconds, boolean trusted) {
            // a new process: its monotonic clock begins anew at 3 s
            return new Moment(second(3).monotonicNanos(), second(wallSeconds).wallMillis(), trusted);
        }

        private AlarmStep restartFrom(Moment savedAt, Moment now) {
            AlarmStep step = AlarmMachine.restart(state, savedAt, now, policy);
            state = step.next();
            events.addAll(step.events());
            return step;
        }

        private Memory everything() {
            Memory m = Memory.named(StateName.SHLVD).set(true, true, false); // shelved until 1000
            m.removed = true;
            m.reminder = 1_300;
            return m;
        }

        @Test
        void withATrustedClockTheTimeTheGatewayWasDownCounts() {
            start(everything(), policy);
            AlarmStep step = restartFrom(second(100), later(600, true));
            assertThat(step.events()).isEmpty();
            assertThat(state.shelving().until())
                    .isEqualTo(second(3 + LEFT - 500).monotonicNanos())
                    .isEqualTo(step.wakeAt());
            assertThat(state.shelving().untilWallMillis())
                    .isEqualTo(second(1_000).wallMillis());
            OutOfService service = Objects.requireNonNull(state.outOfService());
            assertThat(service.until()).isEqualTo(second(3 + 1_200 - 500).monotonicNanos());
            assertThat(service.untilWallMillis()).isEqualTo(second(1_300).wallMillis());
            assertThat(Objects.requireNonNull(state.activeSince()))
                    .isEqualTo(new Moment(
                            second(3 - 600).monotonicNanos(), second(0).wallMillis(), true));
        }

        @Test
        void withoutATrustedClockTheTimeLeftWhenSavedGoesOn() {
            for (boolean trustedThen : new boolean[] {true, false}) {
                start(everything(), policy);
                Moment saved =
                        new Moment(second(100).monotonicNanos(), second(100).wallMillis(), trustedThen);
                restartFrom(saved, later(600, !trustedThen));
                assertThat(state.shelving().until()).isEqualTo(second(3 + LEFT).monotonicNanos());
                // people are told the wall time anew only by a clock that knows it
                assertThat(state.shelving().untilWallMillis())
                        .isEqualTo(second(trustedThen ? 1_000 : 600 + LEFT).wallMillis());
            }
        }

        @Test
        void aWallClockThatWentBackAddsNoTime() {
            start(everything(), policy);
            restartFrom(second(100), later(40, true));
            assertThat(state.shelving().until()).isEqualTo(second(3 + LEFT).monotonicNanos());
        }

        @Test
        void whatEndedWhileTheGatewayWasDownIsDueAtOnce() {
            start(everything(), policy);
            AlarmStep step = restartFrom(second(100), later(1_100, true));
            assertThat(step.wakeAt()).isEqualTo(second(3).monotonicNanos());
            elapsed(3);
            assertThat(kinds()).containsExactly(Kind.AUTO_UNSHELVED);
            assertThat(state.name()).isEqualTo(StateName.OOSRV);
        }

        @Test
        void pendingDelaysStartFromZero() {
            start(Memory.named(StateName.NORM), DELAYED);
            holds(90);
            holds(91);
            holds(92);
            AlarmStep step = restartFrom(second(95), later(96, true));
            assertThat(step.wakeAt()).isEqualTo(AlarmState.NEVER);
            holds(4);
            holds(5);
            holds(6);
            elapsed(13);
            assertThat(events).isEmpty();
            elapsed(14);
            assertThat(kinds()).containsExactly(Kind.RAISED);
        }

        @Test
        void reAlarmGoesOn() {
            Memory m = Memory.named(StateName.ACKED);
            m.reAlarm = 130;
            start(m, Memory.policy(false, Acknowledgement.BY_PERSON, 0, 1, 60));
            assertThat(restartFrom(second(100), later(110, true)).wakeAt())
                    .isEqualTo(second(3 + 20).monotonicNanos());
        }

        @Test
        void anAlarmAtRestIsTheVerySameAfterwards() {
            start(Memory.named(StateName.NORM), policy);
            AlarmState before = state;
            assertThat(restartFrom(second(100), later(110, true)).next()).isSameAs(before);
        }

        @Test
        void withoutAnyTimeShelvingEndsAndTheServiceReminderIsDue() {
            start(everything(), policy);
            AlarmStep step = AlarmMachine.restart(state, null, later(600, true), policy);
            assertThat(step.events())
                    .extracting(AlarmEvent::kind, AlarmEvent::annunciate, AlarmEvent::after)
                    .containsExactly(tuple(Kind.AUTO_UNSHELVED, Annunciation.NONE, StateName.OOSRV));
            assertThat(step.wakeAt()).isEqualTo(second(3).monotonicNanos());
            assertThat(Objects.requireNonNull(step.next().activeSince()).monotonicNanos())
                    .isEqualTo(second(3).monotonicNanos());
        }

        @Test
        void withoutAnyTimeReAlarmStartsFromZeroAndNoReminderIsInvented() {
            Memory m = Memory.named(StateName.ACKED);
            m.reAlarm = 130;
            start(m, Memory.policy(false, Acknowledgement.BY_PERSON, 0, 1, 60));
            AlarmStep step = AlarmMachine.restart(state, null, later(600, true), policy);
            assertThat(step.wakeAt()).isEqualTo(second(63).monotonicNanos());
            start(Memory.named(StateName.OOSRV), policy);
            assertThat(AlarmMachine.restart(state, null, later(600, true), policy)
                            .wakeAt())
                    .isEqualTo(AlarmState.NEVER);
        }
    }
}
