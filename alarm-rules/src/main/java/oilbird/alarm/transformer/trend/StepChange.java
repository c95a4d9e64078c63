package oilbird.alarm.transformer.trend;

import java.time.Instant;
import java.util.Arrays;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Why;

/**
 * A sudden change of level, as a sensor's replacement, a calibration, a lost oil flow or a fault's burst makes.
 *
 * @param found whether there is one.
 * @param at first sample after the change; the likeliest place even where none is found.
 * @param sizePpm median after minus median before.
 * @param neededPpm what the size must exceed: the analyser's noise and four times the scatter within the two sides.
 */
public record StepChange(boolean found, Instant at, double sizePpm, double neededPpm) {
    private static final int SIDE = 4;
    private static final int MOST_SAMPLES = 200;

    /** Scatters that count as a step, and how much better a step must fit than a straight line; our choices. */
    private static final double SCATTERS = 4;

    private static final double BETTER = 0.7;

    /**
     * The likeliest step of a series of at least eight samples, four on each side. A steady rise is no step: the
     * two levels must leave less than 0.7 of the absolute residual that the robust line leaves.
     */
    public static Finding<StepChange> of(GasSeries series) {
        GasSeries used = series.thinned(MOST_SAMPLES);
        double[] values = used.values();
        int n = values.length;
        if (n < 2 * SIDE) {
            return Finding.untold(Why.TOO_FEW_SAMPLES, n + " samples, " + 2 * SIDE + " are needed");
        }
        int best = SIDE;
        double least = Double.POSITIVE_INFINITY;
        for (int split = SIDE; split <= n - SIDE; split++) {
            double residual = absolute(values, 0, split) + absolute(values, split, n);
            if (residual < least) {
                least = residual;
                best = split;
            }
        }
        double before = Median.of(Arrays.copyOfRange(values, 0, best));
        double after = Median.of(Arrays.copyOfRange(values, best, n));
        double size = after - before;
        double scatter = 1.4826 * scatter(values, best, before, after);
        double needed = Math.max(Movement.noise(series.gas(), Math.max(before, after)), SCATTERS * scatter);
        boolean found = Math.abs(size) > needed && least < BETTER * lineResidual(used);
        return Finding.told(new StepChange(found, used.points().get(best).at(), size, needed));
    }

    private static double absolute(double[] values, int from, int to) {
        double[] side = Arrays.copyOfRange(values, from, to);
        double median = Median.of(side);
        double sum = 0;
        for (double value : side) {
            sum += Math.abs(value - median);
        }
        return sum;
    }

    private static double scatter(double[] values, int split, double before, double after) {
        double[] residuals = new double[values.length];
        for (int i = 0; i < values.length; i++) {
            residuals[i] = values[i] - (i < split ? before : after);
        }
        return Median.distance(residuals, 0);
    }

    private static double lineResidual(GasSeries series) {
        if (!(RobustSlope.of(series, 0.95) instanceof Finding.Told<RobustSlope> slope)) {
            return 0;
        }
        double[] days = series.days();
        double[] values = series.values();
        double[] offsets = new double[values.length];
        for (int i = 0; i < values.length; i++) {
            offsets[i] = values[i] - slope.value().perDay() * days[i];
        }
        double median = Median.of(offsets);
        double sum = 0;
        for (double offset : offsets) {
            sum += Math.abs(offset - median);
        }
        return sum;
    }
}
