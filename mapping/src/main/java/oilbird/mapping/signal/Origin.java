package oilbird.mapping.signal;

import org.jspecify.annotations.Nullable;

/**
 * What a device itself says of a value that it sent.
 *
 * @param status symbolic name of its status code, {@code Uncertain_SensorNotAccurate} (OPC UA Part 4, 7.39).
 * @param sourceMillis when the source made the value, by its own clock, in milliseconds since
 *     1970-01-01T00:00:00Z; null where it does not say.
 * @param serverMillis when the device's server got it; null where it does not say.
 */
public record Origin(
        String status,
        @Nullable Long sourceMillis,
        @Nullable Long serverMillis) {}
