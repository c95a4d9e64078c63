package oilbird.demoplant.course;

import java.time.Duration;
import org.jspecify.annotations.Nullable;

/**
 * One fault that is played for a time.
 *
 * @param fault name of the fault, one of {@link FaultCatalogue#all()}
 * @param target what it befalls: a device, an asset, an id shared by several devices, or {@code weather}
 * @param from plant time at which it begins
 * @param until plant time at which it is over, or null when it stays
 * @param strength 1 as the catalogue describes it, more or less for a larger or smaller effect
 */
public record Injection(
        String fault,
        String target,
        Duration from,
        @Nullable Duration until,
        double strength) {
    public Injection {
        if (until != null && until.compareTo(from) <= 0) {
            throw new IllegalArgumentException(fault + " ends before it begins: " + from + " to " + until);
        }
        if (!(strength > 0 && strength <= 100)) {
            throw new IllegalArgumentException(fault + ": strength is above 0 and at most 100, not " + strength);
        }
    }

    /** Plant time of the beginning, milliseconds. */
    public long fromMillis() {
        return from.toMillis();
    }

    /** Plant time of the end, milliseconds; the largest number when it stays. */
    public long untilMillis() {
        return until == null ? Long.MAX_VALUE : until.toMillis();
    }

    /** Whether it is on at this plant time, milliseconds. */
    public boolean isOn(long at) {
        return at >= fromMillis() && at < untilMillis();
    }
}
