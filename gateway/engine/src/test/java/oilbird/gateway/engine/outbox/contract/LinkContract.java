package oilbird.gateway.engine.outbox.contract;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.Callable;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationModel;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.StationFixture;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.outbox.LinkState;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.engine.writer.WriterSettings;
import org.awaitility.Awaitility;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * What every link has to hold. A module with a link extends it, and gives its real peer.
 *
 * <p>The station is the invented Windlow of {@link StationFixture}: one gas monitor with fans, an alarm a fan, without
 * delays. The engine, its record on the disk and the runner of the link are the real ones.
 */
public abstract class LinkContract {
    /** The link under test has this id. */
    protected static final String LINK = "control-room";

    private static final int FANS = 8;
    private static final Duration SOON = Duration.ofSeconds(60);
    private static final Actor OPERATOR = new Actor("A. Tester", "rest");

    @TempDir
    Path folder = Path.of("");

    private final StationModel model = StationFixture.model(FANS);
    private final SystemGatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());
    private final Neighbour neighbour = new Neighbour();
    private @Nullable Peer given;
    private @Nullable StationEngine started;

    /** A peer that runs. */
    protected abstract Peer peer() throws Exception;

    /** How the runner is to carry events; quick to try again. */
    protected LinkRunner.Settings running() {
        return new LinkRunner.Settings(
                64, Duration.ofSeconds(3), Duration.ofMillis(50), Duration.ofMillis(500), Duration.ofMillis(200));
    }

    @BeforeEach
    void start() throws Exception {
        given = peer();
        startGateway();
    }

    private void startGateway() throws Exception {
        StationEngine opened = StationEngine.open(
                model, StationFixture.GATEWAY, folder.resolve("data"), clock, WriterSettings.DEFAULT);
        started = opened;
        opened.addLink(
                other().link(new Surroundings(
                        LINK,
                        model,
                        new Forms(model, "Fenmarch Electric"),
                        () -> Objects.requireNonNull(opened.writer().view(), "not yet"),
                        clock,
                        opened.acts(),
                        folder.resolve("data"),
                        opened.record())),
                running());
        opened.addLink(neighbour, running());
        opened.start();
        await("the first picture", () -> opened.writer().view() != null);
    }

    @AfterEach
    void end() throws Exception {
        engine().close();
        other().close();
    }

    // ---- the life of an alarm

    @Test
    void anAlarmIsSeenRaisedAcknowledgedShelvedUnshelvedAndCleared() throws Exception {
        AlarmId alarm = StationFixture.alarm(2);
        fans(0);
        fans(1 << 2);
        awaitKind(alarm, "raised");
        awaitPicture(alarm);
        String raised = idOf(alarm, "raised");
        if (!other().acknowledge(alarm, raised, "seen")) {
            act(alarm, new AlarmInput.Acknowledge(OPERATOR, "seen", null, clock.now()));
        }
        awaitKind(alarm, "acknowledged");
        awaitPicture(alarm);
        act(alarm, new AlarmInput.ShelveTimed(OPERATOR, "on trial", Duration.ofMinutes(10), clock.now()));
        awaitKind(alarm, "shelved");
        awaitPicture(alarm);
        assertThat(other().picture(alarm).orElseThrow().shelved()).isTrue();
        act(alarm, new AlarmInput.Unshelve(OPERATOR, "", clock.now()));
        awaitKind(alarm, "unshelved");
        fans(0);
        awaitKind(alarm, "returned");
        awaitPicture(alarm);
        assertThat(other().picture(alarm).orElseThrow().active()).isFalse();
        awaitEverything();
        assertThat(kindsOf(alarm)).containsExactly("raised", "acknowledged", "shelved", "unshelved", "returned");
    }

    @Test
    void aPointTestAndMaintenanceAreSeenMarked() throws Exception {
        AlarmId alarm = StationFixture.alarm(3);
        fans(0);
        ask(new StationInput.TestAlarm(alarm, true, OPERATOR, Duration.ofMinutes(5), clock.now()));
        await(
                "the forced alarm",
                () -> other().picture(alarm).map(p -> p.active() && p.test()).orElse(false));
        await(
                "its event, marked",
                () -> other().arrivals().stream().anyMatch(a -> alarm.equals(a.alarm()) && a.test()));
        ask(new StationInput.EndAlarmTest(alarm, OPERATOR, clock.now()));
        await(
                "its end",
                () -> other().picture(alarm).map(p -> !p.active() && !p.test()).orElse(false));

        fans(1 << 3);
        awaitPicture(alarm);
        ask(new StationInput.BeginMaintenance(
                StationFixture.MONITOR, OPERATOR, "fan change", "W-12", Duration.ofHours(2), clock.now()));
        await(
                "maintenance as quality",
                () -> other().picture(alarm).map(Peer.Picture::doubtful).orElse(false));
        ask(new StationInput.EndMaintenance(StationFixture.MONITOR, OPERATOR, "done", clock.now()));
        await(
                "the end of maintenance",
                () -> other().picture(alarm).map(p -> !p.doubtful()).orElse(false));
        fans(0);
        awaitPicture(alarm);
        awaitEverything();
    }

    @Test
    void aTestMessageOnCommandIsSeenMarkedAndItsConfirmationIsKnown() throws Exception {
        fans(0);
        List<RecordedEvent> asked = ((ActResult.Done) engine().acts()
                        .act(new StationInput.TestLink(LINK, OPERATOR, clock.now()))
                        .join())
                .events();
        RecordedEvent message = asked.get(0);
        assertThat(engine().whenConfirmed(LINK, message.position())
                        .orElseThrow()
                        .get(30, TimeUnit.SECONDS))
                .isTrue();
        if (other().hearsNotices()) {
            await(
                    "the test message",
                    () -> other().arrivals().stream()
                            .anyMatch(
                                    a -> a.eventId().equals(message.event().id().toString())
                                            && a.kind().equals("link-tested")));
        }
        assertThat(neighbour.got)
                .as("nobody else is told")
                .doesNotContain(message.event().id().toString());
        awaitEverything();
    }

    // ---- the peer comes and goes

    @Test
    void aPeerThatStopsAndStartsAgainMissesNothingAndGetsEachAlarmInOrder() throws Exception {
        fans(0);
        fans(0b1);
        awaitKind(StationFixture.alarm(0), "raised");
        other().stop();
        happenings(60);
        int before = recorded().size();
        assertThat(before).as("something has happened meanwhile").isGreaterThan(100);
        other().startAgain();
        fans(0b1010);
        awaitEverything();
        awaitPictures();
        assertThat(neighbour.got).containsAll(recorded());
    }

    @Test
    void aGatewayThatStopsWhileThePeerIsAwayTellsItLater() throws Exception {
        fans(0);
        fans(0b1);
        awaitKind(StationFixture.alarm(0), "raised");
        other().stop();
        happenings(5);
        engine().close();
        startGateway();
        happenings(5);
        other().startAgain();
        awaitEverything();
        awaitPictures();
    }

    @Test
    void aPeerThatTakesConnectionsAndNeverAnswersHoldsUpNobodyElse() throws Exception {
        fans(0);
        fans(0b1);
        awaitKind(StationFixture.alarm(0), "raised");
        other().fallSilent();
        happenings(10);
        if (other().silenceIsSeen()) {
            await("the link is down and says why", () -> {
                LinkState state = link();
                return state.condition() != LinkState.Condition.UP && state.lastError() != null && state.waiting() > 0;
            });
        }
        happenings(10);
        List<String> meanwhile = recorded();
        await("the neighbour has everything", () -> neighbour.got.containsAll(meanwhile));
        other().answerAgain();
        awaitEverything();
        awaitPictures();
    }

    // ---- hands

    private StationEngine engine() {
        return Objects.requireNonNull(started);
    }

    private Peer other() {
        return Objects.requireNonNull(given);
    }

    /** The gas monitor answers: bit i of {@code stopped} for fan i. */
    private void fans(long stopped) {
        engine().inputs().offer(StationFixture.fans(FANS, stopped, clock.now()));
        await("what the monitor said is taken", () -> {
            for (int fan = 0; fan < FANS; fan++) {
                if (state(StationFixture.alarm(fan)).active() != ((stopped >> fan & 1) != 0)) {
                    return false;
                }
            }
            return true;
        });
    }

    /** Alarms come, are acknowledged, commented and go, several events a round; the last fan stays stopped. */
    private void happenings(int rounds) {
        for (int round = 0; round < rounds; round++) {
            int fan = round % (FANS - 1);
            fans(1L << fan | 1 << FANS - 1);
            AlarmId alarm = StationFixture.alarm(fan);
            act(alarm, new AlarmInput.Comment(OPERATOR, "round " + round, null, clock.now()));
        }
    }

    private void act(AlarmId alarm, AlarmInput.Act act) {
        ask(new StationInput.Act(alarm, act));
    }

    private void ask(StationInput.Asked asked) {
        assertThat(engine().acts().act(asked).join()).isInstanceOf(ActResult.Done.class);
    }

    // ---- eyes

    private LinkState link() {
        return engine().links().stream()
                .filter(state -> state.link().equals(LINK))
                .findFirst()
                .orElseThrow();
    }

    private AlarmState state(AlarmId alarm) {
        return Objects.requireNonNull(Objects.requireNonNull(engine().writer().view())
                        .alarms()
                        .get(alarm))
                .state();
    }

    /** Ids of all alarm events of the monitor in the record. */
    private List<String> recorded() {
        return new ArrayList<>(recordedOf(null));
    }

    private List<String> recordedOf(@Nullable AlarmId alarm) {
        List<String> ids = new ArrayList<>();
        for (RecordedEvent event : engine().record().after(0, 100_000)) {
            if (event.event() instanceof StationEvent.OfAlarm ofAlarm
                    && ofAlarm.event().alarm().asset().equals("tx-1")
                    && (alarm == null || alarm.equals(ofAlarm.event().alarm()))) {
                ids.add(event.event().id().toString());
            }
        }
        return ids;
    }

    private Map<String, Peer.Arrival> firstArrivals() {
        Map<String, Peer.Arrival> firsts = new LinkedHashMap<>();
        other().arrivals().forEach(arrival -> firsts.putIfAbsent(arrival.eventId(), arrival));
        return firsts;
    }

    private List<String> arrivedOf(AlarmId alarm) {
        return firstArrivals().values().stream()
                .filter(a -> alarm.equals(a.alarm()))
                .map(Peer.Arrival::eventId)
                .toList();
    }

    private List<String> kindsOf(AlarmId alarm) {
        return firstArrivals().values().stream()
                .filter(a -> alarm.equals(a.alarm()))
                .map(Peer.Arrival::kind)
                .toList();
    }

    private String idOf(AlarmId alarm, String kind) {
        return firstArrivals().values().stream()
                .filter(a -> alarm.equals(a.alarm()) && a.kind().equals(kind))
                .map(Peer.Arrival::eventId)
                .reduce((first, second) -> second)
                .orElseThrow();
    }

    /** Until the newest event of an alarm is of this kind, and has come under the id that the record gave it. */
    private void awaitKind(AlarmId alarm, String kind) {
        await(alarm + " is " + kind, () -> {
            Set<String> recorded = new LinkedHashSet<>(recordedOf(alarm));
            return other().arrivals().stream()
                    .anyMatch(a -> alarm.equals(a.alarm()) && a.kind().equals(kind) && recorded.contains(a.eventId()));
        });
    }

    /** Until the peer believes of an alarm what is so. */
    private void awaitPicture(AlarmId alarm) {
        await("the peer has the right picture of " + alarm, () -> {
            AlarmState is = state(alarm);
            Optional<Peer.Picture> believed = other().picture(alarm);
            return believed.isPresent()
                    && believed.get().active() == is.active()
                    && believed.get().acknowledged() == is.acknowledged()
                    && believed.get().shelved() == (is.shelving().kind() != Shelving.Kind.NONE);
        });
    }

    /** The same of every alarm to which anything has happened. */
    private void awaitPictures() {
        for (int fan = 0; fan < FANS; fan++) {
            if (!recordedOf(StationFixture.alarm(fan)).isEmpty()) {
                awaitPicture(StationFixture.alarm(fan));
            }
        }
    }

    /** Until everything is confirmed; then each event has come once by its id, in order of each alarm, and none else. */
    private void awaitEverything() {
        await("everything is confirmed", () -> {
            LinkState state = link();
            return state.condition() == LinkState.Condition.UP && state.waiting() == 0;
        });
        if (!other().eventsWait()) {
            return;
        }
        await("everything has come", () -> firstArrivals().keySet().containsAll(recorded()));
        for (int fan = 0; fan < FANS; fan++) {
            AlarmId alarm = StationFixture.alarm(fan);
            assertThat(arrivedOf(alarm)).as("in order, of " + alarm).isEqualTo(recordedOf(alarm));
        }
    }

    private static void await(String what, Callable<Boolean> until) {
        Awaitility.await(what).atMost(SOON).pollInterval(Duration.ofMillis(10)).until(until);
    }

    /** Another link of the same gateway, in memory, that is always there. */
    private static final class Neighbour implements Link {
        final Set<String> got = ConcurrentHashMap.newKeySet();

        @Override
        public String id() {
            return "neighbour";
        }

        @Override
        public void open() throws IOException {}

        @Override
        public CompletionStage<Void> send(RecordedEvent event) {
            got.add(event.event().id().toString());
            return CompletableFuture.completedFuture(null);
        }

        @Override
        public void close() {}
    }
}
