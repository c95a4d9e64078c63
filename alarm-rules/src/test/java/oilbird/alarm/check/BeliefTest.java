package oilbird.alarm.check;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import oilbird.alarm.diagnosis.BoundCheck;
import oilbird.alarm.diagnosis.Inference;
import oilbird.alarm.diagnosis.NoisyOr;
import oilbird.mapping.signal.FirstCheck;
import org.junit.jupiter.api.Test;

class BeliefTest {
    private static Map<String, double[]> causes(Random random, int count) {
        Map<String, double[]> causes = new LinkedHashMap<>();
        for (int i = 0; i < count; i++) {
            causes.put("c" + i, new double[] {0.001 + random.nextDouble() * 0.02, 0.3 + random.nextDouble() * 0.7});
        }
        return causes;
    }

    /** The exact inference of the diagnosis is the reference: what is left out is no more than the belief says. */
    @Test
    void itBeginsWithTheExactPosteriorOfTheNetwork() {
        for (int seed = 0; seed < 200; seed++) {
            Map<String, double[]> causes = causes(new Random(seed), 8);
            Inference inference = Doubles.inference(0.001, causes);
            double[] prior = causes.values().stream().mapToDouble(c -> c[0]).toArray();
            double[][] strength =
                    causes.values().stream().map(c -> new double[] {c[1]}).toArray(double[][]::new);
            double[] support = new double[prior.length];
            Arrays.fill(support, 1);
            NoisyOr.Posterior exact = new NoisyOr(prior, strength, new double[] {0.001})
                    .posterior(new NoisyOr.Evidence[] {NoisyOr.Evidence.ASSERTED}, support);

            Belief belief = Belief.of(inference);

            assertThat(belief.coverage()).as("seed %d", seed).isBetween(0.995, 1.0);
            for (int i = 0; i < prior.length; i++) {
                assertThat(belief.posterior(Doubles.id("c" + i)))
                        .as("seed %d, cause %d", seed, i)
                        .isCloseTo(exact.causes()[i], within(1.01 * (1 - belief.coverage()) + 1e-12));
            }
        }
    }

    /** Bayes' theorem for one cause at a time, written out beside it. */
    @Test
    void anOutcomeMultipliesTheOddsOfTwoCausesByTheRatioOfItsProbabilities() {
        Belief belief = Belief.of(
                Doubles.inference(1e-9, Map.of("fan", new double[] {1e-6, 0.9}, "plug", new double[] {1e-6, 0.9})));
        BoundCheck check = Doubles.bound(
                Doubles.look("see", 0, 3, Doubles.outcome("a", "fan 0.8 plug 0.1"), Doubles.outcome("b", "")),
                List.of("fan", "plug"));

        Belief after = belief.after(check, 0);

        double mistaken = BoundCheck.MISTAKEN / 2;
        double ratio = (0.8 * (1 - BoundCheck.MISTAKEN) + mistaken) / (0.1 * (1 - BoundCheck.MISTAKEN) + mistaken);
        assertThat(after.posterior(Doubles.id("fan")) / after.posterior(Doubles.id("plug")))
                .isCloseTo(ratio, within(1e-4));
        assertThat(after.hypotheses().stream()
                        .mapToDouble(Belief.Hypothesis::probability)
                        .sum())
                .isCloseTo(1, within(1e-12));
    }

    /** Shannon 1948, the binary symmetric channel: 1 - H(p) bits for equally likely inputs. */
    @Test
    void whatACheckIsExpectedToTellIsTheInformationOfABinaryChannel() {
        Belief two = new Belief(
                List.of(
                        new Belief.Hypothesis(List.of(Doubles.id("fan")), 0.5),
                        new Belief.Hypothesis(List.of(Doubles.id("plug")), 0.5)),
                1);
        for (double p : new double[] {0.5, 0.6, 0.9, 0.99}) {
            BoundCheck check = Doubles.bound(
                    Doubles.look(
                            "see",
                            0,
                            3,
                            Doubles.outcome("a", "fan " + p + " plug " + (1 - p)),
                            Doubles.outcome("b", "")),
                    List.of("fan", "plug"));
            double q = p * (1 - BoundCheck.MISTAKEN) + BoundCheck.MISTAKEN / 2;
            double entropy = -(q * Math.log(q) + (1 - q) * Math.log(1 - q)) / Math.log(2);

            assertThat(two.bits(check)).as("p = %s", p).isCloseTo(1 - entropy, within(1e-12));
        }
    }

    @Test
    void aCheckThatSaysTheSameWithEveryCauseTellsNothing() {
        Belief belief = Belief.of(Doubles.inference(0.001, causes(new Random(3), 5)));
        FirstCheck check = Doubles.look("see", 0, 3, Doubles.outcome("a", "otherwise 0.3"), Doubles.outcome("b", ""));

        assertThat(belief.bits(Doubles.bound(check, List.of()))).isCloseTo(0, within(1e-12));
    }

    @Test
    void noAnswerMakesACauseImpossible() {
        Belief belief = Belief.of(
                Doubles.inference(1e-6, Map.of("fan", new double[] {0.01, 1}, "plug", new double[] {0.01, 1})));
        BoundCheck check = Doubles.bound(
                Doubles.look("see", 0, 3, Doubles.outcome("a", "fan 1"), Doubles.outcome("b", "plug 1")),
                List.of("fan", "plug"));

        assertThat(belief.after(check, 1).posterior(Doubles.id("fan"))).isBetween(0.005, 0.02);
    }
}
