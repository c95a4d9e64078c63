package oilbird.mapping.signal;

import org.jspecify.annotations.Nullable;

/**
 * A value that a person measures, with the range in which it is accepted.
 *
 * @param quantity what is measured: {@code d.c. voltage}.
 * @param unit unit of the value: {@code V}.
 * @param base what the limits are counted from.
 * @param from lower limit: in the unit, or in percent of the base; null with {@link Base#RATED_SUPPLY}, whose range
 *     is the device's.
 * @param to upper limit, likewise.
 * @param load in which state of load, in words: {@code with the fan running}; null where it does not matter.
 * @param energised true where the circuit is energised while it is measured, so that the tester is proved before and
 *     after.
 */
public record Measurement(
        String quantity,
        String unit,
        Base base,
        @Nullable Double from,
        @Nullable Double to,
        @Nullable String load,
        boolean energised) {
    /** What the limits of a measurement are counted from. */
    public enum Base {
        /** From nothing: the limits are written in the unit. */
        WRITTEN,
        /** The device's rated supply: its own range, of the kind of current that is there. */
        RATED_SUPPLY,
        /** The station's nominal supply that the device hangs on: the limits are percent of it. */
        NOMINAL_SUPPLY
    }

    public Measurement {
        if (unit.isBlank()) {
            throw new IllegalArgumentException("a measurement has a unit");
        }
    }
}
