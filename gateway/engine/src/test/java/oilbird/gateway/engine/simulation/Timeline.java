package oilbird.gateway.engine.simulation;

import java.util.PriorityQueue;

/** True time of a simulation and what is to happen when. Things due at the same time happen in the order they were asked for. */
final class Timeline {
    static final long MILLI = 1_000_000L;
    static final long SECOND = 1_000 * MILLI;

    private final PriorityQueue<Due> due = new PriorityQueue<>();
    private long now;
    private long asked;

    private record Due(long at, long order, Runnable what) implements Comparable<Due> {
        @Override
        public int compareTo(Due other) {
            return at != other.at ? Long.compare(at, other.at) : Long.compare(order, other.order);
        }
    }

    long now() {
        return now;
    }

    void in(long nanos, Runnable what) {
        due.add(new Due(now + Math.max(0, nanos), asked++, what));
    }

    /** Lets the next thing happen, if it is due by then; otherwise time passes until then. */
    boolean next(long until) {
        Due first = due.peek();
        if (first == null || first.at() > until) {
            now = Math.max(now, until);
            return false;
        }
        due.remove();
        now = Math.max(now, first.at());
        first.what().run();
        return true;
    }
}
