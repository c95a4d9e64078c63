package oilbird.alarm.diagnosis;

import java.util.Arrays;

/**
 * Exact posterior of independent causes on a two-level noisy-OR network.
 *
 * <p>Indication j does not hold with probability (1 - leak_j) x product over the causes i that are present
 * of (1 - strength_ij): Pearl, Probabilistic Reasoning in Intelligent Systems, 1988, 4.3.2.
 *
 * <p>The usual way to sum over the causes (inclusion and exclusion over the asserted indications) adds
 * terms of alternating sign; with priors of 1e-6 and five asserted indications their cancellation leaves
 * nothing right. Here only non-negative terms are added: the causes are taken one after the other, and
 * the state is the set of asserted indications that something has produced so far. With n asserted
 * indications and m causes that is m x n x 2^n steps.
 */
public final class NoisyOr {
    /** Most asserted indications that are summed exactly. */
    public static final int MAX_ASSERTED = 12;

    /** What is known of one indication. */
    public enum Evidence {
        ASSERTED,
        ABSENT,
        /** Cannot be told: it says nothing. */
        UNTELLABLE
    }

    /**
     * The posterior.
     *
     * @param causes probability of each cause given the evidence, in the order of the network.
     * @param evidence probability of the evidence itself.
     */
    public record Posterior(double[] causes, double evidence) {
        public Posterior {
            causes = causes.clone();
        }

        @Override
        public double[] causes() {
            return causes.clone();
        }

        @Override
        public boolean equals(Object other) {
            return other instanceof Posterior that && evidence == that.evidence && Arrays.equals(causes, that.causes);
        }

        @Override
        public int hashCode() {
            return Arrays.hashCode(causes) * 31 + Double.hashCode(evidence);
        }

        @Override
        public String toString() {
            return "posterior of " + causes.length + " causes";
        }
    }

    private final double[] prior;
    private final double[][] strength;
    private final double[] leak;

    /**
     * @param prior probability of each cause, 0 to 1.
     * @param strength {@code strength[i][j]}: how surely cause i alone produces indication j, 0 to 1.
     * @param leak {@code leak[j]}: how surely indication j holds without any cause, 0 to 1.
     */
    public NoisyOr(double[] prior, double[][] strength, double[] leak) {
        this.prior = prior.clone();
        this.leak = leak.clone();
        this.strength = new double[prior.length][];
        if (strength.length != prior.length) {
            throw new IllegalArgumentException("a row of strengths for each cause");
        }
        for (int i = 0; i < prior.length; i++) {
            if (strength[i].length != leak.length) {
                throw new IllegalArgumentException("a strength for each indication in row " + i);
            }
            this.strength[i] = strength[i].clone();
            requireProbabilities(this.strength[i]);
        }
        requireProbabilities(this.prior);
        requireProbabilities(this.leak);
    }

    private static void requireProbabilities(double[] values) {
        for (double value : values) {
            if (!(value >= 0 && value <= 1)) {
                throw new IllegalArgumentException("a number that is no probability, 0 to 1");
            }
        }
    }

    /**
     * @param evidence one for each indication; at most {@link #MAX_ASSERTED} asserted.
     * @param support likelihood ratio of soft evidence for each cause (1 says nothing), not negative.
     * @return the posterior; all zero with evidence probability 0 where the network cannot produce it.
     */
    public Posterior posterior(Evidence[] evidence, double[] support) {
        int[] asserted = indicesOf(evidence, Evidence.ASSERTED);
        int[] absent = indicesOf(evidence, Evidence.ABSENT);
        if (asserted.length > MAX_ASSERTED) {
            throw new IllegalArgumentException(asserted.length + " asserted indications are more than " + MAX_ASSERTED);
        }
        int causes = prior.length;
        int sets = 1 << asserted.length;

        double[] produced = new double[sets];
        produced[0] = 1;
        for (int j : absent) {
            produced[0] *= 1 - leak[j];
        }
        produce(produced, asserted, leak);

        double[][] before = new double[causes][];
        for (int i = 0; i < causes; i++) {
            before[i] = produced;
            double[] with = produced.clone();
            produce(with, asserted, strength[i]);
            produced = mixed(produced, with, 1 - prior[i], present(i, absent, support));
        }
        double total = produced[sets - 1];

        double[] posterior = new double[causes];
        double[] completes = new double[sets];
        completes[sets - 1] = 1;
        for (int i = causes - 1; i >= 0; i--) {
            double[] with = completes.clone();
            complete(with, asserted, strength[i]);
            double present = present(i, absent, support);
            double joint = 0;
            for (int set = 0; set < sets; set++) {
                joint += before[i][set] * with[set];
            }
            posterior[i] = total > 0 ? Math.min(1, joint * present / total) : 0;
            completes = mixed(completes, with, 1 - prior[i], present);
        }
        return new Posterior(posterior, total);
    }

    private static int[] indicesOf(Evidence[] evidence, Evidence wanted) {
        int[] found = new int[evidence.length];
        int count = 0;
        for (int j = 0; j < evidence.length; j++) {
            if (evidence[j] == wanted) {
                found[count++] = j;
            }
        }
        return Arrays.copyOf(found, count);
    }

    /** Weight of cause i being present: prior, soft evidence, and none of the absent produced. */
    private double present(int i, int[] absent, double[] support) {
        double weight = prior[i] * support[i];
        for (int j : absent) {
            weight *= 1 - strength[i][j];
        }
        return weight;
    }

    private static double[] mixed(double[] without, double[] with, double absent, double present) {
        double[] sum = new double[without.length];
        for (int set = 0; set < sum.length; set++) {
            sum[set] = absent * without[set] + present * with[set];
        }
        return sum;
    }

    /** Each indication that is not produced yet becomes so with its strength. */
    private static void produce(double[] weight, int[] asserted, double[] strength) {
        for (int k = 0; k < asserted.length; k++) {
            double q = strength[asserted[k]];
            int bit = 1 << k;
            for (int set = 0; set < weight.length; set++) {
                if ((set & bit) == 0) {
                    weight[set | bit] += weight[set] * q;
                    weight[set] *= 1 - q;
                }
            }
        }
    }

    /** The transpose of {@link #produce}: the probability to reach a set's completion from before it. */
    private static void complete(double[] weight, int[] asserted, double[] strength) {
        for (int k = 0; k < asserted.length; k++) {
            double q = strength[asserted[k]];
            int bit = 1 << k;
            for (int set = 0; set < weight.length; set++) {
                if ((set & bit) == 0) {
                    weight[set] = (1 - q) * weight[set] + q * weight[set | bit];
                }
            }
        }
    }
}
