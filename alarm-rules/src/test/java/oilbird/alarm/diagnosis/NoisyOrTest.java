package oilbird.alarm.diagnosis;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import java.util.SplittableRandom;
import oilbird.alarm.diagnosis.NoisyOr.Evidence;
import oilbird.alarm.diagnosis.NoisyOr.Posterior;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

class NoisyOrTest {
    /**
     * Russell and Norvig, Artificial Intelligence: A Modern Approach, noisy-OR table for Fever with Cold,
     * Flu, Malaria and inhibition 0.6, 0.2, 0.1 (figures from memory; they follow from the definition).
     */
    @ParameterizedTest
    @CsvSource({
        "0,0,0, 0.0",
        "0,0,1, 0.9",
        "0,1,0, 0.8",
        "0,1,1, 0.98",
        "1,0,0, 0.4",
        "1,0,1, 0.94",
        "1,1,0, 0.88",
        "1,1,1, 0.988"
    })
    void theFeverTableComesOut(double cold, double flu, double malaria, double fever) {
        NoisyOr network = new NoisyOr(
                new double[] {cold, flu, malaria}, new double[][] {{0.4}, {0.8}, {0.9}}, new double[] {0.0});

        assertThat(network.posterior(new Evidence[] {Evidence.ASSERTED}, ones(3))
                        .evidence())
                .isCloseTo(fever, within(1e-12));
    }

    /**
     * Explaining away on Pearl's burglary, earthquake and alarm story (Pearl 1988, 2.2), with figures of
     * our own: the expected values are worked by hand with Bayes' rule beside them.
     */
    @Test
    void aSecondCauseThatIsKnownExplainsTheFirstAway() {
        double b = 0.01;
        double e = 0.02;
        NoisyOr network =
                new NoisyOr(new double[] {b, e}, new double[][] {{0.9, 0.0}, {0.3, 0.8}}, new double[] {0.001, 0.0001});

        double alarmOnly = network.posterior(new Evidence[] {Evidence.ASSERTED, Evidence.UNTELLABLE}, ones(2))
                .causes()[0];
        double withRadio = network.posterior(new Evidence[] {Evidence.ASSERTED, Evidence.ASSERTED}, ones(2))
                .causes()[0];

        double pAlarm = 0;
        double pAlarmAndB = 0;
        for (int bb = 0; bb <= 1; bb++) {
            for (int ee = 0; ee <= 1; ee++) {
                double p = (bb == 1 ? b : 1 - b)
                        * (ee == 1 ? e : 1 - e)
                        * (1 - 0.999 * (bb == 1 ? 0.1 : 1) * (ee == 1 ? 0.7 : 1));
                pAlarm += p;
                pAlarmAndB += bb == 1 ? p : 0;
            }
        }
        assertThat(alarmOnly).isCloseTo(pAlarmAndB / pAlarm, within(1e-12)).isGreaterThan(0.5);
        assertThat(withRadio).isLessThan(0.05);
    }

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6, 7, 8, 9, 10})
    void theSumEqualsBruteForceOnRandomNetworks(long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        for (int round = 0; round < 20; round++) {
            int causes = random.nextInt(1, 13);
            int indications = random.nextInt(1, 13);
            double[] prior = new double[causes];
            double[] leak = new double[indications];
            double[] support = new double[causes];
            double[][] strength = new double[causes][indications];
            for (int i = 0; i < causes; i++) {
                prior[i] = StrictMath.pow(10, -random.nextDouble(0.3, 6));
                support[i] = random.nextBoolean() ? 1 : random.nextDouble(0.1, 20);
                for (int j = 0; j < indications; j++) {
                    strength[i][j] = random.nextInt(3) == 0 ? random.nextDouble() : 0;
                }
            }
            Evidence[] evidence = new Evidence[indications];
            for (int j = 0; j < indications; j++) {
                leak[j] = StrictMath.pow(10, -random.nextDouble(2, 6));
                evidence[j] = Evidence.values()[random.nextInt(3)];
            }

            Posterior exact = new NoisyOr(prior, strength, leak).posterior(evidence, support);
            double[] expected = bruteForce(prior, strength, leak, evidence, support);

            for (int i = 0; i < causes; i++) {
                assertThat(exact.causes()[i])
                        .as("seed %s round %s cause %s", seed, round, i)
                        .isCloseTo(expected[i], within(1e-9));
            }
        }
    }

    /** Every combination of causes, each weighed by the definition alone. */
    private static double[] bruteForce(
            double[] prior, double[][] strength, double[] leak, Evidence[] evidence, double[] support) {
        double total = 0;
        double[] with = new double[prior.length];
        for (int world = 0; world < 1 << prior.length; world++) {
            double p = 1;
            for (int i = 0; i < prior.length; i++) {
                p *= (world >> i & 1) == 1 ? prior[i] * support[i] : 1 - prior[i];
            }
            for (int j = 0; j < leak.length; j++) {
                double silent = 1 - leak[j];
                for (int i = 0; i < prior.length; i++) {
                    if ((world >> i & 1) == 1) {
                        silent *= 1 - strength[i][j];
                    }
                }
                p *= switch (evidence[j]) {
                    case ASSERTED -> 1 - silent;
                    case ABSENT -> silent;
                    case UNTELLABLE -> 1;
                };
            }
            total += p;
            for (int i = 0; i < prior.length; i++) {
                with[i] += (world >> i & 1) == 1 ? p : 0;
            }
        }
        for (int i = 0; i < with.length; i++) {
            with[i] = total > 0 ? with[i] / total : 0;
        }
        return with;
    }

    @Test
    void atRarePriorsTheAlternatingSumFailsAndThisOneDoesNot() {
        int causes = 8;
        double[] prior = new double[causes];
        Arrays.fill(prior, 1e-6);
        double[] leak = new double[5];
        Arrays.fill(leak, 1e-9);
        double[][] strength = new double[causes][5];
        for (double[] row : strength) {
            Arrays.fill(row, 0.9);
        }
        Evidence[] all = new Evidence[5];
        Arrays.fill(all, Evidence.ASSERTED);

        Posterior posterior = new NoisyOr(prior, strength, leak).posterior(all, ones(causes));
        double[] expected = bruteForce(prior, strength, leak, all, ones(causes));

        assertThat(posterior.causes()[0]).isCloseTo(expected[0], within(1e-9));
        double oneCauseOnly = causes * 1e-6 * StrictMath.pow(0.9, 5);
        assertThat(posterior.evidence()).isCloseTo(oneCauseOnly, within(oneCauseOnly * 1e-4));
        double alternating = alternatingSum(prior, strength, leak);
        assertThat(Math.abs(alternating - posterior.evidence()) / posterior.evidence())
                .as("relative error of the alternating sum %s", alternating)
                .isGreaterThan(1e-12);
    }

    private static double alternatingSum(double[] prior, double[][] strength, double[] leak) {
        double sum = 0;
        for (int subset = 0; subset < 1 << leak.length; subset++) {
            double term = Integer.bitCount(subset) % 2 == 0 ? 1 : -1;
            for (int j = 0; j < leak.length; j++) {
                term *= (subset >> j & 1) == 1 ? 1 - leak[j] : 1;
            }
            for (int i = 0; i < prior.length; i++) {
                double silent = 1;
                for (int j = 0; j < leak.length; j++) {
                    silent *= (subset >> j & 1) == 1 ? 1 - strength[i][j] : 1;
                }
                term *= 1 - prior[i] + prior[i] * silent;
            }
            sum += term;
        }
        return sum;
    }

    @Test
    void evidenceThatNothingCanProduceIsSaidToBeImpossible() {
        NoisyOr network = new NoisyOr(new double[] {0.1}, new double[][] {{0.0}}, new double[] {0.0});

        Posterior posterior = network.posterior(new Evidence[] {Evidence.ASSERTED}, ones(1));

        assertThat(posterior.evidence()).isZero();
        assertThat(posterior.causes()).containsExactly(0.0);
    }

    private static double[] ones(int count) {
        double[] ones = new double[count];
        Arrays.fill(ones, 1);
        return ones;
    }
}
