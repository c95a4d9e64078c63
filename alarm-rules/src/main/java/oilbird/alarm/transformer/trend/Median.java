package oilbird.alarm.transformer.trend;

import java.util.Arrays;

/** Medians, the middle of the two middle values for an even count. */
final class Median {
    private Median() {}

    static double of(double[] values) {
        double[] sorted = values.clone();
        Arrays.sort(sorted);
        int half = sorted.length / 2;
        return sorted.length % 2 == 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
    }

    /** Median of the absolute distances from {@code centre}. */
    static double distance(double[] values, double centre) {
        double[] distances = new double[values.length];
        for (int i = 0; i < values.length; i++) {
            distances[i] = Math.abs(values[i] - centre);
        }
        return of(distances);
    }
}
