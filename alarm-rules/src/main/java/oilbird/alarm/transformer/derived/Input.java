package oilbird.alarm.transformer.derived;

import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/**
 * What feeds a quantity now, after freshness and trust.
 *
 * @param value in the quantity's unit; null for none.
 */
public record Input(@Nullable Double value, QualityReason reason) {
    /** Nothing is wired to the quantity. */
    public static final Input NONE = new Input(null, QualityReason.NO_INPUT);

    /** The value if it may be used, doubtful or not. */
    @Nullable
    Double usable() {
        return reason.quality() == Quality.BAD ? null : value;
    }
}
