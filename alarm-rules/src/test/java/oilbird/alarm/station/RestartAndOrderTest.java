package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Random;
import java.util.Set;
import java.util.stream.Collectors;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.Refusal;
import oilbird.alarm.state.StateName;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class RestartAndOrderTest {
    private static final String FAN = "t1/gas-t1.cabinet-fan-stopped";
    private static final String HYDROGEN = "t1/gas-t1.hydrogen-high";

    private static Bench bench() {
        StationFacts facts = Windlow.facts();
        return Bench.of(facts, Windlow.rules(facts, "windlow-gas-monitor.yaml"));
    }

    // ---- start

    @Test
    void nothingIsRaisedBeforeAnythingWasTold() {
        Bench bench = bench();
        assertThat(bench.alarmEvents(e -> true)).isEmpty();
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.NOT_YET_READ);
        assertThat(bench.indication("gas-t1", "cabinet-fan-stopped").state()).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        bench.apply(new StationInput.Elapsed(
                bench.now().plusNanos(Duration.ofDays(1).toNanos())));
        assertThat(bench.alarmEvents(e -> true)).isEmpty();
    }

    @Test
    void theFirstEventsSayWhichRunItIsAndHowManyAlarmsThereAre() {
        Bench bench = bench();
        assertThat(bench.events()).extracting(e -> e.id().toString()).containsExactly("gw1.1.1", "gw1.1.2");
        assertThat(bench.notices(StationEvent.Notice.Kind.GATEWAY_STARTED)).hasSize(1);
        assertThat(bench.notices(StationEvent.Notice.Kind.RULES_LOADED))
                .extracting(StationEvent.Notice::text)
                .containsExactly("10 alarms, test");
    }

    // ---- restart

    @Test
    void anActiveUnacknowledgedAlarmSurvivesARestartAsTheSameOccurrenceWithoutANewEvent() {
        Bench bench = bench();
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        AlarmState before = bench.alarm(FAN).state();
        bench.restart(Duration.ofSeconds(30)).run(5);
        AlarmState after = bench.alarm(FAN).state();
        assertThat(after.name()).isEqualTo(StateName.UNACK);
        assertThat(after.occurrence()).isEqualTo(before.occurrence()).isEqualTo(1);
        assertThat(after.lastEvent()).isEqualTo(before.lastEvent());
        assertThat(bench.kinds(FAN)).containsExactly(Kind.RAISED);
    }

    @Test
    void aRestoredAlarmStaysActiveWhileItsDeviceIsSilentAndReturnsOnlyWhenToldSo() {
        Bench bench = bench();
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        bench.silent("gas-t1").restart(Duration.ofHours(1)).run(30);
        assertThat(bench.alarm(FAN).state().active()).isTrue();
        bench.back("gas-t1").set("gas-t1", "cabinet-fan-stopped", false).run(3);
        assertThat(bench.alarm(FAN).state().name()).isEqualTo(StateName.RTNUN);
    }

    @Test
    void noEventIdComesTwiceAcrossRestarts() {
        Bench bench = bench();
        for (int run = 0; run < 4; run++) {
            bench.set("gas-t1", "cabinet-fan-stopped", run % 2 == 0).run(3).restart(Duration.ofSeconds(1));
        }
        Set<EventId> ids = new LinkedHashSet<>();
        bench.events().forEach(e -> ids.add(e.id()));
        assertThat(ids).hasSameSizeAs(bench.events());
        assertThat(bench.kinds(FAN)).containsExactly(Kind.RAISED, Kind.RETURNED, Kind.RAISED, Kind.RETURNED);
    }

    @Test
    void onlyStatesThatAreWorthACommitAreHandedOut() {
        Bench bench = bench();
        bench.run(5);
        assertThat(bench.stored()).isEmpty();
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(5);
        assertThat(bench.stored()).containsOnlyKeys(Bench.id(FAN));
        assertThat(bench.stored().get(Bench.id(FAN))).isEqualTo(bench.alarm(FAN).state());
    }

    @Test
    void anAlarmWhoseRuleIsGoneLeavesTheListAndComesBackWithItsRule() {
        StationFacts facts = Windlow.facts();
        List<RuleInstance> all = Windlow.rules(facts, "windlow-gas-monitor.yaml");
        Bench bench = Bench.of(facts, all);
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        List<RuleInstance> without =
                all.stream().filter(r -> !r.id().equals(Bench.id(FAN))).toList();
        bench.restart(new StationModel(facts, without, StationModel.Settings.DEFAULT, ""), Duration.ZERO);
        assertThat(bench.last(FAN).event().kind()).isEqualTo(Kind.REMOVED_FROM_SERVICE);
        assertThat(bench.last(FAN).event().annunciate()).isEqualTo(AlarmEvent.Annunciation.END);
        assertThat(bench.last(FAN).event().text()).isEqualTo("no rule stands for this alarm any more");
        int events = bench.events().size();
        bench.restart(new StationModel(facts, without, StationModel.Settings.DEFAULT, ""), Duration.ZERO);
        assertThat(bench.alarmEvents(e -> e.alarm().equals(Bench.id(FAN)))).hasSize(2);
        assertThat(bench.events()).hasSize(events + 2);

        bench.restart(bench.model(), Duration.ZERO).run(2);
        assertThat(bench.alarm(FAN).state().name()).isEqualTo(StateName.UNACK);
        assertThat(bench.kinds(FAN)).containsExactly(Kind.RAISED, Kind.REMOVED_FROM_SERVICE, Kind.PLACED_IN_SERVICE);
    }

    // ---- verification

    @Test
    void anUnverifiedIndicationRaisesNoOperatorAlarm() {
        StationFacts facts = Windlow.facts(List.of("cabinet-fan-stopped"));
        Bench bench = Bench.of(facts, Windlow.rules(facts, "windlow-gas-monitor.yaml"));
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(3);
        assertThat(bench.alarm(FAN).state().name()).isEqualTo(StateName.OOSRV);
        assertThat(bench.last(FAN).event().annunciate()).isEqualTo(AlarmEvent.Annunciation.NONE);
        assertThat(bench.alarmEvents(e -> e.kind() == Kind.REMOVED_FROM_SERVICE))
                .extracting(AlarmEvent::text)
                .containsOnly("not verified against the local display");
        assertThat(bench.alarm(HYDROGEN).state().outOfService())
                .as("what is verified is in service")
                .isNull();

        StationFacts verified = Windlow.facts();
        bench.restart(
                new StationModel(
                        verified,
                        Windlow.rules(verified, "windlow-gas-monitor.yaml"),
                        StationModel.Settings.DEFAULT,
                        ""),
                Duration.ZERO);
        assertThat(bench.alarm(FAN).state().name()).isEqualTo(StateName.UNACK);
    }

    @Test
    void whoPlacesAnAlarmInServiceWhosePointNobodyVerifiedIsRefusedAndTheRefusalIsRecorded() {
        StationFacts facts = Windlow.facts(List.of("cabinet-fan-stopped"));
        Bench bench = Bench.of(facts, Windlow.rules(facts, "windlow-gas-monitor.yaml"));

        StationStep step = bench.act(FAN, new AlarmInput.PlaceInService(Bench.OPERATOR, "", bench.now()));

        assertThat(step.refusal()).isEqualTo(Refusal.POINTS_NOT_VERIFIED);
        assertThat(bench.last(FAN).event().kind()).isEqualTo(Kind.REFUSED);
        assertThat(bench.alarm(FAN).state().name()).isEqualTo(StateName.OOSRV);
    }

    // ---- human acts

    @Test
    void anAcknowledgementWithTheEventThatWasSeenIsTakenAndAStaleOneIsRefused() {
        Bench bench = bench();
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        String seen = bench.alarm(FAN).state().lastEvent();
        assertThat(bench.act(FAN, new AlarmInput.Acknowledge(Bench.OPERATOR, "", "gw1.1.1", bench.now()))
                        .refusal())
                .isEqualTo(Refusal.EVENT_UNKNOWN);
        assertThat(bench.act(FAN, new AlarmInput.Acknowledge(Bench.OPERATOR, "seen", seen, bench.now()))
                        .refusal())
                .as("a refused call does not make the event that was seen a stale one")
                .isNull();
        assertThat(bench.alarm(FAN).state().name()).isEqualTo(StateName.ACKED);
        assertThat(bench.acknowledge(FAN).refusal()).isEqualTo(Refusal.ALREADY_ACKNOWLEDGED);
        assertThat(bench.kinds(FAN)).containsExactly(Kind.RAISED, Kind.REFUSED, Kind.ACKNOWLEDGED, Kind.REFUSED);
        assertThat(bench.last(FAN).event().by()).isEqualTo(Bench.OPERATOR);
    }

    @Test
    void anActOnAnUnknownAlarmIsRefusedAndLeavesNoTrace() {
        Bench bench = bench();
        int before = bench.events().size();
        assertThat(bench.acknowledge("t9/nothing").refusal()).isEqualTo(Refusal.ALARM_UNKNOWN);
        assertThat(bench.events()).hasSize(before);
    }

    @Test
    void whereTheControlRoomOwnsAcknowledgementAlarmsAreAcknowledgedByRule() {
        StationFacts facts = Windlow.facts();
        Bench bench = new Bench(new StationModel(
                facts,
                Windlow.rules(facts, "windlow-gas-monitor.yaml"),
                new StationModel.Settings(
                        StationModel.AcknowledgementOwner.CONTROL_ROOM,
                        3,
                        Duration.ofSeconds(60),
                        Duration.ofSeconds(5)),
                ""));
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        assertThat(bench.kinds(FAN)).containsExactly(Kind.RAISED, Kind.AUTO_ACKNOWLEDGED);
        assertThat(bench.alarm(FAN).state().name()).isEqualTo(StateName.ACKED);
    }

    // ---- requests that fail

    @Test
    void aRefusedBlockMarksItsOwnSignalsAndNoOthersAndTheDeviceIsNotLost() {
        Bench bench = bench();
        bench.run(1);
        bench.fail("gas-t1", "readings", QualityReason.REFUSED_BY_DEVICE);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.REFUSED_BY_DEVICE);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.NONE);
        assertThat(bench.indication("gas-t1", "communication-lost").state()).isEqualTo(IndicationState.DOES_NOT_HOLD);
        bench.fail("gas-t1", "readings", QualityReason.INVALID_ANSWER);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.INVALID_ANSWER);
        bench.run(1);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.NONE);
    }

    @Test
    void oneRequestThatTimesOutWhileAnotherIsAnsweredDoesNotLoseTheDevice() {
        Bench bench = bench();
        bench.run(1);
        for (int i = 0; i < 10; i++) {
            bench.fail("gas-t1", "readings", QualityReason.UNREACHABLE);
            bench.run(0.5);
        }
        assertThat(bench.notices(StationEvent.Notice.Kind.DEVICE_LOST)).isEmpty();
        bench.fail("gas-t1", "readings", QualityReason.UNREACHABLE);
        bench.fail("gas-t1", "readings", QualityReason.UNREACHABLE);
        assertThat(bench.notices(StationEvent.Notice.Kind.DEVICE_LOST)).hasSize(1);
    }

    @Test
    void aFailedConnectionLosesTheDeviceAtOnce() {
        Bench bench = bench();
        bench.run(1);
        bench.fail("gas-t1", "", QualityReason.UNREACHABLE);
        assertThat(bench.device("gas-t1").lost()).isTrue();
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.UNREACHABLE);
    }

    @Test
    void anotherProductIsNoticedOnceAndNothingOfItIsUsed() {
        Bench bench = bench();
        bench.run(1);
        bench.fail("gas-t1", "", QualityReason.OTHER_PRODUCT);
        bench.fail("gas-t1", "", QualityReason.OTHER_PRODUCT);
        assertThat(bench.notices(StationEvent.Notice.Kind.OTHER_PRODUCT)).hasSize(1);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.OTHER_PRODUCT);
        assertThat(bench.indication("gas-t1", "communication-lost").state()).isEqualTo(IndicationState.HOLDS);
    }

    @Test
    void aDeviceThatAnswersNothingButNonsenseIsLostAndOneGoodAnswerBringsItBack() {
        Bench bench = bench();
        bench.run(1);
        bench.fail("gas-t1", "status", QualityReason.INVALID_ANSWER);
        bench.fail("gas-t1", "readings", QualityReason.REFUSED_BY_DEVICE);
        assertThat(bench.device("gas-t1").lost()).as("each block failed once").isFalse();
        bench.fail("gas-t1", "status", QualityReason.INVALID_ANSWER);
        assertThat(bench.device("gas-t1").lost()).isTrue();
        bench.fail("gas-t1", "readings", QualityReason.REFUSED_BY_DEVICE);
        assertThat(bench.device("gas-t1").lost())
                .as("a refusal brings nothing back")
                .isTrue();
        bench.run(0.5);
        assertThat(bench.device("gas-t1").lost()).isFalse();
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason())
                .as("the other block has not been read yet")
                .isEqualTo(QualityReason.REFUSED_BY_DEVICE);
    }

    @Test
    void aReadingThatNoRuleCanSpeakOfIsShownAllTheSame() {
        Bench bench = bench();
        bench.run(1);
        bench.apply(new StationInput.Observed(new Decoded(
                "gas-t1",
                "status",
                List.of(new Reading(
                        new SignalId("gas-t1", "analysis-state"), null, "measuring", QualityReason.NONE, bench.now())),
                List.of(),
                List.of(),
                bench.now())));
        assertThat(bench.reading("gas-t1", "analysis-state").reading().text()).isEqualTo("measuring");
    }

    @Test
    void anAnswerOlderThanTheLastOneOfItsBlockChangesNothing() {
        Bench bench = bench();
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(1);
        StationInput.Observed old = null;
        for (StationInput input : bench.inputs()) {
            if (input instanceof StationInput.Observed observed
                    && observed.decoded().device().equals("gas-t1")
                    && observed.decoded().block().equals("status")) {
                old = observed;
                break;
            }
        }
        bench.set("gas-t1", "cabinet-fan-stopped", false).run(3);
        int before = bench.events().size();
        assertThat(old).isNotNull();
        bench.apply(old);
        bench.apply(old);
        assertThat(bench.events()).hasSize(before);
        assertThat(bench.indication("gas-t1", "cabinet-fan-stopped").state()).isEqualTo(IndicationState.DOES_NOT_HOLD);
    }

    @Test
    void anInputFromADeviceThatTheStationDoesNotHaveIsABug() {
        Bench bench = bench();
        assertThatThrownBy(() -> bench.apply(new StationInput.Observed(
                        new Decoded("gas-t9", "status", List.of(), List.of(), List.of(), bench.now()))))
                .isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("gas-t9");
    }

    // ---- debounce and bits

    @Test
    void aFlappingBitUnderDebounceRaisesNothing() {
        Bench bench = bench();
        for (int i = 0; i < 40; i++) {
            bench.set("gas-t1", "cabinet-fan-stopped", i % 2 == 0).run(0.5);
        }
        assertThat(bench.kinds(FAN)).isEmpty();
    }

    @Test
    void aBitThatFlapsMoreSlowlyThanTheDebounceIsMarkedAsChattering() {
        Bench bench = bench();
        for (int i = 0; i < 6; i++) {
            bench.set("gas-t1", "cabinet-fan-stopped", i % 2 == 0).run(2);
        }
        assertThat(bench.alarm(FAN).chattering()).isTrue();
        assertThat(bench.alarm(FAN).state().occurrence()).isEqualTo(3);
        bench.run(60);
        assertThat(bench.alarm(FAN).chattering()).isFalse();
    }

    @Test
    void anUndocumentedBitIsNoticedOnceForEachNewBit() {
        Bench bench = bench();
        bench.undocumented("gas-t2", 1 << 12).run(3);
        bench.undocumented("gas-t2", 1 << 12 | 1 << 3).run(3);
        bench.undocumented("gas-t2", 0).run(1).undocumented("gas-t2", 1 << 12).run(1);
        assertThat(bench.notices(StationEvent.Notice.Kind.UNDOCUMENTED_BIT))
                .extracting(StationEvent.Notice::text)
                .containsExactly("bit 12 is set; word 0x1000", "bit 3 is set; word 0x1008");
        assertThat(bench.notices(StationEvent.Notice.Kind.UNDOCUMENTED_BIT))
                .extracting(StationEvent.Notice::subject)
                .containsOnly(new SignalId("gas-t2", "status-a"));
        assertThat(bench.alarmEvents(e -> true)).isEmpty();
    }

    @Test
    void whatTheGatewayNoticesIsNumberedWithTheRest() {
        Bench bench = bench();
        bench.apply(new StationInput.Noticed(
                StationEvent.Notice.Kind.INPUTS_LOST, new SignalId("gw1", "queue"), "3 readings", bench.now()));
        assertThat(bench.notices(StationEvent.Notice.Kind.INPUTS_LOST))
                .extracting(n -> n.id().sequence())
                .containsExactly(3L);
    }

    // ---- same inputs, same events

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5})
    void theSameInputsGiveTheSameEventsByteForByte(long seed) {
        Bench recorded = wander(seed);
        StationFacts facts = Windlow.facts();
        StationModel model = new StationModel(
                facts, Windlow.rules(facts, "windlow-gas-monitor.yaml"), StationModel.Settings.DEFAULT, "test");
        StationFold again =
                StationFold.start(model, List.of(), null, "gw1", 1, new Moment(0, 1_772_323_200_000L, true));
        List<StationEvent> replayed = new ArrayList<>(again.opening().events());
        recorded.inputs().forEach(input -> replayed.addAll(again.apply(input).events()));
        assertThat(text(replayed)).as("seed %d", seed).isEqualTo(text(recorded.events()));
        assertThat(recorded.alarmEvents(e -> true)).as("seed %d", seed).isNotEmpty();
        assertThat(again.view().alarms().values())
                .extracting(StationView.AlarmView::state)
                .containsExactlyElementsOf(recorded.view().alarms().values().stream()
                        .map(StationView.AlarmView::state)
                        .toList());
        assertThat(again.view().devices()).isEqualTo(recorded.view().devices());
    }

    @Test
    void theSameInputsGiveTheSameEventsAcrossARestartToo() {
        Bench one = wander(21).restart(Duration.ofSeconds(7));
        Bench other = wander(21).restart(Duration.ofSeconds(7));
        for (Bench bench : List.of(one, other)) {
            bench.run(40).set("gas-t2", "cabinet-fan-stopped", true).run(5);
        }
        assertThat(text(one.events())).isEqualTo(text(other.events()));
        Set<EventId> ids = new LinkedHashSet<>();
        one.events().forEach(e -> ids.add(e.id()));
        assertThat(ids).hasSameSizeAs(one.events());
        assertThat(ids).extracting(EventId::incarnation).contains(1L, 2L);
        assertThat(one.stored()).isEqualTo(other.stored());
    }

    private static String text(List<StationEvent> events) {
        return events.stream().map(StationEvent::toString).collect(Collectors.joining("\n"));
    }

    private static Bench wander(long seed) {
        Random random = new Random(seed);
        Bench bench = bench();
        List<String> bits = List.of("cabinet-fan-stopped", "oil-flow-low", "detector-fault", "cell-cold");
        for (int i = 0; i < 300; i++) {
            String device = random.nextBoolean() ? "gas-t1" : "gas-t2";
            switch (random.nextInt(8)) {
                case 0 -> bench.set(device, bits.get(random.nextInt(bits.size())), random.nextBoolean());
                case 1 -> bench.set(device, bits.get(random.nextInt(bits.size())), QualityReason.DECLARED_INVALID);
                case 2 -> bench.gases(device, random.nextInt(300));
                case 3 -> bench.set(device, "heat-sink-temperature", (double) random.nextInt(60));
                case 4 -> bench.silent(device);
                case 5 -> bench.back(device);
                case 6 -> bench.acknowledge("t1/" + "gas-t1.hydrogen-high");
                default -> bench.run(random.nextInt(20) / 2.0);
            }
            bench.run(0.5);
        }
        return bench;
    }

    @ParameterizedTest
    @ValueSource(longs = {11, 12, 13})
    void noActiveAlarmIsClearedWhileItsInputsAreNotGood(long seed) {
        Bench bench = wander(seed);
        List<AlarmEvent> returned = bench.alarmEvents(e -> e.kind() == Kind.RETURNED || e.kind() == Kind.EASED);
        assertThat(returned).as("seed %d", seed).isNotEmpty();
        assertThat(returned).as("seed %d", seed).allMatch(e -> e.quality() == Quality.GOOD);
    }
}
