package oilbird.mapping.map;

/**
 * A 4-20 mA input. The scaled raw value is a current in mA; NAMUR NE 43 decides what it says.
 *
 * @param at4mA value at 4 mA, in the point's unit.
 * @param at20mA value at 20 mA, in the point's unit.
 */
public record CurrentLoop(double at4mA, double at20mA) {
    /** At or below: failure (NE 43). */
    public static final double FAILED_LOW_MA = 3.6;
    /** Low end of the measuring range (NE 43). */
    public static final double RANGE_LOW_MA = 3.8;
    /** High end of the measuring range (NE 43). */
    public static final double RANGE_HIGH_MA = 20.5;
    /** At or above: failure (NE 43). */
    public static final double FAILED_HIGH_MA = 21.0;
}
