package oilbird.demoplant;

import oilbird.demoplant.device.Monitor;

/**
 * Turns passing monotonic time into whole ticks of plant time; it reads no clock itself.
 *
 * <p>A late caller is given the ticks it missed, so that plant time keeps up with real time and the same number of ticks
 * always means the same plant time.
 */
final class PlantClock {
    private static final long TICK_NANOS = Monitor.TICK_MILLIS * 1_000_000L;

    private final long startNanos;
    private long ticks;

    /** @param startNanos monotonic time at plant time 0 */
    PlantClock(long startNanos) {
        this.startNanos = startNanos;
    }

    /** The ticks that have become due by {@code nowNanos} and were not yet given. */
    int ticksDue(long nowNanos) {
        int due = (int) ((nowNanos - startNanos) / TICK_NANOS - ticks);
        ticks += Math.max(0, due);
        return Math.max(0, due);
    }
}
