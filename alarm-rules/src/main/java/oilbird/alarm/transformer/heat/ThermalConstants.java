package oilbird.alarm.transformer.heat;

import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Why;

/**
 * Exponents and constants of IEC 60076-7 for one kind of cooling.
 *
 * @param x oil exponent.
 * @param y winding exponent.
 * @param k11 constant of the oil.
 * @param k21 constant of the winding gradient.
 * @param k22 constant of the winding gradient.
 * @param oilMinutes time constant of the oil.
 * @param windingMinutes time constant of the winding.
 */
public record ThermalConstants(
        double x, double y, double k11, double k21, double k22, double oilMinutes, double windingMinutes) {
    /** Checks an owner's own constants: all finite, positive, k21 at least one. */
    public static Finding<ThermalConstants> of(
            double x, double y, double k11, double k21, double k22, double oilMinutes, double windingMinutes) {
        double[] all = {x, y, k11, k21, k22, oilMinutes, windingMinutes};
        for (double one : all) {
            if (!(one > 0) || !Double.isFinite(one)) {
                return Finding.untold(Why.OUTSIDE_VALIDITY, "thermal constants are positive");
            }
        }
        return k21 < 1
                ? Finding.untold(Why.OUTSIDE_VALIDITY, "k21 is at least one")
                : Finding.told(new ThermalConstants(x, y, k11, k21, k22, oilMinutes, windingMinutes));
    }

    /** Half of the smallest time constant in minutes: the longest step of the difference equations (from memory). */
    double longestStep() {
        return Math.min(Math.min(k11 * oilMinutes, k22 * windingMinutes), Math.min(oilMinutes / k22, windingMinutes))
                / 2;
    }
}
