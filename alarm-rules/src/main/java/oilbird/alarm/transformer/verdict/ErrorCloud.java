package oilbird.alarm.transformer.verdict;

import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.MeasurementError;

/**
 * A fixed set of equally likely true concentrations behind one stated sample: each gas independent and uniform
 * within its {@link MeasurementError} band, a gas below detection uniform from zero to the limit. The points are
 * an additive recurrence in five dimensions whose steps are powers of the generalised golden ratio, so the same
 * sample always gives the same cloud. Gases H2, CH4, C2H6, C2H4, C2H2 in ppm by volume.
 */
public final class ErrorCloud {
    /** Draws in a cloud: shares are told to about one part in a hundred. */
    public static final int DRAWS = 128;

    static final int GASES = 5;
    private static final Gas[] ORDER = {Gas.H2, Gas.CH4, Gas.C2H6, Gas.C2H4, Gas.C2H2};
    private static final double[][] UNIT = unitPoints();

    private ErrorCloud() {}

    private static double[][] unitPoints() {
        // The root of x^6 = x + 1, by the contraction x <- (1 + x)^(1/6).
        double root = 1.1;
        for (int i = 0; i < 100; i++) {
            root = StrictMath.pow(1 + root, 1.0 / (GASES + 1));
        }
        double[][] points = new double[DRAWS][GASES];
        double step = 1;
        for (int gas = 0; gas < GASES; gas++) {
            step /= root;
            for (int draw = 0; draw < DRAWS; draw++) {
                double position = 0.5 + (draw + 1) * step;
                points[draw][gas] = position - StrictMath.floor(position);
            }
        }
        return points;
    }

    /**
     * The draws of a sample whose five gases are all known and unsaturated, each an array in the order H2, CH4,
     * C2H6, C2H4, C2H2.
     */
    public static double[][] around(GasSample sample, MeasurementError error) {
        double[] low = new double[GASES];
        double[] width = new double[GASES];
        for (int i = 0; i < GASES; i++) {
            Concentration known = sample.of(ORDER[i]);
            if (known instanceof Concentration.Measured measured) {
                double half = error.halfWidth(ORDER[i], measured.ppm());
                low[i] = measured.ppm() - half;
                width[i] = 2 * half;
            } else if (known instanceof Concentration.BelowDetection below) {
                width[i] = below.limitPpm();
            } else {
                throw new IllegalArgumentException("the cloud needs five measured gases");
            }
        }
        double[][] draws = new double[DRAWS][GASES];
        for (int draw = 0; draw < DRAWS; draw++) {
            for (int i = 0; i < GASES; i++) {
                draws[draw][i] = Math.max(0, low[i] + UNIT[draw][i] * width[i]);
            }
        }
        return draws;
    }
}
