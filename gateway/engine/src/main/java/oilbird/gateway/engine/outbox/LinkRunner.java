package oilbird.gateway.engine.outbox;

import java.io.IOException;
import java.time.Duration;
import java.util.ArrayDeque;
import java.util.HashMap;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CompletionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.locks.Condition;
import java.util.concurrent.locks.ReentrantLock;
import java.util.function.Function;
import java.util.function.LongSupplier;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.AlarmId;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.record.EventSubject;
import oilbird.gateway.engine.record.LinkPosition;
import oilbird.gateway.engine.record.MissedEvents;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.Moment;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * Carries events from the outbox over one link, on a thread of its own: at least once, in order per alarm.
 *
 * <p>Up to {@link Settings#window()} events are on their way unconfirmed. When one fails or stays unconfirmed too
 * long the link is closed and, after a growing and randomly varied wait, everything from the last confirmed event on
 * is sent again.
 */
public final class LinkRunner implements AutoCloseable {
    private static final Logger LOG = Logger.getLogger(LinkRunner.class);
    private static final Duration LAST_CONFIRMATIONS = Duration.ofSeconds(1);

    private final Link link;
    private final LinkCursor cursor;
    private final GatewayClock clock;
    private final Settings settings;
    private final Losses losses;
    private final long bytesADay;
    private final SplittableRandom random;
    private final LongSupplier nanos;
    private final Thread thread;

    // Owned by the thread that steps.
    private final ArrayDeque<OnItsWay> window = new ArrayDeque<>();
    private final Lanes lanes;
    private boolean connected;
    private long upSince;
    private long retryAt;
    private final DailyVolume volume;
    private long bytesSeen;
    private boolean budgetUsed;
    private @Nullable MissedEvents missedTold;

    private final ReentrantLock lock = new ReentrantLock();
    private final Condition changed = lock.newCondition();
    private boolean closing;
    private boolean signalled;
    private LinkState.Condition condition = LinkState.Condition.STOPPED;
    private @Nullable Moment confirmedAt;
    private @Nullable String lastError;
    private long skipped;
    private int failures;
    private @Nullable String confirmedEvent;
    private @Nullable Moment nextTryAt;
    private long bytesToday;
    private long wentAhead;
    private final Map<Long, CompletableFuture<Boolean>> awaited = new HashMap<>();
    private volatile boolean readingsHeld;

    /**
     * @param window events on their way unconfirmed at most.
     * @param confirmation longest wait for one confirmation.
     * @param firstRetry wait after the first failure; doubled up to {@code lastRetry}, each varied by half.
     * @param check how often an idle link is asked whether it is still open.
     */
    public record Settings(int window, Duration confirmation, Duration firstRetry, Duration lastRetry, Duration check) {
        public static final Settings DEFAULT = new Settings(
                64, Duration.ofSeconds(10), Duration.ofMillis(500), Duration.ofSeconds(30), Duration.ofSeconds(1));
    }

    /** Told of events that the other side will never have, and of a budget that is used up. */
    public interface Losses {
        /** It will never take this one. */
        void refused(String link, RecordedEvent event, String why);

        /** These were removed from the record before it had them. */
        default void missed(String link, MissedEvents events) {}

        /** Its budget of today is used up, or it no longer is. */
        default void budget(String link, boolean used) {}
    }

    /**
     * What one link is to carry.
     *
     * @param rules the rule of an alarm as it is in force; null where there is none any more.
     * @param bytesADay the budget of the line; 0 for none.
     * @param catchingUp events that may wait before fresh alarms go ahead of them.
     */
    public record Load(
            LinkFilter only, Function<AlarmId, @Nullable RuleInstance> rules, long bytesADay, int catchingUp) {
        /** Everything. */
        public static final Load ALL = new Load(LinkFilter.NONE, alarm -> null, 0, Lanes.CATCHING_UP);

        /** What the station file says, with the usual catching up. */
        public static Load of(LinkFilter only, Function<AlarmId, @Nullable RuleInstance> rules, long bytesADay) {
            return new Load(only, rules, bytesADay, Lanes.CATCHING_UP);
        }
    }

    public LinkRunner(Link link, Outbox outbox, GatewayClock clock, Settings settings, Losses losses) {
        this(link, outbox, clock, settings, losses, Load.ALL, System::nanoTime);
    }

    public LinkRunner(Link link, Outbox outbox, GatewayClock clock, Settings settings, Losses losses, Load load) {
        this(link, outbox, clock, settings, losses, load, System::nanoTime);
    }

    LinkRunner(Link link, Outbox outbox, GatewayClock clock, Settings settings, Losses losses, LongSupplier nanos) {
        this(link, outbox, clock, settings, losses, Load.ALL, nanos);
    }

    /**
     * @param nanos the machine's own monotonic clock.
     */
    LinkRunner(
            Link link,
            Outbox outbox,
            GatewayClock clock,
            Settings settings,
            Losses losses,
            Load load,
            LongSupplier nanos) {
        this.losses = losses;
        this.link = link;
        this.cursor = outbox.cursor(link.id());
        this.bytesADay = load.bytesADay();
        Sieve sieve = new Sieve(link.id(), load.only(), load.rules());
        this.lanes = new Lanes(cursor, sieve, this::tellMissed, load.catchingUp());
        this.clock = clock;
        this.settings = settings;
        this.random = new SplittableRandom(link.id().hashCode());
        this.nanos = nanos;
        this.retryAt = nanos.getAsLong();
        LinkPosition before = cursor.saved();
        this.volume = new DailyVolume(before.day(), before.bytes(), clock.now());
        this.bytesSeen = link.bytesSent();
        this.thread = new Thread(this::run, "link-" + link.id());
        link.readingsAllowed(() -> !readingsHeld && load.only().passes(LinkFilter.Kind.READING));
        outbox.onNew(this::signal);
    }

    private void tellMissed() {
        MissedEvents events = cursor.missed();
        if (events != null && !events.equals(missedTold)) {
            missedTold = events;
            LOG.errorf(
                    "GW-2045 link %s: events %s to %s were removed before the other side had them",
                    link.id(), events.first(), events.last());
            losses.missed(link.id(), events);
        }
    }

    public void start() {
        thread.start();
    }

    /** Id of the link that it runs. */
    public String link() {
        return link.id();
    }

    /** How the link stands; may read an event from the disk. */
    public LinkState state() {
        long confirmed = cursor.confirmed();
        List<RecordedEvent> oldest = cursor.waiting() > 0 ? cursor.after(confirmed, 1) : List.of();
        lock.lock();
        try {
            return new LinkState(
                    link.id(),
                    condition,
                    confirmed,
                    Math.max(0, cursor.waiting() - wentAhead),
                    confirmedEvent,
                    confirmedAt,
                    oldest.isEmpty() ? null : oldest.get(0).event().at(),
                    lastError,
                    skipped,
                    failures,
                    condition == LinkState.Condition.DOWN ? nextTryAt : null,
                    bytesToday,
                    bytesADay,
                    readingsHeld);
        } finally {
            lock.unlock();
        }
    }

    /**
     * Whether the other side has the event at a position.
     *
     * @return completes with true when it is confirmed, with false when it will never be taken.
     */
    public CompletableFuture<Boolean> whenConfirmed(long position) {
        CompletableFuture<Boolean> outcome = new CompletableFuture<>();
        lock.lock();
        try {
            if (position <= cursor.confirmed()) {
                outcome.complete(true);
            } else {
                awaited.put(position, outcome);
            }
        } finally {
            lock.unlock();
        }
        return outcome;
    }

    private void answer(long position, boolean taken) {
        CompletableFuture<Boolean> outcome;
        lock.lock();
        try {
            outcome = awaited.remove(position);
            wentAhead = lanes.ahead();
        } finally {
            lock.unlock();
        }
        if (outcome != null) {
            outcome.completeAsync(() -> taken);
        }
    }

    /** Counts what the link has sent, readings too, and holds readings back when most of the budget is gone. */
    private void count() {
        Moment now = clock.now();
        long sent = link.bytesSent();
        volume.add(sent - bytesSeen, now);
        bytesSeen = sent;
        long today = volume.today(now);
        cursor.sent(volume.day(), today);
        readingsHeld = bytesADay > 0 && today >= bytesADay / 5 * 4;
        boolean used = bytesADay > 0 && today >= bytesADay;
        if (used != budgetUsed) {
            budgetUsed = used;
            losses.budget(link.id(), used);
        }
        lock.lock();
        try {
            bytesToday = today;
        } finally {
            lock.unlock();
        }
    }

    /** Waits a second for what is on its way, ends the thread and closes the link; waits at most five seconds. */
    @Override
    public void close() {
        lock.lock();
        try {
            closing = true;
            signalled = true;
            changed.signalAll();
        } finally {
            lock.unlock();
        }
        try {
            thread.join(TimeUnit.SECONDS.toMillis(5));
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
    }

    private void run() {
        try {
            while (!closing()) {
                long wait = step();
                if (wait > 0 && connected) {
                    await(wait);
                } else if (wait > 0) {
                    pause(wait);
                }
            }
            takeLastConfirmations();
        } catch (InterruptedException e) {
            LOG.warnf("GW-2042 link %s was interrupted", link.id());
        } finally {
            link.close();
            now(LinkState.Condition.STOPPED);
        }
    }

    /**
     * One step: connects, or hands one event over, or finds nothing to do. Called by the runner's thread, or by a
     * simulation that never starts it.
     *
     * @return nanoseconds for which nothing is due unless a confirmation or a new event comes; 0 to go on at once.
     */
    long step() {
        try {
            count();
            if (connected) {
                return carry();
            }
            long left = retryAt - nanos.getAsLong();
            if (left > 0) {
                return left;
            }
            connect();
            return 0;
        } catch (IOException | RuntimeException e) {
            long failedAt = nanos.getAsLong();
            failed(e, failedAt - upSince);
            connected = false;
            link.close();
            long wait = backOff();
            retryAt = failedAt + wait;
            nextTry(wait);
            return wait;
        }
    }

    private void connect() throws IOException {
        now(LinkState.Condition.CONNECTING);
        upSince = nanos.getAsLong();
        link.open();
        now(LinkState.Condition.UP);
        if (!triedBefore()) {
            LOG.infof("GW-2040 link %s is up, %d events wait", link.id(), cursor.waiting());
        }
        window.clear();
        lanes.begin();
        connected = true;
    }

    private long carry() throws IOException {
        takeConfirmations();
        RecordedEvent next = window.size() < settings.window() ? lanes.next(this::mayGo) : null;
        if (next != null) {
            CompletableFuture<Void> outcome = link.send(next).toCompletableFuture();
            window.add(new OnItsWay(next, outcome, nanos.getAsLong()));
            outcome.whenComplete((done, failure) -> signal());
            return 0;
        }
        if (!link.isOpen()) {
            throw new IOException("the connection was lost");
        }
        long wait = settings.check().toNanos();
        OnItsWay oldest = window.peek();
        if (oldest != null) {
            long left = settings.confirmation().toNanos() - (nanos.getAsLong() - oldest.sentAt());
            if (left <= 0) {
                throw new IOException("event " + oldest.event().event().id() + " was not confirmed within "
                        + settings.confirmation().toMillis() + " ms");
            }
            wait = Math.min(wait, left);
        }
        return wait;
    }

    /**
     * Takes what was confirmed out of the window: off its head where the line keeps order, wherever it is where it does
     * not, so that one slow answer holds up its own alarm only.
     */
    private void takeConfirmations() throws IOException {
        for (Iterator<OnItsWay> oldestFirst = window.iterator(); oldestFirst.hasNext(); ) {
            OnItsWay onItsWay = oldestFirst.next();
            if (!onItsWay.outcome().isDone()) {
                if (!link.keepsOrder()) {
                    continue;
                }
                break;
            }
            Throwable failure = failure(onItsWay.outcome());
            if (failure instanceof UnsendableException unsendable) {
                LOG.errorf(
                        "GW-2043 link %s will never take event %s, skipped: %s",
                        link.id(), onItsWay.event().event().id(), unsendable.getMessage());
                skip(unsendable);
                losses.refused(link.id(), onItsWay.event(), String.valueOf(unsendable.getMessage()));
            } else if (failure != null) {
                throw new IOException(
                        "event " + onItsWay.event().event().id() + " was not taken: " + failure.getMessage(), failure);
            }
            oldestFirst.remove();
            lanes.confirmed(onItsWay.event());
            answer(onItsWay.event().position(), failure == null);
            confirmed(onItsWay.event());
        }
    }

    /** What is on its way may still be confirmed, and then does not go out again after the next start. */
    private void takeLastConfirmations() throws InterruptedException {
        long end = nanos.getAsLong() + LAST_CONFIRMATIONS.toNanos();
        try {
            for (long left = end - nanos.getAsLong(); connected && left > 0; left = end - nanos.getAsLong()) {
                takeConfirmations();
                if (window.isEmpty()) {
                    return;
                }
                await(left);
            }
        } catch (IOException e) {
            LOG.debugf("GW-2044 link %s, while it was being closed: %s", link.id(), e.getMessage());
        }
    }

    private static @Nullable Throwable failure(CompletableFuture<Void> outcome) {
        try {
            outcome.join();
            return null;
        } catch (CompletionException e) {
            return e.getCause() == null ? e : e.getCause();
        } catch (RuntimeException e) {
            return e;
        }
    }

    private boolean mayGo(RecordedEvent next) {
        EventSubject subject = EventSubject.of(next.event());
        return link.keepsOrder()
                || subject == null
                || window.stream()
                        .noneMatch(onItsWay ->
                                subject.equals(EventSubject.of(onItsWay.event().event())));
    }

    private void now(LinkState.Condition is) {
        lock.lock();
        try {
            condition = is;
        } finally {
            lock.unlock();
        }
    }

    private void confirmed(RecordedEvent event) {
        if (triedBefore()) {
            LOG.infof("GW-2044 link %s: the other side takes events again, %d wait", link.id(), cursor.waiting());
        }
        Moment at = clock.now();
        lock.lock();
        try {
            confirmedAt = at;
            confirmedEvent = event.event().id().toString();
            failures = 0;
        } finally {
            lock.unlock();
        }
    }

    private boolean triedBefore() {
        lock.lock();
        try {
            return failures > 0;
        } finally {
            lock.unlock();
        }
    }

    private void skip(UnsendableException unsendable) {
        lock.lock();
        try {
            skipped++;
            lastError = unsendable.getMessage();
        } finally {
            lock.unlock();
        }
    }

    private void failed(Exception e, long upNanos) {
        String text = e.getMessage() == null ? e.getClass().getSimpleName() : e.getMessage();
        lock.lock();
        try {
            if (failures == 0 || !text.equals(lastError)) {
                LOG.warnf("GW-2041 link %s is down: %s", link.id(), text);
            }
            failures = upNanos > settings.lastRetry().toNanos() ? 1 : failures + 1;
            lastError = text;
            condition = LinkState.Condition.DOWN;
        } finally {
            lock.unlock();
        }
    }

    private long backOff() {
        lock.lock();
        try {
            long wait = Math.min(
                    settings.lastRetry().toNanos(),
                    settings.firstRetry().toNanos() << Math.min(Math.max(failures - 1, 0), 20));
            return wait / 2 + random.nextLong(wait / 2 + 1);
        } finally {
            lock.unlock();
        }
    }

    private void nextTry(long wait) {
        Moment at = clock.now().plusNanos((long) (wait * clock.rate()));
        lock.lock();
        try {
            nextTryAt = at;
        } finally {
            lock.unlock();
        }
    }

    private boolean closing() {
        lock.lock();
        try {
            return closing;
        } finally {
            lock.unlock();
        }
    }

    private void signal() {
        lock.lock();
        try {
            signalled = true;
            changed.signalAll();
        } finally {
            lock.unlock();
        }
    }

    /** Waits for a signal, or for the time. */
    private void await(long nanos) throws InterruptedException {
        lock.lock();
        try {
            long remaining = nanos;
            while (!signalled && remaining > 0) {
                remaining = changed.awaitNanos(remaining);
            }
            signalled = false;
        } finally {
            lock.unlock();
        }
    }

    /** Waits for the time whatever happens, unless the runner closes. */
    private void pause(long nanos) throws InterruptedException {
        lock.lock();
        try {
            long remaining = nanos;
            while (!closing && remaining > 0) {
                remaining = changed.awaitNanos(remaining);
            }
        } finally {
            lock.unlock();
        }
    }

    private record OnItsWay(RecordedEvent event, CompletableFuture<Void> outcome, long sentAt) {}
}
