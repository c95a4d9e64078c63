package oilbird.gateway.engine.outbox;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.state.StateName;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.record.Commit;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.EventSource;
import oilbird.gateway.engine.record.EventSubject;
import oilbird.gateway.engine.record.LinkPosition;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * A long outage is over: fifty thousand events wait on the disk for a peer that takes twenty a second. Time is the test's
 * own; runner, outbox and event record are the real ones.
 */
class CatchUpTest {
    private static final int WAITING = 50_000;
    private static final int ALARMS = 500;
    private static final long CONFIRMED_EVERY = Duration.ofMillis(50).toNanos();

    @TempDir
    Path folder = Path.of("");

    private final SystemGatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());
    private final List<RecordedEvent> all = new ArrayList<>();
    private @Nullable EventRecord onDisk;
    private @Nullable Outbox announcing;
    private long now;

    @BeforeEach
    void fiftyThousandWait() throws Exception {
        onDisk = EventRecord.open(folder, clock.now()).record();
        announcing = new Outbox(onDisk, 0, List.of(new LinkPosition("control-room", 0)), 10_000);
        outbox().cursor("control-room");
        for (int i = 0; i < WAITING / 1_000; i++) {
            List<RecordedEvent> some = new ArrayList<>();
            for (int j = 0; j < 1_000; j++) {
                some.add(event(all.size() % ALARMS, Priority.MINOR));
            }
            announce(some);
        }
    }

    private EventRecord record() {
        return Objects.requireNonNull(onDisk);
    }

    private Outbox outbox() {
        return Objects.requireNonNull(announcing);
    }

    @AfterEach
    void close() {
        record().close();
    }

    private RecordedEvent event(int alarm, Priority priority) {
        long position = all.size() + 1L;
        RecordedEvent event = new RecordedEvent(
                position,
                new StationEvent.OfAlarm(
                        new EventId("windlow-gw", 1, position),
                        new AlarmEvent(
                                new AlarmId("tx-1", "gas-1.fan-" + alarm),
                                position,
                                AlarmEvent.Kind.RAISED,
                                StateName.UNACK,
                                true,
                                false,
                                true,
                                false,
                                true,
                                Shelving.Kind.NONE,
                                Duration.ZERO,
                                false,
                                false,
                                0,
                                AlarmEvent.Annunciation.START,
                                priority,
                                Quality.GOOD,
                                null,
                                "",
                                new Moment(position, position, true)),
                        List.of()),
                true);
        all.add(event);
        return event;
    }

    private void announce(List<RecordedEvent> events) throws Exception {
        record().commit(new Commit(events, List.of(), List.of(), List.of(), clock.now()));
        outbox().announced(events);
        outbox().settled(all.size());
    }

    /** A peer that takes one event after the other, each in the same time. */
    private final class Slow implements Link {
        final List<RecordedEvent> arrived = new ArrayList<>();
        final Map<Long, Long> at = new HashMap<>();
        final ArrayDeque<CompletableFuture<Void>> open = new ArrayDeque<>();
        final ArrayDeque<RecordedEvent> onTheWay = new ArrayDeque<>();
        final boolean keepsOrder;

        Slow(boolean keepsOrder) {
            this.keepsOrder = keepsOrder;
        }

        void takeOne() {
            RecordedEvent event = onTheWay.poll();
            if (event != null) {
                arrived.add(event);
                at.putIfAbsent(event.position(), now);
                open.remove().complete(null);
            }
        }

        @Override
        public String id() {
            return "control-room";
        }

        @Override
        public boolean keepsOrder() {
            return keepsOrder;
        }

        @Override
        public void open() {}

        @Override
        public CompletionStage<Void> send(RecordedEvent event) {
            CompletableFuture<Void> outcome = new CompletableFuture<>();
            onTheWay.add(event);
            open.add(outcome);
            return outcome;
        }

        @Override
        public void close() {
            onTheWay.clear();
            open.clear();
        }
    }

    private LinkRunner runner(Link link, int window) {
        return new LinkRunner(
                link,
                outbox(),
                clock,
                new LinkRunner.Settings(
                        window,
                        Duration.ofSeconds(30),
                        Duration.ofMillis(10),
                        Duration.ofMillis(10),
                        Duration.ofSeconds(1)),
                (id, event, why) -> {},
                () -> now);
    }

    private void run(LinkRunner runner, Slow peer, long nanos) {
        for (long end = now + nanos; now < end; now += CONFIRMED_EVERY) {
            while (runner.step() == 0) {
                // Until there is nothing to do before the peer has taken one more.
            }
            peer.takeOne();
        }
    }

    @ParameterizedTest
    @CsvSource({"true, 64, 500, 0", "false, 8, 500, 0", "true, 64, 7, 100", "false, 8, 7, 100"})
    void aFreshAlarmWaitsForOneWindowAndWhatItsOwnAlarmHasWaiting(
            boolean keepsOrder, int window, int alarm, int ownWaiting) throws Exception {
        Slow peer = new Slow(keepsOrder);
        LinkRunner runner = runner(peer, window);
        run(runner, peer, Duration.ofSeconds(10).toNanos());
        assertThat(runner.state().waiting()).isGreaterThan(49_000);

        RecordedEvent fresh = event(alarm, Priority.CRITICAL);
        announce(List.of(fresh));
        long raised = now;
        // What is on its way, and its own events: with one in four of the backlog between them where the line keeps
        // order, one after the other's confirmation where it does not.
        long own = keepsOrder ? (ownWaiting + 1) * 4L / 3 : (long) ownWaiting * window;
        long bound = (window + own + 4) * CONFIRMED_EVERY;
        run(runner, peer, bound);
        assertThat(peer.at.containsKey(fresh.position())).isTrue();
        System.out.printf(
                "with %d events waiting and a peer that takes 20 a second, window %d, %d of its own waiting: a fresh"
                        + " critical alarm arrives after %.2f s (bound %.2f s; behind them all it would be %.0f s)%n",
                WAITING,
                window,
                ownWaiting,
                (peer.at.getOrDefault(fresh.position(), Long.MAX_VALUE) - raised) / 1e9,
                bound / 1e9,
                (WAITING - 200) * CONFIRMED_EVERY / 1e9);
        inOrderOfEachAlarm(peer.arrived);
    }

    @Test
    void whileFreshAlarmsFloodTheBacklogGoesOnAndNothingIsLostOrTurnedRound() throws Exception {
        Slow peer = new Slow(true);
        LinkRunner runner = runner(peer, 64);
        run(runner, peer, Duration.ofSeconds(10).toNanos());
        long before = outbox().cursor("control-room").confirmed();
        for (int round = 0; round < 200; round++) {
            List<RecordedEvent> flood = new ArrayList<>();
            for (int i = 0; i < 30; i++) {
                flood.add(event(ALARMS + i % 10, Priority.values()[i % 4]));
            }
            announce(flood);
            run(runner, peer, Duration.ofSeconds(1).toNanos());
        }
        long backlog = outbox().cursor("control-room").confirmed() - before;
        assertThat(backlog).as("of 4,000 sent one in four is of the backlog").isGreaterThan(900);

        // The connection breaks in the middle; what went ahead does not go again.
        peer.close();
        peer.arrived.clear();
        int ahead = peer.at.size();
        for (int i = 0; i < 200_000 && runner.state().waiting() > 0; i++) {
            run(runner, peer, CONFIRMED_EVERY);
        }
        assertThat(runner.state().waiting()).isZero();
        assertThat(peer.at.keySet()).hasSize(all.size());
        assertThat(peer.arrived.size()).as("sent again after the break").isLessThan(all.size() - ahead + 200);
    }

    @Test
    void afterARestartTheCursorOwnsUpToEverythingThatWasNotConfirmedBeforeIt() throws Exception {
        Slow peer = new Slow(true);
        LinkRunner runner = runner(peer, 64);
        run(runner, peer, Duration.ofSeconds(10).toNanos());
        announce(List.of(event(ALARMS, Priority.CRITICAL), event(7, Priority.CRITICAL)));
        run(runner, peer, Duration.ofSeconds(20).toNanos());
        long confirmed = outbox().cursor("control-room").confirmed();
        assertThat(peer.at).containsKeys((long) WAITING + 1, (long) WAITING + 2);
        assertThat(confirmed).isLessThan(WAITING);
        for (long position = 1; position <= confirmed; position++) {
            assertThat(peer.at).as("what the cursor has passed").containsKey(position);
        }
        Outbox again = new Outbox(record(), all.size(), outbox().unsaved(), 10_000);
        assertThat(again.cursor("control-room").confirmed()).isEqualTo(confirmed);
    }

    @Test
    void aFreshAlarmWhosePastCannotBeReadTakesItsTurn() throws Exception {
        boolean[] readable = {false};
        EventSource disk = new EventSource() {
            @Override
            public List<RecordedEvent> after(long position, int max) {
                return record().after(position, max);
            }

            @Override
            public @Nullable List<RecordedEvent> about(EventSubject subject, long after, long before) {
                return readable[0] ? record().about(subject, after, before) : null;
            }
        };
        announcing = new Outbox(disk, all.size(), List.of(new LinkPosition("control-room", 0)), 10_000);
        Slow peer = new Slow(true);
        LinkRunner runner = runner(peer, 64);
        run(runner, peer, Duration.ofSeconds(10).toNanos());
        announce(List.of(event(7, Priority.CRITICAL)));
        run(runner, peer, Duration.ofSeconds(20).toNanos());
        assertThat(peer.at.containsKey((long) WAITING + 1)).isFalse();
        readable[0] = true;
        announce(List.of(event(7, Priority.CRITICAL)));
        run(runner, peer, Duration.ofSeconds(20).toNanos());
        assertThat(peer.at.containsKey((long) WAITING + 1)).isTrue();
        inOrderOfEachAlarm(peer.arrived);
    }

    private static void inOrderOfEachAlarm(List<RecordedEvent> arrived) {
        Map<EventSubject, Long> last = new HashMap<>();
        Set<Long> seen = new HashSet<>();
        for (RecordedEvent event : arrived) {
            if (seen.add(event.position())) {
                Long before = last.put(EventSubject.of(event.event()), event.position());
                assertThat(before == null || before < event.position())
                        .as(event + " after position " + before)
                        .isTrue();
            }
        }
    }
}
