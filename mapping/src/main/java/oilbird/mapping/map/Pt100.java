package oilbird.mapping.map;

/**
 * Platinum resistor of 100 ohm at 0 degC.
 *
 * <p>IEC 60751: R(t) = 100 (1 + A t + B t^2) from 0 to 850 degC, and with C (t - 100) t^3 added in the bracket from
 * -200 to 0 degC.
 */
public final class Pt100 {
    /** Temperatures in degC for which the standard defines the resistance. */
    public static final Range RANGE = new Range(-200, 850);

    private static final double R0 = 100;
    private static final double A = 3.9083e-3;
    private static final double B = -5.775e-7;
    private static final double C = -4.183e-12;
    /** A little beyond both ends, so that a value at the end itself is not lost to rounding. */
    private static final double LEAST_OHM = ohm(-200) - 1e-3;

    private static final double MOST_OHM = ohm(850) + 1e-3;

    private Pt100() {}

    /**
     * @param degC -200 to 850.
     */
    public static double ohm(double degC) {
        double t2 = degC * degC;
        double low = degC < 0 ? C * (degC - 100) * t2 * degC : 0;
        return R0 * (1 + A * degC + B * t2 + low);
    }

    /** The temperature in degC; not a number where no temperature of the standard has that resistance. */
    public static double degC(double ohm) {
        if (!(ohm >= LEAST_OHM && ohm <= MOST_OHM)) {
            return Double.NaN;
        }
        // Exact for 0 degC and above, and the start of the iteration below.
        double t = (-A + Math.sqrt(A * A - 4 * B * (1 - ohm / R0))) / (2 * B);
        if (ohm >= R0) {
            return t;
        }
        for (int i = 0; i < 8; i++) {
            double slope = R0 * (A + 2 * B * t + C * (4 * t * t * t - 300 * t * t));
            t -= (ohm(t) - ohm) / slope;
        }
        return t;
    }
}
