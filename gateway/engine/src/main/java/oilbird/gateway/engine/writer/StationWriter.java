package oilbird.gateway.engine.writer;

import java.time.Duration;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.Executor;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationStep;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.WallStep;
import oilbird.gateway.engine.outbox.Outbox;
import oilbird.gateway.engine.queue.InputQueue;
import oilbird.gateway.engine.queue.InputSink;
import oilbird.gateway.engine.queue.Losses;
import oilbird.gateway.engine.queue.Queued;
import oilbird.gateway.engine.record.Commit;
import oilbird.gateway.engine.record.CommitFailedException;
import oilbird.gateway.engine.record.CommitPort;
import oilbird.gateway.engine.record.LinkPosition;
import oilbird.gateway.engine.record.RecordGap;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.record.ShorteningPlan;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * The one owner of the station's state. It takes what waits, folds all of it, makes the outcome durable in one
 * transaction and only then tells: links, listeners, and those who acted.
 *
 * <p>While the disk does not take a commit, nothing is told and nothing further is folded; the commit is tried
 * again. After {@link WriterSettings#failuresBeforeMemory()} failures in a row events are announced from memory,
 * marked as not recorded, and written when the disk takes them again.
 *
 * <p>Timers run at their own time: before an input is folded, every timer due by the time the input came in has
 * run, and none runs ahead of an input that still waits. So a stall of the disk neither makes data stale nor
 * shortens a delay.
 */
public final class StationWriter implements ActDoor, AutoCloseable {
    private static final Logger LOG = Logger.getLogger(StationWriter.class);
    private static final long TIMER_STEP_NANOS = 1_000_000L;
    private static final int LAST_TURNS = 1_000;
    private static final int AT_A_TIME = 16;

    private final Fold fold;
    private final CommitPort disk;
    private final Outbox outbox;
    private final GatewayClock clock;
    private final WriterSettings settings;
    private final Executor answers;
    private final InputQueue queue;
    private final ViewTeller views = new ViewTeller();
    private final CopyOnWriteArrayList<CommittedListener> listeners = new CopyOnWriteArrayList<>();
    private final Set<GatewayIndication> toldFromOutside = ConcurrentHashMap.newKeySet();
    private final Thread thread = new Thread(this::run, "station-writer");
    private volatile boolean stopping;

    // Owned by the thread that turns.
    private final Set<GatewayIndication> lasting = EnumSet.noneOf(GatewayIndication.class);
    private final Backlog backlog;
    /** Remembered pieces that go with the next commit. */
    private final Map<String, Remembered> unsaved = new LinkedHashMap<>();

    private boolean opened;
    private long nextPosition;
    private long wakeAt = AlarmState.NEVER;
    private long lastAt = Long.MIN_VALUE;
    private Moment present;
    private boolean aheadSeen;
    private @Nullable Batch held;
    private int failures;
    private boolean fromMemory;
    private boolean fallsBehind;
    private long retryAt;
    private long heartbeatAt = Long.MIN_VALUE;
    private Set<GatewayIndication> told = EnumSet.noneOf(GatewayIndication.class);
    private Losses lossesSeen = new Losses(0, 0, 0);
    private long lossShownUntil = Long.MIN_VALUE;
    private long viewAt = Long.MIN_VALUE;
    private boolean viewDue;
    private long cursorsAt;
    private long lifeAt = Long.MIN_VALUE;
    private volatile WriterStatus status;
    private long committed;
    private long recorded;
    private long lastCommitNanos;
    private @Nullable String lastFailure;

    /**
     * @param nextPosition of the first event to come in the event record.
     * @param lasting gateway indications that hold from the start until the next start.
     */
    public StationWriter(
            StationFold fold,
            CommitPort disk,
            Outbox outbox,
            long nextPosition,
            Set<GatewayIndication> lasting,
            GatewayClock clock,
            WriterSettings settings) {
        this(
                Fold.of(fold),
                disk,
                outbox,
                nextPosition,
                lasting,
                clock,
                settings,
                new CompletableFuture<Void>().defaultExecutor());
    }

    /**
     * @param answers where those who acted are answered: whoever waits must not hold up the writer.
     */
    StationWriter(
            Fold fold,
            CommitPort disk,
            Outbox outbox,
            long nextPosition,
            Set<GatewayIndication> lasting,
            GatewayClock clock,
            WriterSettings settings,
            Executor answers) {
        this.answers = answers;
        this.fold = fold;
        this.disk = disk;
        this.outbox = outbox;
        this.nextPosition = nextPosition;
        this.lasting.addAll(lasting);
        this.clock = clock;
        this.settings = settings;
        this.present = clock.now();
        this.queue = new InputQueue(settings.inputs(), settings.inputsLimit());
        this.backlog = new Backlog(settings.unwritten());
        this.status = new WriterStatus(0, lossesSeen, 0, 0, 0, false, 0, null);
    }

    /** Where pollers put their inputs. */
    public InputSink inputs() {
        return queue;
    }

    /** Adds a listener; those added before {@link #start()} miss nothing. */
    public void onCommitted(CommittedListener listener) {
        listeners.add(listener);
    }

    /** Adds a listener; those added before {@link #start()} miss nothing. */
    public void onView(ViewListener listener) {
        views.add(listener);
    }

    /** From now on this holds, or does not, as far as it is known outside the writer; until the next start. */
    public void holds(GatewayIndication indication, boolean now) {
        if (now ? toldFromOutside.add(indication) : toldFromOutside.remove(indication)) {
            queue.wake();
        }
    }

    /** How the station stood at the last commit; null before the first. */
    public @Nullable StationView view() {
        return views.newest();
    }

    public WriterStatus status() {
        WriterStatus seen = status;
        return new WriterStatus(
                queue.waiting(),
                queue.losses(),
                seen.committed(),
                seen.recorded(),
                seen.unwritten(),
                seen.fromMemory(),
                seen.lastCommitNanos(),
                seen.lastFailure());
    }

    /** Starts the writer's thread, which commits the opening first. */
    public void start() {
        views.start();
        thread.start();
    }

    @Override
    public CompletableFuture<ActResult> act(StationInput.Asked act) {
        CompletableFuture<ActResult> outcome = new CompletableFuture<>();
        if (stopping) {
            outcome.complete(new ActResult.NotTaken("the gateway is stopping"));
        } else if (!queue.offerAct(act, outcome)) {
            outcome.complete(
                    new ActResult.NotTaken(stopping ? "the gateway is stopping" : "too many acts wait; try again"));
        }
        return outcome;
    }

    /** Folds and commits what waits, saves the cursors, and ends the thread; waits at most ten seconds. */
    @Override
    public void close() {
        stopping = true;
        queue.wake();
        try {
            thread.join(TimeUnit.SECONDS.toMillis(10));
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
        views.close();
    }

    /** False once the writer's thread has ended; after {@link #start()} that is a fault, unless it was closed. */
    public boolean running() {
        return thread.isAlive();
    }

    private void run() {
        try {
            while (!stopping) {
                turn(Duration.ofHours(1));
            }
            lastTurns();
        } catch (InterruptedException e) {
            LOG.errorf("GW-2010 the writer was interrupted and ends without its last commit");
        } catch (RuntimeException | Error e) {
            LOG.errorf(e, "GW-2010 the writer failed and ends; the gateway must be started again");
            throw e;
        } finally {
            answerTheRest();
        }
    }

    private void lastTurns() throws InterruptedException {
        for (int turns = 0; turns < LAST_TURNS && (turns == 0 || queue.waiting() > 0); turns++) {
            turn(Duration.ZERO);
        }
        queue.refuseActs();
        cursorsAt = Long.MIN_VALUE;
        retryAt = Long.MIN_VALUE;
        viewAt = Long.MIN_VALUE;
        lifeAt = unsaved.isEmpty() ? lifeAt : Long.MIN_VALUE;
        turn(Duration.ZERO);
    }

    /** Nobody is left waiting for an answer that will not come. */
    private void answerTheRest() {
        queue.refuseActs();
        ActResult stopped = new ActResult.NotTaken("the gateway is stopping");
        if (held != null) {
            held.acts.forEach(acting -> answer(acting.outcome(), stopped));
        }
        try {
            for (Queued left : queue.take(Integer.MAX_VALUE, 0)) {
                CompletableFuture<ActResult> outcome = outcome(left);
                if (outcome != null) {
                    answer(outcome, stopped);
                }
            }
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
    }

    /**
     * One turn: waits for something to do, folds it, commits it, tells of it. Called by the writer's thread, or by a
     * simulation that never starts the thread.
     *
     * @param longestWait on the machine's own clock.
     */
    void turn(Duration longestWait) throws InterruptedException {
        if (held != null) {
            queue.pause(
                    Math.min(longestWait.toNanos(), clock.realTimeUntil(retryAt).toNanos()));
            if (clock.now().monotonicNanos() >= retryAt) {
                commit(held);
            }
        } else {
            Batch batch = fold(longestWait);
            commit(batch);
        }
        showView();
        status = new WriterStatus(
                0, lossesSeen, committed, recorded, backlog.waiting(), fromMemory, lastCommitNanos, lastFailure);
    }

    private Batch fold(Duration longestWait) throws InterruptedException {
        Batch batch = new Batch();
        if (!opened) {
            opened = true;
            add(batch, fold.opening());
        }
        long wait = batch.nothingToWrite() ? Math.min(longestWait.toNanos(), untilNextDue()) : 0;
        // How far timers and the gateway's own indications may go: not past an input that still waits.
        Moment horizon = null;
        Moment lastInput = clock.now();
        for (int folded = 0; folded < settings.batch() && batch.events.size() < settings.batchEvents(); ) {
            List<Queued> taken = queue.take(AT_A_TIME, wait);
            wait = 0;
            if (taken.isEmpty()) {
                horizon = clock.now();
                break;
            }
            for (Queued queued : taken) {
                StationInput input = notAhead(queued.input());
                Moment at = input.at();
                CompletableFuture<ActResult> outcome = outcome(queued);
                if (outcome != null && at.monotonicNanos() > present.monotonicNanos()) {
                    answer(outcome, new ActResult.NotTaken("its time lies ahead of the gateway's clock"));
                    continue;
                }
                runTimers(batch, at.plusNanos(Math.min(queued.since(), at.monotonicNanos()) - at.monotonicNanos()));
                fold(batch, input, outcome);
                lastInput = at;
            }
            folded += taken.size();
        }
        if (horizon == null) {
            horizon = lastInput;
        }
        tellOfItself(batch, horizon);
        runTimers(batch, horizon);
        return batch;
    }

    private long untilNextDue() {
        long due = Math.min(Math.min(wakeAt, heartbeatAt), cursorsAt);
        if (viewDue) {
            due = Math.min(due, viewAt);
        }
        if (fromMemory) {
            due = Math.min(due, retryAt);
        }
        return due == AlarmState.NEVER
                ? AlarmState.NEVER
                : clock.realTimeUntil(due).toNanos();
    }

    /**
     * Nothing that has happened lies ahead of the clock. What claims to is taken as of now: folded at its own time it
     * would make everything else stale and shut out what comes after it.
     */
    private StationInput notAhead(StationInput input) {
        if (input.at().monotonicNanos() <= present.monotonicNanos()) {
            return input;
        }
        present = clock.now();
        if (input.at().monotonicNanos() <= present.monotonicNanos()) {
            return input;
        }
        if (!aheadSeen) {
            aheadSeen = true;
            LOG.errorf("GW-2012 an input is dated ahead of the clock and is taken as of now: %s", input);
        }
        return Redated.at(present, input);
    }

    private void fold(Batch batch, StationInput input, @Nullable CompletableFuture<ActResult> outcome) {
        int from = batch.events.size();
        StationStep step = apply(batch, input);
        if (outcome == null) {
            return;
        }
        if (step == null) {
            answer(outcome, new ActResult.NotTaken("the gateway met a fault of its own"));
        } else {
            batch.acts.add(new Acting(outcome, step.refusal(), step.notTaken(), from, batch.events.size()));
        }
    }

    private void answer(CompletableFuture<ActResult> outcome, ActResult result) {
        outcome.completeAsync(() -> result, answers);
    }

    @SuppressWarnings("unchecked")
    private static @Nullable CompletableFuture<ActResult> outcome(Queued queued) {
        return (CompletableFuture<ActResult>) queued.ticket();
    }

    private void runTimers(Batch batch, Moment upTo) {
        while (wakeAt <= upTo.monotonicNanos()) {
            long due = Math.min(Math.max(wakeAt, lastAt), upTo.monotonicNanos());
            StationStep step = apply(batch, new StationInput.Elapsed(upTo.plusNanos(due - upTo.monotonicNanos())));
            if (step == null || step.wakeAt() <= due) {
                wakeAt = due + TIMER_STEP_NANOS;
            }
        }
    }

    /** Folds one input; a fault in the fold costs that input and is shown, and does not end the gateway. */
    private @Nullable StationStep apply(Batch batch, StationInput input) {
        lastAt = Math.max(lastAt, input.at().monotonicNanos());
        viewDue = true;
        try {
            StationStep step = fold.apply(input);
            add(batch, step);
            return step;
        } catch (RuntimeException e) {
            if (lasting.add(GatewayIndication.INTERNAL_FAULT)) {
                LOG.errorf(e, "GW-2009 internal fault, input passed over: %s", input);
            } else {
                LOG.errorf("GW-2009 internal fault again (%s), input passed over at %s", e, input.at());
            }
            return null;
        }
    }

    private void add(Batch batch, StationStep step) {
        for (StationEvent event : step.events()) {
            batch.events.add(new RecordedEvent(nextPosition++, event, true));
        }
        batch.changed(step.changed());
        Standing standing = step.standing();
        if (standing != null) {
            batch.standing = standing;
        }
        for (Remembered piece : step.remembered()) {
            unsaved.put(piece.key(), piece);
            batch.remembersAtOnce |= piece.atOnce();
        }
        wakeAt = step.wakeAt();
    }

    /** Gives the fold the gateway's own indications, when one changed or the heartbeat is due. */
    private void tellOfItself(Batch batch, Moment at) {
        long now = at.monotonicNanos();
        WallStep wallStep = clock.takeStep();
        if (wallStep != null) {
            LOG.warnf("GW-2005 wall clock stepped by %d ms", wallStep.stepMillis());
            notice(
                    batch,
                    StationEvent.Notice.Kind.CLOCK_STEPPED,
                    GatewayIndication.CLOCK_NOT_TRUSTED,
                    "wall clock stepped by " + wallStep.stepMillis() + " ms",
                    at);
        }
        Losses losses = queue.losses();
        if (losses.readings() + losses.indications() > lossesSeen.readings() + lossesSeen.indications()) {
            lossShownUntil = now + settings.lossShown().toNanos();
            if (!told.contains(GatewayIndication.INPUTS_LOST)) {
                LOG.warnf(
                        "GW-2004 inputs lost: %d with readings only, %d with a change of an indication",
                        losses.readings() - lossesSeen.readings(), losses.indications() - lossesSeen.indications());
                notice(
                        batch,
                        StationEvent.Notice.Kind.INPUTS_LOST,
                        GatewayIndication.INPUTS_LOST,
                        "readings only: " + losses.readings() + ", with a change of an indication: "
                                + losses.indications() + ", since the start",
                        at);
            }
        }
        lossesSeen = losses;

        if (disk.begunAnew()) {
            lasting.add(GatewayIndication.RECORD_SET_ASIDE);
        }
        ShorteningPlan plan = fromMemory ? null : disk.shortening(at);
        if (plan != null) {
            apply(
                    batch,
                    new StationInput.Noticed(
                            StationEvent.Notice.Kind.RECORD_SHORTENED, ShorteningPlan.SUBJECT, plan.text(), at));
        }
        long room = disk.capacity();
        long waiting = outbox.mostWaiting();
        fallsBehind = waiting > room / 10 * (fallsBehind ? 6 : 7);
        Set<GatewayIndication> holding = EnumSet.noneOf(GatewayIndication.class);
        holding.addAll(lasting);
        holding.addAll(toldFromOutside);
        if (fromMemory) {
            holding.add(GatewayIndication.RECORD_NOT_WRITTEN);
        }
        if (fallsBehind) {
            holding.add(GatewayIndication.LINK_FALLS_BEHIND);
        }
        if (disk.removesYoung()) {
            holding.add(GatewayIndication.RECORD_CUT_SHORT);
        }
        if (now < lossShownUntil) {
            holding.add(GatewayIndication.INPUTS_LOST);
        }
        if (!at.wallTrusted()) {
            holding.add(GatewayIndication.CLOCK_NOT_TRUSTED);
        }
        if (holding.equals(told) && now < heartbeatAt) {
            return;
        }
        told = holding;
        heartbeatAt = now + settings.heartbeat().toNanos();
        List<Indication> indications = new ArrayList<>();
        for (GatewayIndication indication : GatewayIndication.values()) {
            indications.add(Indication.of(indication.id(), holding.contains(indication), at));
        }
        apply(
                batch,
                new StationInput.Observed(new Decoded(
                        GatewayIndication.DEVICE, GatewayIndication.BLOCK, List.of(), indications, List.of(), at)));
    }

    private void notice(Batch batch, StationEvent.Notice.Kind kind, GatewayIndication subject, String text, Moment at) {
        apply(batch, new StationInput.Noticed(kind, subject.id(), text, at));
    }

    /** The one place where a batch meets the disk. Afterwards it has been told, or is held for another try. */
    private void commit(Batch batch) {
        Moment now = clock.now();
        if (fromMemory) {
            backlog.add(batch);
            boolean written = now.monotonicNanos() >= retryAt && writeBacklog(now);
            giveUpWhatDoesNotFit();
            tell(batch, written);
            return;
        }
        List<LinkPosition> links = List.of();
        if (!batch.nothingToWrite() || now.monotonicNanos() >= cursorsAt) {
            links = outbox.unsaved();
            cursorsAt = now.monotonicNanos() + settings.cursorInterval().toNanos();
        }
        if (batch.nothingToWrite() && links.isEmpty() && now.monotonicNanos() < lifeAt) {
            held = null;
            tell(batch, true);
            return;
        }
        boolean all = disk.wantsEveryState();
        List<AlarmState> changed = all ? everyState() : List.copyOf(batch.changed.values());
        Standing standing = all ? fold.view().standing() : batch.standing;
        if (tryCommit(new Commit(batch.events, changed, links, List.of(), standing, remembered(all), now))) {
            held = null;
            outbox.saved(links);
            tell(batch, true);
            outbox.settled(nextPosition - 1);
        } else if (failures < settings.failuresBeforeMemory()) {
            held = batch;
        } else {
            LOG.errorf("GW-2002 the event record cannot be written; events are announced from memory");
            held = null;
            fromMemory = true;
            backlog.add(batch);
            giveUpWhatDoesNotFit();
            tell(batch, false);
        }
    }

    private boolean writeBacklog(Moment now) {
        List<RecordedEvent> events = backlog.events();
        List<LinkPosition> links = outbox.unsaved();
        boolean all = disk.wantsEveryState();
        List<AlarmState> changed = all ? everyState() : backlog.changed();
        Standing standing = all ? fold.view().standing() : backlog.standing();
        RecordGap gap = backlog.gap();
        List<RecordGap> gaps = gap == null ? List.of() : List.of(gap);
        if (!tryCommit(new Commit(events, changed, links, gaps, standing, remembered(all), now))) {
            return false;
        }
        LOG.infof("GW-2003 the event record is written again; %d events caught up", events.size());
        fromMemory = false;
        backlog.clear();
        outbox.saved(links);
        outbox.written(events);
        return true;
    }

    private void giveUpWhatDoesNotFit() {
        RecordGap gap = backlog.gap();
        if (gap != null) {
            if (lasting.add(GatewayIndication.EVENTS_NOT_RECORDED)) {
                LOG.errorf("GW-2006 too many events for the memory; the oldest will never be in the event record");
            }
            outbox.settled(gap.to());
        }
    }

    private List<Remembered> remembered(boolean all) {
        return all ? fold.remembered() : List.copyOf(unsaved.values());
    }

    private boolean tryCommit(Commit commit) {
        long started = System.nanoTime();
        try {
            disk.commit(commit);
            lifeAt = commit.at().monotonicNanos() + settings.lifeInterval().toNanos();
            lastCommitNanos = System.nanoTime() - started;
            unsaved.clear();
            committed++;
            recorded += commit.events().size();
            failures = 0;
            return true;
        } catch (CommitFailedException e) {
            failed(String.valueOf(e.getMessage()));
        } catch (RuntimeException e) {
            // A fault of ours must not stop the announcing of alarms; it shows as a record that is not written.
            LOG.errorf(e, "GW-2007 internal fault while writing the event record");
            failed(e.toString());
        }
        return false;
    }

    private void failed(String why) {
        failures++;
        lastFailure = why;
        long wait =
                Math.min(settings.lastRetry().toNanos(), settings.firstRetry().toNanos() << Math.min(failures - 1, 20));
        retryAt = clock.now().monotonicNanos() + wait;
        LOG.warnf("GW-2001 commit failed (%d in a row): %s", failures, why);
    }

    private List<AlarmState> everyState() {
        List<AlarmState> states = new ArrayList<>();
        for (StationView.AlarmView alarm : fold.view().alarms().values()) {
            states.add(alarm.state());
        }
        return states;
    }

    private void tell(Batch batch, boolean written) {
        List<RecordedEvent> events = written
                ? List.copyOf(batch.events)
                : batch.events.stream()
                        .map(event -> new RecordedEvent(event.position(), event.event(), false))
                        .toList();
        // Whoever is told of maintenance or a point test must find it in the picture, and nobody may be told of any
        // alarm
        // with the picture before a diagnosis or keep-away: it would still send people near the asset.
        if (batch.standing != null || events.stream().anyMatch(StationWriter::changesWhatIsShownOfOthers)) {
            views.show(fold.view());
        }
        if (!events.isEmpty()) {
            outbox.announced(events);
            for (CommittedListener listener : listeners) {
                try {
                    listener.committed(events);
                } catch (RuntimeException e) {
                    LOG.errorf(e, "GW-2008 a listener failed on committed events");
                }
            }
        }
        for (Acting acting : batch.acts) {
            answer(acting.outcome(), acting.result(events));
        }
    }

    private static boolean changesWhatIsShownOfOthers(RecordedEvent recorded) {
        return recorded.event() instanceof StationEvent.KeptAway
                || recorded.event() instanceof StationEvent.Diagnosed
                || recorded.event() instanceof StationEvent.FaultFinding
                || (recorded.event() instanceof StationEvent.Notice notice
                        && notice.kind() == StationEvent.Notice.Kind.RULES_LOADED);
    }

    private void showView() {
        if (!viewDue || held != null) {
            return;
        }
        long now = clock.now().monotonicNanos();
        if (now < viewAt) {
            return;
        }
        long started = System.nanoTime();
        views.show(fold.view());
        long cost = System.nanoTime() - started;
        // A big station's picture may take at most a twentieth of the writer's time.
        viewAt = now + Math.max(settings.viewInterval().toNanos(), 20 * cost);
        viewDue = false;
    }
}
