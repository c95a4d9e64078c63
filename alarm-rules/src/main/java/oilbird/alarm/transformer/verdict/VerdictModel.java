package oilbird.alarm.transformer.verdict;

import java.util.Arrays;
import oilbird.alarm.transformer.gas.Fault;

/**
 * Weights that turn the evidence of the single methods into probabilities over the six faults: a multinomial
 * logistic regression with a ridge penalty.
 *
 * <p>Fitted on 79 of the 117 inspected cases of the public collection known as IEC TC 10: within each class, in
 * the order of the cases, every third one was held out. Penalty 0.5 (0.05 on the offsets), fixed for all folds.
 * The collection is small, old, of failed equipment only, and parts T1 from T2 by a gas ratio: probabilities are
 * those of a fault's kind given that there is one, never of there being one.
 */
public final class VerdictModel {
    private final double[][] weights;
    private final double[] offsets;

    /**
     * Weights by fault and piece of evidence, and offsets by fault.
     *
     * @param weights six rows of {@link #EVIDENCE} figures.
     * @param offsets six figures.
     */
    public VerdictModel(double[][] weights, double[] offsets) {
        if (weights.length != Fault.values().length || offsets.length != Fault.values().length) {
            throw new IllegalArgumentException("a model has one row for each fault");
        }
        this.weights = new double[weights.length][];
        for (int i = 0; i < weights.length; i++) {
            if (weights[i].length != EVIDENCE) {
                throw new IllegalArgumentException("a row has " + EVIDENCE + " weights");
            }
            this.weights[i] = Arrays.copyOf(weights[i], EVIDENCE);
        }
        this.offsets = Arrays.copyOf(offsets, offsets.length);
    }

    /** Pieces of evidence in a row. */
    public static final int EVIDENCE = Evidence.SIZE;

    /** Probabilities by fault, in the order of {@link Fault}; they sum to one. */
    public double[] probabilities(double[] evidence) {
        double[] scores = new double[offsets.length];
        double most = Double.NEGATIVE_INFINITY;
        for (int fault = 0; fault < scores.length; fault++) {
            double score = offsets[fault];
            for (int i = 0; i < EVIDENCE; i++) {
                score += weights[fault][i] * evidence[i];
            }
            scores[fault] = score;
            most = Math.max(most, score);
        }
        double sum = 0;
        for (int fault = 0; fault < scores.length; fault++) {
            scores[fault] = StrictMath.exp(scores[fault] - most);
            sum += scores[fault];
        }
        for (int fault = 0; fault < scores.length; fault++) {
            scores[fault] /= sum;
        }
        return scores;
    }

    /** The weight of one piece of evidence for one fault. */
    public double weight(Fault fault, int evidence) {
        return weights[fault.ordinal()][evidence];
    }

    /** The offset of one fault. */
    public double offset(Fault fault) {
        return offsets[fault.ordinal()];
    }

    /** The model that comes with the product. */
    public static VerdictModel fitted() {
        return FITTED;
    }

    private static final VerdictModel FITTED = new VerdictModel(FittedWeights.WEIGHTS, FittedWeights.OFFSETS);
}
