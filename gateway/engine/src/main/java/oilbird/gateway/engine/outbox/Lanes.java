package oilbird.gateway.engine.outbox;

import java.util.ArrayDeque;
import java.util.HashMap;
import java.util.HashSet;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.function.Predicate;
import oilbird.alarm.station.StationEvent;
import oilbird.gateway.engine.record.EventSubject;
import oilbird.gateway.engine.record.RecordedEvent;
import org.jspecify.annotations.Nullable;

/**
 * In which order one link is given the events it does not have yet.
 *
 * <p>There are two lanes. The <b>backlog</b> goes through the record in order of position. While more waits than
 * {@link #CATCHING_UP}, as after an outage or in a flood, there is a <b>fresh</b> lane beside it: what happens from then
 * on to an alarm, or says that people are to keep away, goes ahead of the backlog, the most urgent first. With it goes,
 * before it, whatever the backlog still has of the same alarm, so that each alarm is told in order: a fresh alarm waits
 * behind nothing but itself and what is on its way. Of four events sent while both lanes have some, one is of the
 * backlog, so that neither starves the other.
 *
 * <p>The cursor stays honest: it stands before the oldest event that is not confirmed, whatever went ahead of it. What
 * went ahead is remembered while the process lives, over lost connections too, and is not sent again; after a start it is
 * sent again with the rest, and the receiver removes it by its id.
 *
 * <p>Used by the thread that steps the link's runner.
 */
final class Lanes {
    /** Events that may wait before there is a fresh lane. */
    static final int CATCHING_UP = 512;

    private static final int READ_AHEAD = 256;
    /** Events that may wait in the fresh lane; what comes then takes its turn in the backlog. */
    private static final int MOST_FRESH = 4_096;
    /** Events of one alarm that go ahead of the backlog together; an alarm with more takes its turn. */
    private static final int MOST_OF_ONE = 1_024;
    /** Events that went ahead of the cursor; beyond it there is no fresh lane until the backlog is shorter. */
    private static final int MOST_REMEMBERED = 65_536;

    private static final int FRESH_IN_A_ROW = 3;

    private final LinkCursor cursor;
    private final Predicate<RecordedEvent> passes;
    private final Runnable jumped;
    private final int catchingUp;

    private final ArrayDeque<RecordedEvent> backlog = new ArrayDeque<>();
    private final Map<EventSubject, Fresh> fresh = new LinkedHashMap<>();
    private final Map<EventSubject, Long> takenTo = new HashMap<>();
    /** What has too much waiting to go ahead, until the backlog is through. */
    private final Set<EventSubject> inTurn = new HashSet<>();
    /** In one of the lanes or on its way, by position. */
    private final TreeSet<Long> owed = new TreeSet<>();
    /** Confirmed, and not yet passed by the cursor. */
    private final TreeSet<Long> wentAhead = new TreeSet<>();

    private long read;
    private long freshFrom = -1;
    private long freshRead;
    private int freshSent;
    private int freshWaiting;

    private static final class Fresh {
        private final ArrayDeque<RecordedEvent> events = new ArrayDeque<>();
        private int urgency = Integer.MAX_VALUE;
    }

    /**
     * @param passes false for what the other side is not to be told; it counts as confirmed.
     * @param jumped is told when the record has a gap where the backlog goes on.
     * @param catchingUp events that may wait before there is a fresh lane.
     */
    Lanes(LinkCursor cursor, Predicate<RecordedEvent> passes, Runnable jumped, int catchingUp) {
        this.catchingUp = catchingUp;
        this.jumped = jumped;
        this.cursor = cursor;
        this.passes = passes;
    }

    /** A new connection: everything that is not confirmed is to be sent, again or for the first time. */
    void begin() {
        backlog.clear();
        fresh.clear();
        takenTo.clear();
        inTurn.clear();
        owed.clear();
        freshWaiting = 0;
        freshSent = 0;
        read = cursor.confirmed();
        freshRead = freshFrom;
    }

    /** Events that went ahead of the cursor and are confirmed. */
    int ahead() {
        return wentAhead.size();
    }

    /**
     * Takes the event that is to be sent next.
     *
     * @param mayGo false for an event that has to wait for one that is on its way.
     * @return null if none may go now.
     */
    @Nullable
    RecordedEvent next(Predicate<RecordedEvent> mayGo) {
        fill();
        boolean turnOfBacklog = freshSent >= FRESH_IN_A_ROW && !backlog.isEmpty();
        RecordedEvent next = turnOfBacklog ? null : takeFresh(mayGo);
        if (next != null) {
            freshSent++;
            return next;
        }
        RecordedEvent oldest = backlog.peek();
        if (oldest != null && mayGo.test(oldest)) {
            freshSent = 0;
            return backlog.remove();
        }
        return turnOfBacklog ? takeFresh(mayGo) : null;
    }

    /** The other side has it, or will never take it. */
    void confirmed(RecordedEvent event) {
        owed.remove(event.position());
        wentAhead.add(event.position());
        moveCursor();
    }

    private void moveCursor() {
        long to = owed.isEmpty() ? read : Math.min(read, owed.first() - 1);
        cursor.confirm(to);
        wentAhead.headSet(to, true).clear();
    }

    private void fill() {
        if (backlog.isEmpty()) {
            readBacklog();
        }
        if (cursor.last() - read > catchingUp) {
            if (freshFrom < 0) {
                freshFrom = cursor.last();
                freshRead = freshFrom;
            }
            readFresh();
        } else if (fresh.isEmpty() && freshFrom >= 0) {
            freshFrom = -1;
            takenTo.clear();
            inTurn.clear();
        }
    }

    private void readBacklog() {
        List<RecordedEvent> some = cursor.after(read, READ_AHEAD);
        while (!some.isEmpty()) {
            for (RecordedEvent event : some) {
                if (event.position() > read + 1) {
                    jumped.run();
                }
                read = event.position();
                if (!owed.contains(read) && !wentAhead.contains(read) && passes.test(event)) {
                    owed.add(read);
                    Fresh ahead = fresh.get(EventSubject.of(event.event()));
                    if (ahead == null) {
                        backlog.add(event);
                    } else {
                        ahead.events.add(event);
                        freshWaiting++;
                    }
                }
            }
            some = backlog.isEmpty() && fresh.isEmpty() ? cursor.after(read, READ_AHEAD) : List.of();
        }
        moveCursor();
    }

    private void readFresh() {
        if (freshWaiting >= MOST_FRESH || wentAhead.size() >= MOST_REMEMBERED) {
            // The backlog has them; what comes after them finds them there.
            freshRead = cursor.last();
            freshFrom = freshRead;
            return;
        }
        freshRead = Math.max(freshRead, read);
        for (RecordedEvent event : cursor.after(freshRead, READ_AHEAD)) {
            freshRead = event.position();
            EventSubject subject = EventSubject.of(event.event());
            if (subject != null && Urgency.goesAhead(event) && passes.test(event)) {
                takeAhead(subject, event);
            }
        }
    }

    /** Puts an event in the fresh lane, behind what the backlog has about the same. */
    private void takeAhead(EventSubject subject, RecordedEvent event) {
        if (inTurn.contains(subject) || owed.contains(event.position()) || wentAhead.contains(event.position())) {
            return;
        }
        List<RecordedEvent> before =
                cursor.about(subject, Math.max(read, takenTo.getOrDefault(subject, 0L)), event.position());
        if (before == null) {
            // What it would have to wait for cannot be told: it takes its turn.
            return;
        }
        if (before.size() > MOST_OF_ONE) {
            inTurn.add(subject);
            return;
        }
        Fresh lane = fresh.computeIfAbsent(subject, s -> new Fresh());
        for (Iterator<RecordedEvent> each = backlog.iterator(); each.hasNext(); ) {
            RecordedEvent read = each.next();
            if (subject.equals(EventSubject.of(read.event()))) {
                each.remove();
                lane.events.add(read);
                freshWaiting++;
            }
        }
        for (RecordedEvent earlier : before) {
            if (!owed.contains(earlier.position()) && !wentAhead.contains(earlier.position()) && passes.test(earlier)) {
                owed.add(earlier.position());
                lane.events.add(earlier);
                freshWaiting++;
            }
        }
        owed.add(event.position());
        lane.events.add(event);
        freshWaiting++;
        takenTo.put(subject, event.position());
        lane.urgency = Math.min(lane.urgency, Urgency.of(event));
    }

    private @Nullable RecordedEvent takeFresh(Predicate<RecordedEvent> mayGo) {
        EventSubject best = null;
        Fresh lane = null;
        for (Map.Entry<EventSubject, Fresh> each : fresh.entrySet()) {
            Fresh candidate = each.getValue();
            if ((lane == null || candidate.urgency < lane.urgency) && mayGo.test(candidate.events.getFirst())) {
                best = each.getKey();
                lane = candidate;
            }
        }
        if (best == null || lane == null) {
            return null;
        }
        RecordedEvent taken = lane.events.removeFirst();
        freshWaiting--;
        if (lane.events.isEmpty()) {
            fresh.remove(best);
        }
        return taken;
    }

    /** What goes ahead of a backlog, and in which order. */
    private static final class Urgency {
        private static final int BEFORE_ALL = 0;

        static boolean goesAhead(RecordedEvent event) {
            return event.event() instanceof StationEvent.OfAlarm
                    || event.event() instanceof StationEvent.KeptAway
                    || event.event() instanceof StationEvent.Notice;
        }

        /** Least first. */
        static int of(RecordedEvent event) {
            return event.event() instanceof StationEvent.OfAlarm ofAlarm
                    ? BEFORE_ALL + 1 + ofAlarm.event().priority().ordinal()
                    : BEFORE_ALL;
        }
    }
}
