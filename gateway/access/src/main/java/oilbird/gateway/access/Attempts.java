package oilbird.gateway.access;

import java.time.Duration;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.Map;

/**
 * How often somebody may be wrong: each wrong attempt costs one, and one comes back after a while. Bounded: of too
 * many keys the one longest unused is forgotten. Thread-safe.
 */
final class Attempts {
    private final int most;
    private final long backAfterNanos;
    private final int keys;
    private final Map<String, Spent> spent = new LinkedHashMap<>(16, 0.75f, true);

    /** How much was spent, as of when. */
    private record Spent(double count, long at) {}

    /**
     * @param most wrong attempts in a row.
     * @param backAfter after so long one more is free.
     */
    Attempts(int most, Duration backAfter, int keys) {
        this.most = most;
        this.backAfterNanos = backAfter.toNanos();
        this.keys = keys;
    }

    /** How long the next attempt has to wait; zero for not at all. */
    synchronized Duration wait(String key, long now) {
        double over = left(key, now) - (most - 1);
        return over <= 0 ? Duration.ZERO : Duration.ofNanos((long) Math.ceil(over * backAfterNanos));
    }

    synchronized void wrong(String key, long now) {
        spent.put(key, new Spent(Math.min(most, left(key, now) + 1), now));
        Iterator<String> oldest = spent.keySet().iterator();
        while (spent.size() > keys) {
            oldest.next();
            oldest.remove();
        }
    }

    synchronized void right(String key) {
        spent.remove(key);
    }

    /** Takes back one that turned out not to be wrong. */
    synchronized void refund(String key, long now) {
        double left = left(key, now) - 1;
        if (left <= 0) {
            spent.remove(key);
        } else {
            spent.put(key, new Spent(left, now));
        }
    }

    synchronized int keys() {
        return spent.size();
    }

    private double left(String key, long now) {
        Spent before = spent.get(key);
        return before == null ? 0 : Math.max(0, before.count() - (double) (now - before.at()) / backAfterNanos);
    }
}
