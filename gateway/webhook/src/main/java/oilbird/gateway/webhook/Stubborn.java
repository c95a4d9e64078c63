package oilbird.gateway.webhook;

import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.Map;

/**
 * Finds the event that the other side fails on again and again while it takes others: that event is at fault, and must
 * not hold up those behind it for ever. While the other side fails on everything, no event is given up.
 *
 * <p>Thread-safe.
 */
final class Stubborn {
    private static final int LEAST_FAILURES = 10;

    private static final class Trouble {
        private final long since;
        private int failures;
        private boolean othersTaken;

        Trouble(long since) {
            this.since = since;
        }
    }

    private final Duration patience;
    private final Map<String, Trouble> troubles = new LinkedHashMap<>();

    /**
     * @param patience how long an event is tried at least.
     */
    Stubborn(Duration patience) {
        this.patience = patience;
    }

    synchronized void taken(String event) {
        troubles.remove(event);
        troubles.values().forEach(trouble -> trouble.othersTaken = true);
    }

    /**
     * The other side has failed on an event.
     *
     * @return true if the event is to be given up.
     */
    synchronized boolean failed(String event, long nanos) {
        Trouble trouble = troubles.computeIfAbsent(event, id -> new Trouble(nanos));
        trouble.failures++;
        boolean givenUp = trouble.failures >= LEAST_FAILURES
                && trouble.othersTaken
                && nanos - trouble.since >= patience.toNanos();
        if (givenUp) {
            troubles.remove(event);
        }
        return givenUp;
    }
}
