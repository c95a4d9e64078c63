package oilbird.gateway.engine.writer;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.Refusal;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.StationFixture;
import oilbird.gateway.engine.outbox.Outbox;
import oilbird.gateway.engine.queue.Losses;
import oilbird.gateway.engine.record.Commit;
import oilbird.gateway.engine.record.RecordGap;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

@Timeout(60)
class StationWriterTest {
    private static final AlarmId FAN = StationFixture.alarm(0);

    private final HandClock clock = new HandClock();
    private final ScriptedFold fold = new ScriptedFold();
    private final ScriptedDisk disk = new ScriptedDisk();
    private final Outbox outbox = new Outbox(disk, 0, List.of(), 100);
    private final List<RecordedEvent> told = new ArrayList<>();
    private WriterSettings settings = WriterSettings.DEFAULT;
    private int answers;

    private StationWriter writer(GatewayIndication... lasting) {
        Set<GatewayIndication> holding = EnumSet.noneOf(GatewayIndication.class);
        holding.addAll(List.of(lasting));
        StationWriter writer = new StationWriter(
                fold, disk, outbox, 1, holding, clock, settings, new CompletableFuture<Void>().defaultExecutor());
        writer.onCommitted(told::addAll);
        return writer;
    }

    private static void turn(StationWriter writer) throws InterruptedException {
        writer.turn(Duration.ZERO);
    }

    private void observe(StationWriter writer) {
        writer.inputs().offer(answer(0));
    }

    /** An answer like no other, though the clock of the test stands. */
    private StationInput answer(int stopped) {
        Moment now = clock.now();
        Reading count = new Reading(
                new SignalId(StationFixture.MONITOR, "count"), (double) ++answers, null, QualityReason.NONE, now);
        Decoded fans = StationFixture.fans(1, stopped, now).decoded();
        return new StationInput.Observed(
                new Decoded(fans.device(), fans.block(), List.of(count), fans.indications(), List.of(), now));
    }

    private StationInput.Act act() {
        return new StationInput.Act(FAN, new AlarmInput.Unshelve(new Actor("A. Operator", "page"), "", clock.now()));
    }

    @Test
    void eventsAreToldAfterTheirCommitAndInOneTransaction() throws Exception {
        StationWriter writer = writer();
        List<Integer> commitsWhenTold = new ArrayList<>();
        writer.onCommitted(events -> commitsWhenTold.add(disk.commits.size()));
        turn(writer);
        observe(writer);
        observe(writer);
        observe(writer);
        int before = disk.commits.size();
        turn(writer);
        assertThat(disk.commits).hasSize(before + 1);
        assertThat(commitsWhenTold).containsExactly(before + 1);
        assertThat(told).extracting(RecordedEvent::position).containsExactly(1L, 2L, 3L);
        assertThat(told).allMatch(RecordedEvent::recorded);
        assertThat(outbox.cursor("late").confirmed()).isEqualTo(3);
    }

    @Test
    void anActIsAnsweredOnlyAfterItsCommitHoweverSlowTheDisk() throws Exception {
        CountDownLatch gate = new CountDownLatch(1);
        disk.gate = gate;
        StationWriter writer = writer();
        writer.start();
        CompletableFuture<ActResult> answer = writer.act(act());
        assertThat(disk.reached.await(30, TimeUnit.SECONDS)).isTrue();
        assertThat(answer).as("while the commit runs").isNotDone();
        gate.countDown();
        ActResult result = answer.get(30, TimeUnit.SECONDS);
        assertThat(result).isInstanceOfSatisfying(ActResult.Refused.class, refused -> {
            assertThat(refused.refusal()).isEqualTo(Refusal.NOT_SHELVED);
            assertThat(refused.events()).hasSize(1);
        });
        writer.close();
    }

    @Test
    void aFailedCommitIsHeldRetriedAndToldOnce() throws Exception {
        StationWriter writer = writer();
        turn(writer);
        disk.failing = true;
        observe(writer);
        CompletableFuture<ActResult> answer = writer.act(act());
        turn(writer);
        observe(writer);
        int folded = fold.inputs.size();
        for (int i = 0; i < 10; i++) {
            turn(writer);
        }
        assertThat(disk.attempts)
                .as("first commit, one failure; the back-off has not passed")
                .isEqualTo(2);
        assertThat(told).isEmpty();
        assertThat(answer).isNotDone();
        assertThat(fold.inputs).as("nothing is folded meanwhile").hasSize(folded);

        disk.failing = false;
        clock.pass(settings.firstRetry());
        turn(writer);
        assertThat(told).extracting(RecordedEvent::position).containsExactly(1L, 2L);
        assertThat(told).allMatch(RecordedEvent::recorded);
        assertThat(answer.get(30, TimeUnit.SECONDS)).isInstanceOf(ActResult.Refused.class);
        turn(writer);
        assertThat(told).hasSize(3);
        assertThat(disk.positions()).containsExactly(1L, 2L, 3L);
    }

    @Test
    void aFaultWhileWritingIsTreatedAsAFailedCommitAndDoesNotEndTheWriter() throws Exception {
        StationWriter writer = writer();
        turn(writer);
        disk.faulty = true;
        observe(writer);
        turn(writer);
        assertThat(told).isEmpty();
        assertThat(writer.status().lastFailure()).contains("a fault in the codec");
        disk.faulty = false;
        clock.pass(settings.firstRetry());
        turn(writer);
        assertThat(told).hasSize(1);
    }

    @Test
    void aRecordSetAsideWhileRunningIsShown() throws Exception {
        StationWriter writer = writer();
        turn(writer);
        assertThat(fold.gatewayHolds()).isEmpty();
        disk.begunAnew = true;
        turn(writer);
        assertThat(fold.gatewayHolds()).containsExactly("record-set-aside");
    }

    private void failUntilFromMemory(StationWriter writer) throws InterruptedException {
        disk.failing = true;
        observe(writer);
        for (int i = 0; i < settings.failuresBeforeMemory(); i++) {
            turn(writer);
            clock.pass(settings.lastRetry());
        }
        assertThat(writer.status().fromMemory()).isTrue();
    }

    @Test
    void aDiskThatStaysFullIsToldFromMemoryMarkedAndCaughtUpLater() throws Exception {
        StationWriter writer = writer();
        turn(writer);
        failUntilFromMemory(writer);
        turn(writer);
        observe(writer);
        turn(writer);
        assertThat(fold.gatewayHolds()).contains("record-not-written");
        assertThat(told).hasSize(2).noneMatch(RecordedEvent::recorded);
        assertThat(outbox.cursor("scada").after(0, 10))
                .as("links are served from memory")
                .isEqualTo(told);
        outbox.cursor("scada").confirm(2);
        assertThat(outbox.unsaved())
                .as("a cursor is never saved beyond what the disk has")
                .allMatch(position -> position.position() == 0);

        disk.failing = false;
        clock.pass(settings.lastRetry());
        turn(writer);
        assertThat(disk.positions()).containsExactly(1L, 2L);
        assertThat(writer.status().fromMemory()).isFalse();
        turn(writer);
        assertThat(fold.gatewayHolds()).doesNotContain("record-not-written");
        observe(writer);
        turn(writer);
        assertThat(told).extracting(RecordedEvent::position).containsExactly(1L, 2L, 3L);
        assertThat(told.get(2).recorded()).isTrue();
        assertThat(outbox.cursor("scada").after(0, 10)).allMatch(RecordedEvent::recorded);
        assertThat(ids(told)).hasSize(3);
    }

    private static Set<Object> ids(List<RecordedEvent> events) {
        Set<Object> ids = new HashSet<>();
        events.forEach(event -> ids.add(event.event().id()));
        return ids;
    }

    @Test
    void whatNoLongerFitsIsGivenUpOldestFirstAndTheRecordSaysWhich() throws Exception {
        settings = new WriterSettings(
                100,
                200,
                10,
                1_000,
                2,
                Duration.ofMillis(10),
                Duration.ofSeconds(1),
                5,
                Duration.ofSeconds(10),
                Duration.ofMinutes(1),
                Duration.ofMillis(100),
                Duration.ofSeconds(1),
                Duration.ofMinutes(1));
        StationWriter writer = writer();
        turn(writer);
        failUntilFromMemory(writer);
        disk.failing = true;
        for (int i = 0; i < 7; i++) {
            observe(writer);
            turn(writer);
        }
        assertThat(told).as("all of them were told").hasSize(8);
        turn(writer);
        assertThat(fold.gatewayHolds()).contains("record-not-written", "events-not-recorded");

        disk.failing = false;
        clock.pass(settings.lastRetry());
        turn(writer);
        assertThat(disk.positions()).containsExactly(4L, 5L, 6L, 7L, 8L);
        Commit catchUp = disk.commits.get(disk.commits.size() - 1);
        assertThat(catchUp.gaps())
                .containsExactly(new RecordGap(
                        1, 3, told.get(0).event().id(), told.get(2).event().id()));
    }

    @Test
    void timersRunAtTheirOwnTimeBeforeLaterInputs() throws Exception {
        StationWriter writer = writer();
        turn(writer);
        fold.wakeAt = Duration.ofSeconds(5).toNanos();
        observe(writer);
        turn(writer);
        fold.inputs.clear();

        clock.pass(Duration.ofSeconds(4));
        observe(writer);
        Moment late = clock.now().plusNanos(Duration.ofSeconds(3).toNanos());
        clock.pass(Duration.ofSeconds(3));
        observe(writer);
        turn(writer);
        List<StationInput> seen = fold.without(StationInput.Noticed.class);
        assertThat(seen.get(0).at().monotonicNanos())
                .isEqualTo(Duration.ofSeconds(4).toNanos());
        assertThat(seen.get(1))
                .isEqualTo(new StationInput.Elapsed(
                        late.plusNanos(-Duration.ofSeconds(2).toNanos())));
        assertThat(seen.get(2).at()).isEqualTo(late);
    }

    @Test
    void timersRunWithoutAnyInput() throws Exception {
        StationWriter writer = writer();
        fold.wakeAt = Duration.ofSeconds(5).toNanos();
        turn(writer);
        fold.inputs.clear();
        clock.pass(Duration.ofSeconds(4));
        turn(writer);
        assertThat(fold.inputs).noneMatch(StationInput.Elapsed.class::isInstance);
        clock.pass(Duration.ofSeconds(1));
        turn(writer);
        assertThat(fold.inputs).anyMatch(StationInput.Elapsed.class::isInstance);
    }

    @Test
    void aFaultInTheFoldCostsOneInputAndIsShown() throws Exception {
        StationWriter writer = writer();
        turn(writer);
        writer.inputs()
                .offer(new StationInput.RequestFailed(
                        "gas-1", "status", QualityReason.UNREACHABLE, "fault", clock.now()));
        observe(writer);
        turn(writer);
        assertThat(told).hasSize(1);
        turn(writer);
        assertThat(fold.gatewayHolds()).containsExactly("internal-fault");
    }

    @Test
    void lostInputsAreNoticedOnceShownForAWhileAndCounted() throws Exception {
        settings = new WriterSettings(
                1,
                2,
                10,
                1_000,
                2,
                Duration.ofMillis(10),
                Duration.ofSeconds(1),
                5,
                Duration.ofSeconds(10),
                Duration.ofMinutes(1),
                Duration.ofMillis(100),
                Duration.ofSeconds(1),
                Duration.ofMinutes(1));
        StationWriter writer = writer();
        turn(writer);
        for (int i = 0; i < 5; i++) {
            writer.inputs().offer(answer(i % 2));
        }
        turn(writer);
        assertThat(writer.status().losses()).isEqualTo(new Losses(0, 1, 2));
        assertThat(fold.gatewayHolds()).containsExactly("inputs-lost");
        assertThat(fold.inputs)
                .filteredOn(StationInput.Noticed.class::isInstance)
                .singleElement()
                .satisfies(input -> assertThat(((StationInput.Noticed) input).kind())
                        .isEqualTo(StationEvent.Notice.Kind.INPUTS_LOST));
        clock.pass(settings.lossShown());
        turn(writer);
        assertThat(fold.gatewayHolds()).isEmpty();
    }

    @Test
    void aStepOfTheWallClockIsNoticedAndShownWhileTheClockIsNotTrusted() throws Exception {
        StationWriter writer = writer();
        turn(writer);
        clock.step(Duration.ofHours(-1));
        turn(writer);
        assertThat(fold.gatewayHolds()).containsExactly("clock-not-trusted");
        assertThat(fold.inputs)
                .filteredOn(StationInput.Noticed.class::isInstance)
                .singleElement()
                .satisfies(input -> {
                    StationInput.Noticed noticed = (StationInput.Noticed) input;
                    assertThat(noticed.kind()).isEqualTo(StationEvent.Notice.Kind.CLOCK_STEPPED);
                    assertThat(noticed.text()).contains("-3600000 ms");
                });
    }

    @Test
    void theGatewayTellsOfItselfAtTheStartAndAtEveryHeartbeat() throws Exception {
        StationWriter writer = writer(GatewayIndication.RECORD_SET_ASIDE);
        turn(writer);
        assertThat(fold.gatewayHolds()).containsExactly("record-set-aside");
        assertThat(fold.inputs).hasSize(1);
        turn(writer);
        assertThat(fold.inputs).hasSize(1);
        clock.pass(settings.heartbeat());
        turn(writer);
        assertThat(fold.inputs).hasSize(2);
        StationInput.Observed heartbeat = (StationInput.Observed) fold.inputs.get(1);
        assertThat(heartbeat.decoded().indications())
                .extracting(indication -> indication.id().name())
                .containsExactly(
                        "record-not-written",
                        "record-set-aside",
                        "events-not-recorded",
                        "inputs-lost",
                        "clock-not-trusted",
                        "start-not-recorded",
                        "events-refused",
                        "internal-fault",
                        "break-glass-used",
                        "secrets-exposed",
                        "certificate-expiring",
                        "link-falls-behind",
                        "link-events-missed",
                        "record-cut-short",
                        "link-budget-used");
    }

    @Test
    void aConfirmedPositionIsSavedWithinTheCursorInterval() throws Exception {
        StationWriter writer = writer();
        outbox.cursor("scada");
        turn(writer);
        observe(writer);
        turn(writer);
        outbox.cursor("scada").confirm(1);
        turn(writer);
        clock.pass(settings.cursorInterval());
        turn(writer);
        Commit last = disk.commits.get(disk.commits.size() - 1);
        assertThat(last.events()).isEmpty();
        assertThat(last.links()).singleElement().satisfies(link -> {
            assertThat(link.link()).isEqualTo("scada");
            assertThat(link.position()).isEqualTo(1);
        });
        int commits = disk.commits.size();
        clock.pass(settings.cursorInterval());
        turn(writer);
        assertThat(disk.commits).as("nothing moved").hasSize(commits);
    }

    @Test
    void closingCommitsWhatWaitsAndRefusesWhatComesLater() throws Exception {
        StationWriter writer = writer();
        CountDownLatch gate = new CountDownLatch(1);
        disk.gate = gate;
        writer.start();
        observe(writer);
        assertThat(disk.reached.await(30, TimeUnit.SECONDS)).isTrue();
        observe(writer);
        CompletableFuture<ActResult> waiting = writer.act(act());
        gate.countDown();
        writer.close();
        assertThat(disk.positions()).containsExactly(1L, 2L, 3L);
        assertThat(waiting.get(30, TimeUnit.SECONDS)).isInstanceOf(ActResult.Refused.class);
        assertThat(writer.act(act()).get(30, TimeUnit.SECONDS)).isInstanceOf(ActResult.NotTaken.class);
    }

    @Test
    void actsThatTheDiskNeverTookAreAnsweredWhenTheWriterCloses() throws Exception {
        StationWriter writer = writer();
        disk.failing = true;
        writer.start();
        CompletableFuture<ActResult> answer = writer.act(act());
        writer.close();
        assertThat(answer.get(30, TimeUnit.SECONDS)).isNotNull();
    }

    @Test
    void aSlowViewListenerSeesTheNewestViewAndHoldsUpNobody() throws Exception {
        settings = new WriterSettings(
                100,
                200,
                10,
                1_000,
                2,
                Duration.ofMillis(10),
                Duration.ofSeconds(1),
                5,
                Duration.ofSeconds(10),
                Duration.ofMinutes(1),
                Duration.ZERO,
                Duration.ofSeconds(1),
                Duration.ofMinutes(1));
        StationWriter writer = writer();
        LinkedBlockingQueue<StationView> seen = new LinkedBlockingQueue<>();
        CountDownLatch gate = new CountDownLatch(1);
        CountDownLatch inListener = new CountDownLatch(1);
        writer.onView(view -> {
            seen.add(view);
            inListener.countDown();
            try {
                gate.await();
            } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
            }
        });
        LinkedBlockingQueue<RecordedEvent> events = new LinkedBlockingQueue<>();
        writer.onCommitted(events::addAll);
        writer.start();
        assertThat(inListener.await(30, TimeUnit.SECONDS)).isTrue();
        for (int i = 0; i < 20; i++) {
            clock.pass(Duration.ofSeconds(1));
            observe(writer);
            assertThat(events.poll(30, TimeUnit.SECONDS))
                    .as("event %s while the listener hangs", i)
                    .isNotNull();
        }
        gate.countDown();
        writer.close();
        List<StationView> views = new ArrayList<>(seen);
        assertThat(views).hasSizeLessThan(20);
        assertThat(views.get(views.size() - 1).at()).isEqualTo(clock.now());
    }
}
