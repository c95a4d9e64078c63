package oilbird.mapping.signal;

/**
 * A supply voltage: the range for which a device is rated, or what a station has.
 *
 * @param current kind of current.
 * @param from lowest voltage in volts, more than 0.
 * @param to highest voltage in volts; the same as {@code from} for a nominal voltage.
 */
public record Supply(Current current, double from, double to) {
    /** Kind of current. */
    public enum Current {
        AC,
        DC
    }

    public Supply {
        if (!(from > 0 && to >= from)) {
            throw new IllegalArgumentException("a supply from a positive voltage to one that is not lower");
        }
    }
}
