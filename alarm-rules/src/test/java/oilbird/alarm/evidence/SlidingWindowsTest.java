package oilbird.alarm.evidence;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import oilbird.mapping.signal.Feature;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Windows that move with time, compared with twins that keep every sample and count anew each time. */
class SlidingWindowsTest {
    private static final long SECOND = 1_000_000_000L;
    private static final long WINDOW = 60 * SECOND;

    private record Sample(long at, double value) {}

    /** Samples of a walk: steady times or irregular ones, rests, silences, repeated values. */
    private static List<Sample> walk(long seed) {
        Random random = new Random(seed);
        List<Sample> samples = new ArrayList<>();
        long at = random.nextInt(1000) * SECOND;
        double value = 50;
        long usual = SECOND / 4 * (1 + random.nextInt(20));
        for (int i = 0; i < 3000; i++) {
            at += random.nextInt(50) == 0
                    ? usual * random.nextInt(40) + 1
                    : Math.max(1, usual / 2 + (long) (random.nextDouble() * usual));
            value += random.nextInt(3) == 0 ? 0 : Math.rint(random.nextGaussian() * 10) / 10;
            samples.add(new Sample(at, value));
        }
        return samples;
    }

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12})
    void theMedianIsThatOfANaiveTwin(long seed) {
        SlidingMedian before = new SlidingMedian(WINDOW, null);
        SlidingMedian window = new SlidingMedian(WINDOW, before);
        List<Sample> kept = new ArrayList<>();
        List<Sample> all = new ArrayList<>();
        int full = 0;
        for (Sample sample : walk(seed)) {
            if (!all.isEmpty() && sample.at - all.get(all.size() - 1).at > WINDOW / 2) {
                kept.clear();
                all.clear();
            }
            all.add(sample);
            kept.removeIf(k -> k.at < sample.at - 2 * WINDOW);
            if (kept.isEmpty() || sample.at - kept.get(kept.size() - 1).at >= WINDOW / 60) {
                kept.add(sample);
            }
            window.add(sample.at, sample.value);
            double[] recent = values(kept, sample.at - WINDOW, Long.MAX_VALUE);
            assertThat(window.median()).as("seed %s at %s", seed, sample.at).isEqualTo(Double.valueOf(naive(recent)));
            double[] older = values(kept, sample.at - 2 * WINDOW, sample.at - WINDOW);
            assertThat(before.median())
                    .as("before, seed %s at %s", seed, sample.at)
                    .isEqualTo(Double.valueOf(naive(older)));
            boolean reaches = sample.at - all.get(0).at >= WINDOW && recent.length >= 3;
            assertThat(window.complete(sample.at, 1)).as("seed %s", seed).isEqualTo(reaches);
            full += reaches ? 1 : 0;
        }
        assertThat(full).as("the walk fills windows").isGreaterThan(300);
    }

    private static double[] values(List<Sample> kept, long from, long to) {
        return kept.stream()
                .filter(k -> k.at >= from && k.at < to)
                .mapToDouble(Sample::value)
                .toArray();
    }

    /** By counting: half of the values at most are below, half at most above. */
    private static double naive(double[] values) {
        if (values.length == 0) {
            return Double.NaN;
        }
        double[] sorted = values.clone();
        Arrays.sort(sorted);
        double low = sorted[(sorted.length - 1) / 2];
        double high = sorted[sorted.length / 2];
        return (low + high) / 2;
    }

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12})
    void theRangeLiesBetweenThoseOfTheWindowAndOfOneStepMore(long seed) {
        SlidingExtremes extremes = new SlidingExtremes(WINDOW);
        List<Sample> kept = new ArrayList<>();
        for (Sample sample : walk(seed)) {
            if (!kept.isEmpty() && sample.at - kept.get(kept.size() - 1).at > WINDOW / 2) {
                kept.clear();
            }
            kept.add(sample);
            extremes.add(sample.at, sample.value);
            double shorter = range(kept, sample.at - WINDOW);
            double longer = range(kept, sample.at - WINDOW - WINDOW / SlidingExtremes.STEPS);
            assertThat(extremes.range()).as("seed %s at %s", seed, sample.at).isBetween(shorter, longer);
        }
    }

    private static double range(List<Sample> kept, long from) {
        var of = kept.stream()
                .filter(k -> k.at >= from)
                .mapToDouble(Sample::value)
                .summaryStatistics();
        return of.getMax() - of.getMin();
    }

    /**
     * Medians and median absolute deviations that can be counted by hand. 1, 1, 2, 2, 4, 6, 9 is the textbook example
     * (deviations 1, 1, 0, 0, 2, 4, 7), from memory.
     */
    @ParameterizedTest
    @CsvSource({"'1 1 2 2 4 6 9', 2, 1", "'5', 5, 0", "'1 2', 1.5, 0.5", "'3 1 2 100', 2.5, 1", "'7 7 7 7 1000', 7, 0"})
    void mediansAndDeviationsAreThoseOfTheDefinition(String written, double median, double deviation) {
        double[] values = Arrays.stream(written.split(" "))
                .mapToDouble(Double::parseDouble)
                .toArray();
        assertThat(SlidingMedian.median(values.clone())).isEqualTo(median);
        assertThat(SlidingMedian.deviation(values.clone(), median)).isEqualTo(deviation);
    }

    /**
     * 1.4826 makes the median absolute deviation an estimate of a normal distribution's standard deviation (Hampel,
     * J. Amer. Statist. Assoc. 69, 1974; Rousseeuw and Croux, ibid. 88, 1993): the share within 1 / 1.4826 standard
     * deviations is one half. Integrated here by Simpson's rule.
     */
    @Test
    void theFactorOfTheDeviationIsThatOfTheNormalDistribution() {
        double reach = 1 / Feature.DEVIATION_OF_MAD;
        int steps = 1000;
        double sum = 0;
        for (int i = 0; i <= steps; i++) {
            double x = -reach + 2 * reach * i / steps;
            int weight = i == 0 || i == steps ? 1 : i % 2 == 1 ? 4 : 2;
            sum += weight * StrictMath.exp(-x * x / 2);
        }
        double share = sum * 2 * reach / steps / 3 / StrictMath.sqrt(2 * Math.PI);
        assertThat(share).isCloseTo(0.5, within(1e-5));
    }
}
