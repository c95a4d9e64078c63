package oilbird.alarm.diagnosis;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The sums behind the posterior against every combination of causes weighed by the definition alone. */
class NoisyOrSumTest {
    private record Network(double[] absent, double[] present, double[][] strength, double[] leak) {
        NoisyOrSum.Result sum() {
            return NoisyOrSum.of(absent, present, strength, leak);
        }

        /** Posterior of each cause, then of each unlisted reason, then the total. */
        double[] bruteForce() {
            int causes = present.length;
            double[] sums = new double[causes + leak.length + 1];
            for (int world = 0; world < 1 << causes; world++) {
                double weight = 1;
                for (int i = 0; i < causes; i++) {
                    weight *= (world >> i & 1) == 1 ? present[i] : absent[i];
                }
                double[] produced = new double[leak.length];
                for (int j = 0; j < leak.length; j++) {
                    double silent = 1 - leak[j];
                    for (int i = 0; i < causes; i++) {
                        silent *= (world >> i & 1) == 1 ? 1 - strength[i][j] : 1;
                    }
                    produced[j] = 1 - silent;
                    weight *= produced[j];
                }
                sums[causes + leak.length] += weight;
                for (int i = 0; i < causes; i++) {
                    sums[i] += (world >> i & 1) == 1 ? weight : 0;
                }
                for (int j = 0; j < leak.length; j++) {
                    sums[causes + j] += produced[j] > 0 ? weight * leak[j] / produced[j] : 0;
                }
            }
            for (int k = 0; k < causes + leak.length; k++) {
                sums[k] /= sums[causes + leak.length];
            }
            return sums;
        }
    }

    private static Network random(SplittableRandom random, int causes, int signs, double density) {
        double[] absent = new double[causes];
        double[] present = new double[causes];
        double[] leak = new double[signs];
        double[][] strength = new double[causes][signs];
        for (int i = 0; i < causes; i++) {
            double prior = StrictMath.pow(10, -random.nextDouble(3, 6));
            absent[i] = 1 - prior;
            present[i] = prior * (random.nextBoolean() ? 1 : random.nextDouble(0.05, 20));
            for (int j = 0; j < signs; j++) {
                strength[i][j] = random.nextDouble() < density ? random.nextDouble(0.05, 1) : 0;
            }
        }
        for (int j = 0; j < signs; j++) {
            leak[j] = StrictMath.pow(10, -random.nextDouble(3, 6));
        }
        return new Network(absent, present, strength, leak);
    }

    private static void assertEqual(Network network, NoisyOrSum.Result sum, double error, String as) {
        double[] expected = network.bruteForce();
        for (int i = 0; i < network.present().length; i++) {
            assertThat(sum.causes()[i]).as("%s cause %s", as, i).isCloseTo(expected[i], within(error));
        }
        for (int j = 0; j < network.leak().length; j++) {
            assertThat(sum.unlisted()[j])
                    .as("%s unlisted %s", as, j)
                    .isCloseTo(expected[network.present().length + j], within(error));
        }
    }

    /** Priors of 1e-6 to 1e-3, all signs asserted: where the sum of alternating terms has nothing right left. */
    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6, 7, 8})
    void atRarePriorsTheSumEqualsBruteForce(long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        for (int round = 0; round < 12; round++) {
            Network network = random(random, random.nextInt(1, 13), random.nextInt(1, 13), random.nextDouble(0.1, 0.9));
            NoisyOrSum.Result sum = network.sum();

            assertThat(sum.method()).isEqualTo(Inference.Method.EXACT);
            assertThat(sum.error()).isZero();
            assertEqual(network, sum, 1e-9, "seed " + seed + " round " + round);
        }
    }

    /** More than twelve signs that one shared cause ties together, as a lost supply does. */
    @ParameterizedTest
    @ValueSource(longs = {21, 22, 23, 24})
    void moreThanTwelveSignsOfManyDevicesAreSummedExactlyByTheCauseThatTiesThem(long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        int devices = 8;
        int causes = 1 + devices;
        int signs = 2 * devices;
        Network loose = random(random, causes, signs, 0);
        double[][] strength = loose.strength();
        for (int d = 0; d < devices; d++) {
            for (int s = 2 * d; s < 2 * d + 2; s++) {
                strength[0][s] = random.nextDouble(0.5, 1);
                strength[1 + d][s] = random.nextDouble(0.5, 1);
            }
        }
        NoisyOrSum.Result sum = loose.sum();

        assertThat(sum.method()).isEqualTo(Inference.Method.CONDITIONED);
        assertThat(sum.error()).isZero();
        assertEqual(loose, sum, 1e-9, "seed " + seed);
    }

    @ParameterizedTest
    @ValueSource(longs = {31, 32, 33})
    void whereNeitherHelpsTheErrorIsBoundedAndTheBoundHolds(long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        Network network = random(random, 18, 20, 0.8);
        NoisyOrSum.Result sum = network.sum();

        assertThat(sum.method()).isEqualTo(Inference.Method.BOUNDED);
        assertThat(sum.error()).isBetween(0.0, 0.02);
        assertEqual(network, sum, sum.error() + 1e-12, "seed " + seed);
    }

    @Test
    void theBoundSaysSoWhereACombinationOfAFewCausesExplainsNothing() {
        int n = 20;
        double[] absent = new double[n];
        double[] present = new double[n];
        double[] leak = new double[n];
        double[][] strength = new double[n][n];
        Arrays.fill(absent, 0.9);
        Arrays.fill(present, 0.1);
        for (int i = 0; i < n; i++) {
            leak[i] = 1e-9;
            for (int k = 0; k < 3; k++) {
                strength[i][(i + k * 7) % n] = 0.3;
            }
        }
        NoisyOrSum.Result sum = new Network(absent, present, strength, leak).sum();

        assertThat(sum.method()).isEqualTo(Inference.Method.BOUNDED);
        assertThat(sum.error()).isGreaterThan(0.9);
    }
}
