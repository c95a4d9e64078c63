package oilbird.alarm.transformer.trend;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.Why;

/**
 * The median of the slopes between all pairs of samples (Theil 1950, Sen 1968), in ppm a day, with a confidence
 * interval from Kendall's statistic. Up to 29 % of wild values do not move it far. Irregular times are no
 * obstacle. Successive readings of a monitor are not independent, so the interval is a lower bound of the doubt.
 *
 * @param low lower end of the interval.
 * @param high upper end of the interval.
 * @param confidence for example 0.95.
 */
public record RobustSlope(double perDay, double low, double high, double confidence, int samples, double spanDays) {
    /** Beyond this the pairs are too many and the series is thinned by medians first. */
    public static final int MOST_SAMPLES = 400;

    private static final int LEAST_SAMPLES = 5;

    /** The slope of a series of at least five samples. */
    public static Finding<RobustSlope> of(GasSeries series, double confidence) {
        if (!(confidence > 0.5 && confidence < 1)) {
            return Finding.untold(Why.OUTSIDE_VALIDITY, "confidence, not within 0.5 to 1");
        }
        if (series.points().size() < LEAST_SAMPLES) {
            return Finding.untold(
                    Why.TOO_FEW_SAMPLES, series.points().size() + " samples, " + LEAST_SAMPLES + " are needed");
        }
        List<Remark> remarks = new ArrayList<>();
        GasSeries used = series.thinned(MOST_SAMPLES);
        if (used != series) {
            remarks.add(new Remark(Remark.Kind.THINNED, series.points().size() + " to " + MOST_SAMPLES));
        }
        double[] days = used.days();
        double[] values = used.values();
        double[] slopes = slopes(days, values);
        Arrays.sort(slopes);
        double deviation = StrictMath.sqrt(variance(values));
        double reach = normalQuantile((1 + confidence) / 2) * deviation;
        int count = slopes.length;
        int upper = (int) Math.min(StrictMath.rint((count + reach) / 2), count - 1);
        int lower = (int) Math.max(StrictMath.rint((count - reach) / 2) - 1, 0);
        return Finding.told(
                new RobustSlope(
                        Median.of(slopes),
                        slopes[lower],
                        slopes[upper],
                        confidence,
                        series.points().size(),
                        series.spanDays()),
                remarks);
    }

    /**
     * The median of the slopes between all pairs of samples, in units of value a unit of time.
     *
     * @param times strictly rising, at least two.
     * @param values one for each time.
     */
    public static double median(double[] times, double[] values) {
        return Median.of(slopes(times, values));
    }

    private static double[] slopes(double[] times, double[] values) {
        int n = times.length;
        double[] slopes = new double[n * (n - 1) / 2];
        int k = 0;
        for (int i = 0; i < n; i++) {
            for (int j = i + 1; j < n; j++) {
                slopes[k++] = (values[j] - values[i]) / (times[j] - times[i]);
            }
        }
        return slopes;
    }

    /** Variance of Kendall's statistic with ties among the values; times have none. */
    private static double variance(double[] values) {
        double[] sorted = values.clone();
        Arrays.sort(sorted);
        double n = sorted.length;
        double sum = n * (n - 1) * (2 * n + 5);
        int run = 1;
        for (int i = 1; i <= sorted.length; i++) {
            if (i < sorted.length && sorted[i] == sorted[i - 1]) {
                run++;
            } else {
                sum -= (double) run * (run - 1) * (2.0 * run + 5);
                run = 1;
            }
        }
        return sum / 18;
    }

    /**
     * Quantile of the standard normal distribution for p of at least one half, by bisection on the series of the
     * error function; good to 1e-9.
     */
    private static double normalQuantile(double p) {
        double low = 0;
        double high = 8;
        for (int i = 0; i < 60; i++) {
            double middle = (low + high) / 2;
            if (normal(middle) < p) {
                low = middle;
            } else {
                high = middle;
            }
        }
        return (low + high) / 2;
    }

    private static double normal(double z) {
        // 1/2 + density(z) (z + z^3/3 + z^5/(3 5) + ...), which has positive terms only.
        double term = z;
        double sum = z;
        for (int k = 3; term > 1e-17 * sum && k < 400; k += 2) {
            term *= z * z / k;
            sum += term;
        }
        return 0.5 + sum * StrictMath.exp(-z * z / 2) / StrictMath.sqrt(2 * StrictMath.PI);
    }

    /** The slope in ppm a year of 365.25 days. */
    public double perYear() {
        return 365.25 * perDay;
    }

    /** Whether the whole interval lies above zero. */
    public boolean surelyRising() {
        return low > 0;
    }

    /** Whether the whole interval lies below zero. */
    public boolean surelyFalling() {
        return high < 0;
    }
}
