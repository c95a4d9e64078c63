package oilbird.alarm.transformer;

import java.time.Instant;
import org.jspecify.annotations.Nullable;

/**
 * A moment before which samples say nothing about a trend.
 *
 * @param source id of the one monitor concerned, or null for every source.
 */
public record TrendRestart(
        Instant at, Cause cause, @Nullable String source) {
    /** Why the trend starts anew. */
    public enum Cause {
        OIL_TREATMENT,
        OIL_REPLACEMENT,
        SENSOR_REPLACEMENT
    }

    /** Whether samples of the named source before {@link #at()} are cut off. */
    public boolean concerns(String sampleSource) {
        return source == null || source.equals(sampleSource);
    }
}
