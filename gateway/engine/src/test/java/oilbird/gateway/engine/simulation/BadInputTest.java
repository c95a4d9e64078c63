package oilbird.gateway.engine.simulation;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.logging.Level;
import java.util.logging.Logger;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.GatewayIndication;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;

/** What bad times, bad order, bad dates and a bad disk do to alarms; each promise of {@link Observer} holds meanwhile. */
class BadInputTest {
    private static final Logger LOG = Logger.getLogger("oilbird");
    private static final AlarmId FAN = new AlarmId("t1", "gas-t1.cabinet-fan-stopped");
    private static final AlarmId OVERDUE = new AlarmId("t1", "gas-t1.analysis-overdue");
    private static final AlarmId CLOCK = gatewayAlarm(GatewayIndication.CLOCK_NOT_TRUSTED);
    private static final AlarmId NOT_WRITTEN = gatewayAlarm(GatewayIndication.RECORD_NOT_WRITTEN);
    private static final Duration SOON = Duration.ofSeconds(5);

    private final Store store = Store.inMemory();
    private final World world = new World(1, store, PlantedFault.NONE, WriterSettings.DEFAULT);
    private final ScriptedDevice monitor = world.device("gas-t1");

    @BeforeAll
    static void quiet() {
        LOG.setLevel(Level.OFF);
    }

    private static AlarmId gatewayAlarm(GatewayIndication indication) {
        return new AlarmId("gateway", "gateway." + indication.signal());
    }

    private static Chances only(double twice, double reordered, double future) {
        return new Chances(0, 0, 0, 0, twice, reordered, future, 0, 0, 0, 0, 0, 0, 0, 0);
    }

    private List<AlarmEvent> events(AlarmId alarm) {
        return world.observer().announced().stream()
                .map(RecordedEvent::event)
                .filter(StationEvent.OfAlarm.class::isInstance)
                .map(event -> ((StationEvent.OfAlarm) event).event())
                .filter(event -> event.alarm().equals(alarm))
                .toList();
    }

    private List<AlarmEvent.Kind> kinds(AlarmId alarm) {
        return events(alarm).stream().map(AlarmEvent::kind).toList();
    }

    private Moment now() {
        return Windlow.known(world.gateway(), "gateway").clock.now();
    }

    private void expectEverythingDelivered(Duration time) {
        world.run(time);
        world.observer().afterQuiet(Windlow.known(world.gateway(), "gateway").view(), world.scripted());
    }

    private void aWallClockThatStepsBy(Duration step) {
        world.run(Duration.ofSeconds(20));
        monitor.setFan(true);
        world.run(SOON);
        Windlow.known(world.gateway(), "gateway")
                .act(new StationInput.Act(
                        FAN,
                        new AlarmInput.ShelveTimed(
                                new Actor("A. Operator", "page"), "known", Duration.ofSeconds(30), now())));
        world.run(SOON);
        int before = world.observer().announcedEvents();
        world.stepWall(step);
        world.run(Duration.ofSeconds(20));
        assertThat(world.observer().announced().subList(before, world.observer().announcedEvents()))
                .as("nothing comes, goes or grows stale by it; it is noted, marked and told")
                .hasSize(2)
                .satisfiesExactlyInAnyOrder(
                        recorded -> assertThat(recorded.event())
                                .isInstanceOfSatisfying(StationEvent.Notice.class, notice -> {
                                    assertThat(notice.kind()).isEqualTo(StationEvent.Notice.Kind.CLOCK_STEPPED);
                                    assertThat(notice.text()).contains(String.valueOf(step.toMillis()));
                                }),
                        recorded -> assertThat(recorded.event())
                                .isInstanceOfSatisfying(StationEvent.OfAlarm.class, ofAlarm -> {
                                    assertThat(ofAlarm.event().alarm()).isEqualTo(CLOCK);
                                    assertThat(ofAlarm.at().wallTrusted()).isFalse();
                                }));
        world.run(Duration.ofSeconds(10));
        assertThat(kinds(FAN))
                .as("shelved for thirty seconds, not for thirty seconds and an hour")
                .containsExactly(AlarmEvent.Kind.RAISED, AlarmEvent.Kind.SHELVED, AlarmEvent.Kind.AUTO_UNSHELVED);
        world.run(Duration.ofMinutes(10));
        assertThat(now().wallTrusted()).as("ten minutes after the step").isTrue();
        assertThat(kinds(CLOCK)).endsWith(AlarmEvent.Kind.RETURNED);
        expectEverythingDelivered(SOON);
    }

    @Test
    void aWallClockSetForwardByAnHourRaisesNothingButItsOwnAlarmAndEndsNoDelayEarly() {
        aWallClockThatStepsBy(Duration.ofHours(1));
    }

    @Test
    void aWallClockSetBackByAnHourRaisesNothingButItsOwnAlarmAndMakesNoDelayLonger() {
        aWallClockThatStepsBy(Duration.ofHours(-1));
    }

    @Test
    void aBoxThatBootsWithoutTimeWatchesAndMarksEveryTimeStampUntilItsClockIsSet() {
        world.wallUnset();
        world.run(Duration.ofSeconds(20));
        monitor.setFan(true);
        world.run(SOON);
        assertThat(kinds(FAN)).containsExactly(AlarmEvent.Kind.RAISED);
        assertThat(kinds(CLOCK)).containsExactly(AlarmEvent.Kind.RAISED);
        assertThat(world.observer().announced())
                .allSatisfy(
                        event -> assertThat(event.event().at().wallTrusted()).isFalse());
        world.wallSet();
        monitor.setFan(false);
        world.run(SOON);
        assertThat(events(FAN).get(1).kind()).isEqualTo(AlarmEvent.Kind.RETURNED);
        assertThat(events(FAN).get(1).at().wallTrusted()).isTrue();
        expectEverythingDelivered(Duration.ofSeconds(15));
        assertThat(kinds(CLOCK)).containsExactly(AlarmEvent.Kind.RAISED, AlarmEvent.Kind.RETURNED);
    }

    @Test
    void losingTheTimeServerIsToldAndChangesNoOtherAlarm() {
        world.run(Duration.ofSeconds(20));
        world.synchronised(false);
        world.run(SOON);
        monitor.setFan(true);
        world.run(SOON);
        assertThat(kinds(CLOCK)).containsExactly(AlarmEvent.Kind.RAISED);
        assertThat(events(FAN))
                .singleElement()
                .satisfies(raised -> assertThat(raised.at().wallTrusted()).isFalse());
        world.synchronised(true);
        world.run(SOON);
        assertThat(kinds(CLOCK)).containsExactly(AlarmEvent.Kind.RAISED, AlarmEvent.Kind.RETURNED);
        assertThat(kinds(FAN)).containsExactly(AlarmEvent.Kind.RAISED);
    }

    @Test
    void anAnswerThatComesAfterALaterOneNeitherRaisesNorClears() {
        world.run(Duration.ofSeconds(20));
        world.chances(only(0, 0.5, 0));
        monitor.setFan(true);
        world.run(Duration.ofSeconds(30));
        assertThat(kinds(FAN)).containsExactly(AlarmEvent.Kind.RAISED);
        monitor.setFan(false);
        world.run(Duration.ofSeconds(30));
        assertThat(kinds(FAN)).containsExactly(AlarmEvent.Kind.RAISED, AlarmEvent.Kind.RETURNED);
        world.chances(Chances.NONE);
        expectEverythingDelivered(SOON);
    }

    @Test
    void anAnswerDatedAheadOfTheClockIsTakenAsOfNowAndMakesNothingElseOld() {
        world.run(Duration.ofSeconds(20));
        world.chances(only(0, 0, 0.5));
        world.run(Duration.ofSeconds(20));
        monitor.setFan(true);
        world.run(SOON);
        monitor.setFan(false);
        world.run(Duration.ofSeconds(20));
        world.chances(Chances.NONE);
        assertThat(kinds(FAN)).containsExactly(AlarmEvent.Kind.RAISED, AlarmEvent.Kind.RETURNED);
        assertThat(kinds(OVERDUE)).isEmpty();
        assertThat(world.observer().announced())
                .allSatisfy(event ->
                        assertThat(event.event().at().monotonicNanos()).isLessThanOrEqualTo(now().monotonicNanos()));
        monitor.setFan(true);
        world.run(SOON);
        assertThat(kinds(FAN)).as("later answers are not shut out").hasSize(3);
        expectEverythingDelivered(SOON);
    }

    @Test
    void anAnswerThatIsDeliveredTwiceIsOneSample() {
        world.run(Duration.ofSeconds(20));
        world.chances(only(1, 0, 0));
        // The rule wants two samples; a bit that holds for one period of 500 ms gives one.
        for (int i = 0; i < 20; i++) {
            monitor.setFan(true);
            world.run(Duration.ofMillis(500));
            monitor.setFan(false);
            world.run(Duration.ofMillis(1_500));
        }
        assertThat(kinds(FAN)).isEmpty();
        monitor.setFan(true);
        world.run(Duration.ofMillis(1_100));
        assertThat(kinds(FAN)).containsExactly(AlarmEvent.Kind.RAISED);
        world.chances(Chances.NONE);
        expectEverythingDelivered(SOON);
    }

    @Test
    void aFullDiskRaisesAnAlarmGoesOnFromMemorySaysSoAndIsCaughtUpWithIdsThatStayUnique() {
        world.run(Duration.ofSeconds(20));
        world.disk().full(true);
        world.run(SOON);
        monitor.setFan(true);
        world.run(Duration.ofSeconds(20));
        assertThat(kinds(NOT_WRITTEN)).containsExactly(AlarmEvent.Kind.RAISED);
        assertThat(kinds(FAN)).containsExactly(AlarmEvent.Kind.RAISED);
        assertThat(world.observer().announced())
                .filteredOn(event -> !event.recorded())
                .as("what is announced from memory says so")
                .isNotEmpty();
        monitor.setFan(false);
        world.disk().full(false);
        expectEverythingDelivered(Duration.ofSeconds(30));
        assertThat(kinds(NOT_WRITTEN)).containsExactly(AlarmEvent.Kind.RAISED, AlarmEvent.Kind.RETURNED);
        assertThat(world.observer().excusedEvents()).as("nothing was given up").isZero();
        Set<EventId> ids = new HashSet<>();
        store.rowsAfter(0).forEach(row -> assertThat(ids.add(row.event().id())).isTrue());
        assertThat(ids).hasSize(world.observer().announcedEvents());
    }

    @Test
    void aFullDiskAndThenTheLossOfPowerRepeatsNoId() {
        world.run(Duration.ofSeconds(20));
        world.disk().full(true);
        world.run(SOON);
        monitor.setFan(true);
        world.run(Duration.ofSeconds(20));
        world.powerGoesIn(1);
        world.run(Duration.ofSeconds(40));
        world.disk().full(false);
        assertThat(world.starts()).isEqualTo(2);
        expectEverythingDelivered(Duration.ofSeconds(60));
        assertThat(world.observer().excusedEvents())
                .as("what was announced from memory is lost with a restart, as stated")
                .isPositive();
        assertThat(world.observer().announced().stream()
                        .map(event -> event.event().id())
                        .distinct())
                .hasSize(world.observer().announcedEvents());
    }

    @Test
    void tenThousandEventsInTenSecondsAreAllStoredAndAllReachBothControlRooms() {
        world.run(Duration.ofSeconds(20));
        int before = world.observer().announcedEvents();
        String block = Windlow.STATION.model().facts().devices().stream()
                .filter(device -> device.id().equals("cooling-t1"))
                .flatMap(device -> device.kind().blocks().stream())
                .filter(b -> b.signals().contains("pump-tripped"))
                .findFirst()
                .orElseThrow()
                .name();
        for (int i = 0; i < 10_000; i++) {
            // Two answers with all three tripped, then two with none: each rule wants two samples.
            boolean tripped = i % 4 < 2;
            world.timeline().in(i * Timeline.MILLI, () -> {
                World.Gateway gateway = Windlow.known(world.gateway(), "gateway");
                Moment at = gateway.clock.now();
                List<Indication> told = List.of("fan-group-1-tripped", "fan-group-2-tripped", "pump-tripped").stream()
                        .map(name -> Indication.of(new SignalId("cooling-t1", name), tripped, at))
                        .toList();
                gateway.offer(
                        new StationInput.Observed(new Decoded("cooling-t1", block, List.of(), told, List.of(), at)));
            });
        }
        world.chances(new Chances(0, 0, 0, 0, 0, 0, 0, 0.02, 0.002, 0, 0.02, 0, 0, 0, 0));
        world.run(Duration.ofSeconds(10));
        assertThat(world.observer().announcedEvents() - before).isGreaterThan(10_000);
        world.chances(Chances.NONE);
        expectEverythingDelivered(Duration.ofMinutes(15));
        assertThat(world.observer().excusedEvents()).isZero();
    }
}
