package oilbird.demoplant;

import java.util.function.LongSupplier;

/**
 * Plant time on the machine's clock: 0 at an agreed instant of the machine, and from there so many times as fast.
 *
 * <p>A gateway that is told the same instant and rate counts the same time, so that what one calls seven in the morning is
 * seven in the morning for the other.
 */
public final class PlantClock {
    private final long origin;
    private final double rate;
    private final LongSupplier machineMillis;

    /**
     * @param origin machine time of plant time 0, milliseconds since 1970-01-01 UTC
     * @param rate plant seconds in one second of the machine, above 0
     */
    public PlantClock(long origin, double rate, LongSupplier machineMillis) {
        if (!(rate > 0 && rate <= 10_000)) {
            throw new IllegalArgumentException("a rate is above 0 and at most 10000, not " + rate);
        }
        this.origin = origin;
        this.rate = rate;
        this.machineMillis = machineMillis;
    }

    /** Plant time, milliseconds; below 0 before the agreed instant. */
    public long millis() {
        return Math.round((machineMillis.getAsLong() - origin) * rate);
    }
}
