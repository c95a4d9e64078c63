package oilbird.alarm.transformer.verdict;

import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.Why;
import oilbird.alarm.transformer.gas.Fault;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.Method;
import oilbird.alarm.transformer.gas.MethodAnswer;

/**
 * What all methods together make of one sample, with every single answer beside it. Gases in ppm by volume,
 * mineral oil only; the probabilities are of the kind of fault given that there is one.
 *
 * <p>What it gains, on held-out folds of the 117 inspected cases (five times ten folds): 103.6 cases right in six
 * classes, where the best single method, triangle 1, has 100; as many right as or more than each method at that
 * method's own coverage, but for triangle 4, which names a fault in six cases only. Most of the gain is in telling
 * T1 from T2, which the collection parts by a gas ratio: with the two as one it is 103.6 to 103, by families 115
 * to 114. None of this is beyond chance (sign test p 0.55), and the penalty and the choice of methods were made on
 * the same cases. What the verdict adds to triangle 1 is a probability, somewhat low on the whole (mean 0.83 where
 * 0.89 are right), and a refusal where none is clear. Where all methods agree it is too sure: they agree in some
 * cases in which the inspection found otherwise.
 */
public sealed interface CombinedVerdict {
    /** Every single method's answer, in the order of {@link Method}. */
    List<MethodAnswer> methods();

    /** What must be known beside the verdict. */
    List<Remark> remarks();

    /** One fault with its probability. */
    record Likelihood(Fault fault, double probability) {}

    /**
     * Shares of the error cloud in which a figure shows what is none of the six faults. Not probabilities: no
     * inspected cases stand behind them.
     *
     * @param strayGassing zone S of the figure that comes last in the order: triangle 5, triangle 4, pentagon 2.
     * @param overheatedOil zone O of the same.
     * @param paperInvolved zone C of the same; the carbon oxides are remarked apart.
     */
    record Shares(double strayGassing, double overheatedOil, double paperInvolved) {}

    /**
     * One fault leads clearly enough.
     *
     * @param likelihoods all six, the likeliest first.
     * @param sameWithinError share of the error cloud whose own verdict is the same fault.
     * @param labels share of the error cloud by zone or row, for the methods of six classes.
     */
    record Told(
            Fault fault,
            List<Likelihood> likelihoods,
            double sameWithinError,
            Shares shares,
            Map<Method, Map<String, Double>> labels,
            List<MethodAnswer> methods,
            List<Remark> remarks)
            implements CombinedVerdict {
        /** The probability of the fault's family: partial discharge, discharge, thermal. */
        public double familyProbability() {
            double sum = 0;
            for (Likelihood one : likelihoods) {
                sum += one.fault().family() == fault.family() ? one.probability() : 0;
            }
            return sum;
        }
    }

    /**
     * No fault can be named.
     *
     * @param likelihoods all six where the gases allowed them, else empty.
     */
    record CannotBeTold(
            Why why, String detail, List<Likelihood> likelihoods, List<MethodAnswer> methods, List<Remark> remarks)
            implements CombinedVerdict {}

    /** The verdict on one sample. */
    static CombinedVerdict of(TransformerFacts facts, GasSample sample, VerdictSettings settings) {
        return Combination.verdict(facts, sample, settings);
    }
}
