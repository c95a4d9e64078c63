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
        @Nullable Double measuredTopOil) {}
