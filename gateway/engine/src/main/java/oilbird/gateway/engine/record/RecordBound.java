package oilbird.gateway.engine.record;

import java.time.Duration;

/**
 * How large the event record may grow.
 *
 * @param atMostBytes its file is kept to this; the oldest events are removed beyond it, and never before. 0 for no bound.
 * @param keep how long events are wanted: removing younger ones is an alarm of the gateway.
 * @param leastEvents so many of the newest events are never removed.
 */
public record RecordBound(long atMostBytes, Duration keep, int leastEvents) {
    /** 4 GB are some four million alarm events. */
    public static final RecordBound DEFAULT = new RecordBound(4_000_000_000L, Duration.ofDays(365));

    public RecordBound(long atMostBytes, Duration keep) {
        this(atMostBytes, keep, 20_000);
    }
}
