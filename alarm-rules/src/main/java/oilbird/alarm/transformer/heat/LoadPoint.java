package oilbird.alarm.transformer.heat;

import java.time.Instant;
import org.jspecify.annotations.Nullable;

/**
 * What was known at one time. A value holds over the interval that ends at its time, as in the standard's example.
 *
 * @param load factor of rated current, or null.
 * @param ambient temperature of the cooling air or water in C, or null.
 * @param measuredTopOil in C, or null.
 */
public record LoadPoint(
        Instant at,
        @Nullable Double load,
        @Nullable Double ambient,
        @Nullable Double measuredTopOil) {
    private static final double MOST_LOAD = 3;
    private static final double COLDEST = -60;
    private static final double HOTTEST_AMBIENT = 70;
    private static final double HOTTEST_OIL = 180;

    /** The same point; a load beyond three times rated and temperatures that no transformer has are taken as missing. */
    public LoadPoint plausible() {
        return new LoadPoint(
                at,
                within(load, 0, MOST_LOAD),
                within(ambient, COLDEST, HOTTEST_AMBIENT),
                within(measuredTopOil, COLDEST, HOTTEST_OIL));
    }

    private static @Nullable Double within(@Nullable Double value, double low, double high) {
        return value != null && value >= low && value <= high ? value : null;
    }
}
