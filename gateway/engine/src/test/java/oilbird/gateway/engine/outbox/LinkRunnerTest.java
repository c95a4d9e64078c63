package oilbird.gateway.engine.outbox;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionStage;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.locks.LockSupport;
import java.util.function.BooleanSupplier;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.state.StateName;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

@Timeout(60)
class LinkRunnerTest {
    private static final LinkRunner.Settings QUICK = new LinkRunner.Settings(
            8, Duration.ofSeconds(20), Duration.ofMillis(1), Duration.ofMillis(4), Duration.ofMillis(5));

    private static final LinkRunner.Losses NOBODY_TOLD = (link, event, why) -> {};

    private final GatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());
    private final List<RecordedEvent> all = new ArrayList<>();
    private final Outbox outbox = new Outbox((position, max) -> List.of(), 0, List.of(), 100_000);

    private void announce(int count, int alarms) {
        List<RecordedEvent> events = new ArrayList<>();
        for (int i = 0; i < count; i++) {
            long position = all.size() + 1L;
            RecordedEvent event = new RecordedEvent(position, alarmEvent(position, position % alarms), true);
            all.add(event);
            events.add(event);
        }
        outbox.announced(events);
        outbox.settled(all.size());
    }

    private static StationEvent alarmEvent(long sequence, long alarm) {
        return new StationEvent.OfAlarm(
                new EventId("windlow-gw", 1, sequence),
                new AlarmEvent(
                        new AlarmId("tx-1", "gas-1.fan-" + alarm),
                        sequence,
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
                        Priority.MINOR,
                        Quality.GOOD,
                        null,
                        "",
                        new Moment(sequence, 0, true)),
                List.of());
    }

    private static void await(String what, BooleanSupplier condition) {
        long deadline = System.nanoTime() + TimeUnit.SECONDS.toNanos(30);
        while (!condition.getAsBoolean()) {
            assertThat(System.nanoTime()).as("waiting until " + what).isLessThan(deadline);
            LockSupport.parkNanos(1_000_000);
        }
    }

    /** A control room that notes what arrives and confirms as told. */
    private abstract static class Room implements Link {
        final List<RecordedEvent> arrived = new ArrayList<>();
        int opened;

        @Override
        public String id() {
            return "scada";
        }

        @Override
        public synchronized void open() throws IOException {
            opened++;
        }

        @Override
        public void close() {}

        synchronized List<Long> positions() {
            return arrived.stream().map(RecordedEvent::position).toList();
        }

        synchronized int count() {
            return arrived.size();
        }

        synchronized void note(RecordedEvent event) {
            arrived.add(event);
        }
    }

    @Test
    void everyEventArrivesInOrderAndIsConfirmed() {
        Room room = new Room() {
            @Override
            public CompletionStage<Void> send(RecordedEvent event) {
                note(event);
                return CompletableFuture.completedFuture(null);
            }
        };
        try (LinkRunner runner = new LinkRunner(room, outbox, clock, QUICK, NOBODY_TOLD)) {
            runner.start();
            announce(1_000, 7);
            await("all are confirmed", () -> runner.state().confirmed() == 1_000);
            assertThat(room.positions()).isEqualTo(positions(all));
            assertThat(runner.state().condition()).isEqualTo(LinkState.Condition.UP);
            assertThat(runner.state().waiting()).isZero();
            assertThat(runner.state().lastError()).isNull();
            assertThat(runner.state().confirmedAt()).isNotNull();
        }
        assertThat(room.opened).isEqualTo(1);
    }

    @Test
    void whatIsConfirmedWhileTheRunnerClosesDoesNotGoOutAgain() throws Exception {
        CompletableFuture<Void> confirmation = new CompletableFuture<>();
        Room room = new Room() {
            @Override
            public CompletionStage<Void> send(RecordedEvent event) {
                note(event);
                return confirmation;
            }
        };
        LinkRunner runner = new LinkRunner(room, outbox, clock, QUICK, NOBODY_TOLD);
        runner.start();
        announce(1, 1);
        await("the event is on its way", () -> room.count() == 1);
        Thread closer = new Thread(runner::close, "closer");
        closer.start();
        await("the runner is being closed", () -> closer.getState() == Thread.State.TIMED_WAITING);
        confirmation.complete(null);
        closer.join();
        assertThat(outbox.cursor("scada").confirmed()).isEqualTo(1);
    }

    private static List<Long> positions(List<RecordedEvent> events) {
        return events.stream().map(RecordedEvent::position).toList();
    }

    /** The room loses connections, confirmations and whole opens at random. */
    @Test
    void overABadLineEveryEventArrivesAtLeastOnceAndInOrderPerAlarm() {
        long seed = 7;
        System.out.println("seed " + seed);
        Random random = new Random(seed);
        Room room = new Room() {
            @Override
            public synchronized void open() throws IOException {
                super.open();
                if (random.nextInt(3) == 0) {
                    throw new IOException("no route");
                }
            }

            @Override
            public synchronized CompletionStage<Void> send(RecordedEvent event) throws IOException {
                int luck = random.nextInt(40);
                if (luck == 0) {
                    throw new IOException("connection reset");
                }
                if (luck == 1) {
                    return CompletableFuture.failedFuture(new IOException("lost on the way out"));
                }
                note(event);
                if (luck == 2) {
                    return CompletableFuture.failedFuture(new IOException("confirmation lost"));
                }
                CompletableFuture<Void> outcome = new CompletableFuture<>();
                if (luck < 20) {
                    outcome.completeAsync(() -> null);
                } else {
                    outcome.complete(null);
                }
                return outcome;
            }
        };
        try (LinkRunner runner = new LinkRunner(room, outbox, clock, QUICK, NOBODY_TOLD)) {
            runner.start();
            announce(300, 5);
            announce(300, 5);
            await("all are confirmed", () -> runner.state().confirmed() == 600);
            assertThat(runner.state().lastError()).isNotNull();
        }
        Map<AlarmId, List<Long>> firsts = new LinkedHashMap<>();
        Set<EventId> seen = new HashSet<>();
        for (RecordedEvent event : room.arrived) {
            if (seen.add(event.event().id())) {
                firsts.computeIfAbsent(
                                ((StationEvent.OfAlarm) event.event()).event().alarm(), key -> new ArrayList<>())
                        .add(event.position());
            }
        }
        assertThat(seen).hasSize(600);
        assertThat(firsts.values()).allSatisfy(list -> assertThat(list).isSorted());
        assertThat(room.count()).as("some were repeated").isGreaterThan(600);
    }

    @Test
    void withoutOrderOnTheLineOnlyOneEventOfAnAlarmIsOnItsWay() {
        Map<AlarmId, Integer> onTheWay = new HashMap<>();
        List<String> violations = new ArrayList<>();
        List<Runnable> confirmations = new ArrayList<>();
        Room room = new Room() {
            @Override
            public CompletionStage<Void> send(RecordedEvent event) {
                note(event);
                AlarmId alarm = ((StationEvent.OfAlarm) event.event()).event().alarm();
                CompletableFuture<Void> outcome = new CompletableFuture<>();
                synchronized (onTheWay) {
                    if (onTheWay.merge(alarm, 1, Integer::sum) > 1) {
                        violations.add(alarm + " at " + event.position());
                    }
                    confirmations.add(() -> {
                        onTheWay.merge(alarm, -1, Integer::sum);
                        outcome.complete(null);
                    });
                }
                return outcome;
            }
        };
        try (LinkRunner runner = new LinkRunner(room, outbox, clock, QUICK, NOBODY_TOLD)) {
            runner.start();
            announce(200, 3);
            await("all are confirmed", () -> {
                synchronized (onTheWay) {
                    confirmations.forEach(Runnable::run);
                    confirmations.clear();
                }
                return runner.state().confirmed() == 200;
            });
        }
        assertThat(violations).isEmpty();
    }

    @Test
    void noMoreEventsThanTheWindowAreOnTheirWayAndConfirmationsOutOfOrderWait() {
        List<CompletableFuture<Void>> outcomes = new ArrayList<>();
        Room room = new Room() {
            @Override
            public synchronized CompletionStage<Void> send(RecordedEvent event) {
                note(event);
                CompletableFuture<Void> outcome = new CompletableFuture<>();
                outcomes.add(outcome);
                return outcome;
            }

            @Override
            public boolean keepsOrder() {
                return true;
            }
        };
        try (LinkRunner runner = new LinkRunner(room, outbox, clock, QUICK, NOBODY_TOLD)) {
            runner.start();
            announce(50, 1);
            await("the window is full", () -> room.count() == 8);
            synchronized (room) {
                for (int i = 7; i >= 1; i--) {
                    outcomes.get(i).complete(null);
                }
            }
            assertThat(room.count()).isEqualTo(8);
            assertThat(runner.state().confirmed()).as("the first is missing").isZero();
            synchronized (room) {
                outcomes.get(0).complete(null);
            }
            await("the window moved", () -> room.count() == 16);
            assertThat(runner.state().confirmed()).isEqualTo(8);
        }
    }

    @Test
    void anEventThatIsNotConfirmedInTimeIsSentAgainOnANewConnection() {
        LinkRunner.Settings impatient = new LinkRunner.Settings(
                8, Duration.ofMillis(20), Duration.ofMillis(1), Duration.ofMillis(4), Duration.ofMillis(5));
        Room room = new Room() {
            @Override
            public synchronized CompletionStage<Void> send(RecordedEvent event) {
                note(event);
                return opened < 3 ? new CompletableFuture<>() : CompletableFuture.completedFuture(null);
            }
        };
        try (LinkRunner runner = new LinkRunner(room, outbox, clock, impatient, NOBODY_TOLD)) {
            runner.start();
            announce(1, 1);
            await("it is confirmed", () -> runner.state().confirmed() == 1);
            assertThat(room.positions()).containsExactly(1L, 1L, 1L);
            assertThat(runner.state().lastError()).contains("windlow-gw.1.1", "not confirmed within 20 ms");
        }
    }

    @Test
    void anEventThatTheOtherSideNeverTakesIsSkippedAndCounted() {
        Room room = new Room() {
            @Override
            public CompletionStage<Void> send(RecordedEvent event) {
                note(event);
                return event.position() == 2
                        ? CompletableFuture.failedFuture(new UnsendableException("too long for this line"))
                        : CompletableFuture.completedFuture(null);
            }
        };
        List<String> told = Collections.synchronizedList(new ArrayList<>());
        try (LinkRunner runner = new LinkRunner(
                room,
                outbox,
                clock,
                QUICK,
                (link, event, why) -> told.add(link + " " + event.position() + " " + why))) {
            runner.start();
            announce(3, 1);
            await("the rest is confirmed", () -> runner.state().confirmed() == 3);
            assertThat(room.positions()).containsExactly(1L, 2L, 3L);
            assertThat(runner.state().skipped()).isEqualTo(1);
            assertThat(runner.state().lastError()).isEqualTo("too long for this line");
            assertThat(told).containsExactly("scada 2 too long for this line");
        }
        assertThat(room.opened).isEqualTo(1);
    }

    @Test
    void aLinkThatIsDownDelaysNoOther() throws Exception {
        CountDownLatch inOpen = new CountDownLatch(1);
        CountDownLatch gate = new CountDownLatch(1);
        Room down = new Room() {
            @Override
            public String id() {
                return "down";
            }

            @Override
            public void open() throws IOException {
                inOpen.countDown();
                try {
                    gate.await();
                } catch (InterruptedException e) {
                    throw new IOException(e);
                }
                throw new IOException("no route");
            }

            @Override
            public CompletionStage<Void> send(RecordedEvent event) {
                throw new IllegalStateException("never open");
            }
        };
        Room up = new Room() {
            @Override
            public CompletionStage<Void> send(RecordedEvent event) {
                note(event);
                return CompletableFuture.completedFuture(null);
            }
        };
        LinkRunner hanging = new LinkRunner(down, outbox, clock, QUICK, NOBODY_TOLD);
        LinkRunner working = new LinkRunner(up, outbox, clock, QUICK, NOBODY_TOLD);
        hanging.start();
        working.start();
        assertThat(inOpen.await(30, TimeUnit.SECONDS)).isTrue();
        announce(500, 5);
        await("the other has everything", () -> working.state().confirmed() == 500);
        assertThat(hanging.state().condition()).isEqualTo(LinkState.Condition.CONNECTING);
        assertThat(hanging.state().waiting()).isEqualTo(500);
        gate.countDown();
        await("it has tried", () -> hanging.state().lastError() != null);
        hanging.close();
        working.close();
    }

    @Test
    void aConnectionLostWhileIdleIsOpenedAgain() {
        boolean[] open = {false};
        Room room = new Room() {
            @Override
            public synchronized void open() throws IOException {
                super.open();
                open[0] = true;
            }

            @Override
            public synchronized boolean isOpen() {
                return open[0];
            }

            @Override
            public CompletionStage<Void> send(RecordedEvent event) {
                note(event);
                return CompletableFuture.completedFuture(null);
            }
        };
        try (LinkRunner runner = new LinkRunner(room, outbox, clock, QUICK, NOBODY_TOLD)) {
            runner.start();
            await("it is up", () -> runner.state().condition() == LinkState.Condition.UP);
            synchronized (room) {
                open[0] = false;
            }
            await("it is open again", () -> {
                synchronized (room) {
                    return room.opened == 2;
                }
            });
        }
    }
}
