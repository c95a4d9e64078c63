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
 * indications and m causes that is m x n x 2^n steps; {@link NoisyOrSum} says what is done of more than
 * {@link #MAX_ASSERTED}.
 */
public final class NoisyOr {
    /** Most asserted indications that hang together and are summed exactly whatever they are. */
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
     * @param error greatest error of any of them; 0 where the sum was exact.
     */
    public record Posterior(double[] causes, double evidence, double error) {
        public Posterior {
            causes = causes.clone();
        }

        @Override
        public double[] causes() {
            return causes.clone();
        }

        @Override
        public boolean equals(Object other) {
            return other instanceof Posterior that
                    && evidence == that.evidence
                    && error == that.error
                    && Arrays.equals(causes, that.causes);
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
     * @param evidence one for each indication.
     * @param support likelihood ratio of soft evidence for each cause (1 says nothing), not negative.
     * @return the posterior; all zero with evidence probability 0 where the network cannot produce it.
     */
    public Posterior posterior(Evidence[] evidence, double[] support) {
        int[] asserted = indicesOf(evidence, Evidence.ASSERTED);
        int[] absent = indicesOf(evidence, Evidence.ABSENT);
        double leaks = 1;
        for (int j : absent) {
            leaks *= 1 - leak[j];
        }
        double[] without = new double[prior.length];
        double[] with = new double[prior.length];
        double[][] edges = new double[prior.length][asserted.length];
        for (int i = 0; i < prior.length; i++) {
            without[i] = 1 - prior[i];
            with[i] = present(i, absent, support);
            for (int k = 0; k < asserted.length; k++) {
                edges[i][k] = strength[i][asserted[k]];
            }
        }
        double[] leaking = new double[asserted.length];
        for (int k = 0; k < asserted.length; k++) {
            leaking[k] = leak[asserted[k]];
        }
        NoisyOrSum.Result sum = NoisyOrSum.of(without, with, edges, leaking);
        return new Posterior(sum.causes(), sum.total() * leaks, sum.error());
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
}
