package oilbird.alarm.transformer.gas;

import org.jspecify.annotations.Nullable;

/**
 * One gas as an analyser or a report states it, before anything is checked.
 *
 * @param value in {@code unit}; for {@link Flag#BELOW_DETECTION} the limit (null: the limit in service),
 *     for {@link Flag#SATURATED} the range's end; null otherwise means that the value is missing.
 */
public record GasReading(Gas gas, @Nullable Double value, GasUnit unit, Flag flag) {
    /** How the figure is to be read. */
    public enum Flag {
        VALUE,
        BELOW_DETECTION,
        SATURATED
    }

    public static GasReading ppm(Gas gas, double value) {
        return new GasReading(gas, value, GasUnit.MICROLITRE_PER_LITRE, Flag.VALUE);
    }

    public static GasReading belowDetection(Gas gas) {
        return new GasReading(gas, null, GasUnit.MICROLITRE_PER_LITRE, Flag.BELOW_DETECTION);
    }
}
