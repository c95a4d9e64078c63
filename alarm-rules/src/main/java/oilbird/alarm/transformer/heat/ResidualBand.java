package oilbird.alarm.transformer.heat;

import java.util.Arrays;
import java.util.List;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Why;

/**
 * Where measured minus modelled top oil lies while the cooling is healthy, in kelvin.
 *
 * @param centre what the model is usually wrong by.
 * @param half half the band's width.
 */
public record ResidualBand(double centre, double half) {
    /** Until a transformer has a history of its own: 0 +/- 8 K; our choice, no standard gives one. */
    public static final ResidualBand WITHOUT_HISTORY = new ResidualBand(0, 8);

    private static final int LEAST = 100;
    private static final double NARROWEST = 2;

    /**
     * The band of a transformer's own healthy history of at least 100 residuals: median and three robust standard
     * deviations (1.4826 times the median distance), never narrower than 2 K either way.
     */
    public static Finding<ResidualBand> ofHistory(List<Double> residuals) {
        double[] values = new double[residuals.size()];
        for (int i = 0; i < values.length; i++) {
            values[i] = residuals.get(i);
            if (!Double.isFinite(values[i])) {
                return Finding.untold(Why.NOT_A_NUMBER, "a residual");
            }
        }
        if (values.length < LEAST) {
            return Finding.untold(Why.TOO_FEW_SAMPLES, values.length + " residuals, not " + LEAST);
        }
        double centre = median(values);
        double[] distances = new double[values.length];
        for (int i = 0; i < values.length; i++) {
            distances[i] = Math.abs(values[i] - centre);
        }
        return Finding.told(new ResidualBand(centre, Math.max(NARROWEST, 3 * 1.4826 * median(distances))));
    }

    static double median(double[] values) {
        double[] sorted = values.clone();
        Arrays.sort(sorted);
        int half = sorted.length / 2;
        return sorted.length % 2 == 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
    }
}
