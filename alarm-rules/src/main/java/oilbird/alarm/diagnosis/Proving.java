package oilbird.alarm.diagnosis;

import java.time.Duration;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * What has to be seen after a repair before a cause counts as gone: a supply needs minutes, a gas loop analyses.
 *
 * @param settles how long after the repair a sign that still holds says nothing yet.
 * @param quiet for how long no sign of the cause may hold, and every reading must be as wanted.
 * @param analyses how many analyses must have been finished since the repair.
 * @param readings readings of the device that have to be as wanted all the while.
 */
public record Proving(Duration settles, Duration quiet, int analyses, List<Wanted> readings) {
    /** Where a fault model does not say: our own estimate. */
    public static final Proving UNSTATED = new Proving(Duration.ofMinutes(3), Duration.ofMinutes(30), 0, List.of());

    /**
     * A reading as it has to be.
     *
     * @param point name of the point on the device.
     * @param from lowest value in the point's unit; null for any.
     * @param to highest value; null for any.
     */
    public record Wanted(
            String point, @Nullable Double from, @Nullable Double to) {
        public boolean holds(double value) {
            return (from == null || value >= from) && (to == null || value <= to);
        }
    }

    public Proving {
        readings = List.copyOf(readings);
    }
}
