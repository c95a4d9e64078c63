package oilbird.mapping.signal;

import org.jspecify.annotations.Nullable;

/**
 * One value of one point, in the point's unit, with its quality and time.
 *
 * @param id device and point.
 * @param number finite numeric value in the unit of the device map, or null for a text or for no value.
 * @param text textual value, or null for a number or for no value.
 * @param reason why the value is not good; {@link QualityReason#NONE} when it is.
 * @param at when the gateway received the answer that carried the value.
 * @param origin what the device itself says of the value; null where its protocol says nothing.
 */
public record Reading(
        SignalId id,
        @Nullable Double number,
        @Nullable String text,
        QualityReason reason,
        Moment at,
        @Nullable Origin origin) {
    /** A value of which the device says nothing more. */
    public Reading(SignalId id, @Nullable Double number, @Nullable String text, QualityReason reason, Moment at) {
        this(id, number, text, reason, at, null);
    }

    public Reading {
        if (number != null && !Double.isFinite(number)) {
            throw new IllegalArgumentException("a reading must be finite: " + id);
        }
        if (number != null && text != null) {
            throw new IllegalArgumentException("a reading is a number or a text, not both: " + id);
        }
        if (reason.quality() == Quality.GOOD && number == null && text == null) {
            throw new IllegalArgumentException("a good reading has a value: " + id);
        }
    }

    public Quality quality() {
        return reason.quality();
    }

    /** The same value with a worse reason; a reading never becomes better on its way. */
    public Reading degraded(QualityReason worse) {
        return worse.quality().compareTo(quality()) > 0 ? new Reading(id, number, text, worse, at, origin) : this;
    }
}
