package oilbird.alarm.transformer.verdict;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.TapChanger;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.Why;
import oilbird.alarm.transformer.gas.Choices;
import oilbird.alarm.transformer.gas.Concentration;
import oilbird.alarm.transformer.gas.DisputedCell;
import oilbird.alarm.transformer.gas.Fault;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasIndices;
import oilbird.alarm.transformer.gas.GasMethods;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.Method;
import oilbird.alarm.transformer.gas.MethodAnswer;

/** Weighs the answers of the single methods over the error cloud of one sample. */
final class Combination {
    /** Disputed cells of the four methods that enter the verdict. */
    private static final List<DisputedCell> VERDICT_CELLS =
            List.of(DisputedCell.IEC_RATIO_BOUNDS, DisputedCell.PENTAGON_D1_CORNER, DisputedCell.PENTAGON_T1_CORNER);

    private Combination() {}

    /** The verdict on one sample. */
    static CombinedVerdict verdict(TransformerFacts facts, GasSample sample, VerdictSettings settings) {
        List<MethodAnswer> methods = List.copyOf(GasMethods.all(facts, sample, settings.choices()));
        Finding.Untold<Fault> refused = facts.refusedUnlessMineralOil();
        if (refused != null) {
            return new CombinedVerdict.CannotBeTold(refused.why(), refused.detail(), List.of(), methods, List.of());
        }
        for (MethodAnswer answer : methods) {
            // Pentagon 1 needs all five gases, so what keeps it from speaking keeps the verdict too.
            if (answer instanceof MethodAnswer.Untold untold
                    && untold.method() == Method.IEC_RATIOS
                    && untold.why() != Why.DEGENERATE) {
                return new CombinedVerdict.CannotBeTold(
                        untold.why(), untold.detail(), List.of(), methods, sample.remarks());
            }
        }
        int above = 0;
        for (double ppm : nominal(sample)) {
            above += ppm > 0 ? 1 : 0;
        }
        if (above == 1) {
            return new CombinedVerdict.CannotBeTold(
                    Why.SINGLE_GAS, "four of the five gases are below detection", List.of(), methods, sample.remarks());
        }
        double[][] draws = ErrorCloud.around(sample, settings.error());
        double[] mean = new double[VerdictModel.EVIDENCE];
        int[] votes = new int[Fault.values().length];
        double[] own = new double[VerdictModel.EVIDENCE];
        for (double[] draw : draws) {
            Arrays.fill(own, 0);
            Evidence.add(draw, settings.choices(), own);
            for (int i = 0; i < own.length; i++) {
                mean[i] += own[i] / draws.length;
            }
            votes[greatest(settings.model().probabilities(own))]++;
        }
        double[] probabilities = settings.model().probabilities(mean);
        Fault leading = Fault.values()[greatest(probabilities)];
        List<CombinedVerdict.Likelihood> likelihoods = likelihoods(probabilities);
        double same = (double) votes[leading.ordinal()] / draws.length;
        List<Remark> remarks = remarks(facts, sample, settings, leading, same, mean);
        Gas highest = settings.typical().firstAbove(sample);
        if (settings.needsTypical() && highest == null) {
            return new CombinedVerdict.CannotBeTold(
                    Why.NOTHING_ABOVE_TYPICAL, "hydrogen and hydrocarbons", likelihoods, methods, remarks);
        }
        double most = probabilities[leading.ordinal()];
        if (most < settings.leastProbability()) {
            return new CombinedVerdict.CannotBeTold(
                    Why.NOT_CLEAR,
                    leading.words() + " leads with " + Figures.of(100 * most, 0) + " %",
                    likelihoods,
                    methods,
                    remarks);
        }
        return new CombinedVerdict.Told(
                leading,
                likelihoods,
                same,
                CloudShares.shares(draws, settings.choices()),
                CloudShares.labels(draws, settings.choices(), facts.equipment()),
                methods,
                remarks);
    }

    private static List<Remark> remarks(
            TransformerFacts facts,
            GasSample sample,
            VerdictSettings settings,
            Fault leading,
            double same,
            double[] mean) {
        List<Remark> remarks = new ArrayList<>(sample.remarks());
        if (same < 0.95) {
            remarks.add(new Remark(
                    Remark.Kind.CHANGES_WITHIN_ERROR,
                    "in " + Figures.of(100 * (1 - same), 0) + " % of the error band another fault leads"));
        }
        for (DisputedCell cell : VERDICT_CELLS) {
            Choices other = settings.choices().flipped(cell);
            double[] evidence = new double[mean.length];
            Evidence.add(nominal(sample), other, evidence);
            double[] standing = new double[mean.length];
            Evidence.add(nominal(sample), settings.choices(), standing);
            if (greatest(settings.model().probabilities(evidence))
                    != greatest(settings.model().probabilities(standing))) {
                remarks.add(new Remark(Remark.Kind.HANGS_ON_DISPUTED, cell.key() + ": " + cell.standing()));
            }
        }
        if (GasIndices.carbonOxides(facts, sample, settings.choices()) instanceof Finding.Told<Double> carbonOxides) {
            remarks.addAll(carbonOxides.remarks());
        }
        if (GasIndices.acetyleneHydrogen(facts, sample) instanceof Finding.Told<Double> acetylene) {
            remarks.addAll(acetylene.remarks());
        }
        if (facts.tapChanger() == TapChanger.COMMUNICATING && leading.family() == Fault.Family.DISCHARGE) {
            remarks.add(new Remark(
                    Remark.Kind.TAP_CHANGER_GAS, "a discharge verdict, with a tap changer that communicates"));
        }
        return List.copyOf(remarks);
    }

    private static double[] nominal(GasSample sample) {
        double[] gases = new double[5];
        Gas[] order = {Gas.H2, Gas.CH4, Gas.C2H6, Gas.C2H4, Gas.C2H2};
        for (int i = 0; i < gases.length; i++) {
            Concentration known = sample.of(order[i]);
            gases[i] = known == null ? 0 : known.nominalPpm();
        }
        return gases;
    }

    private static int greatest(double[] values) {
        int greatest = 0;
        for (int i = 1; i < values.length; i++) {
            greatest = values[i] > values[greatest] ? i : greatest;
        }
        return greatest;
    }

    private static List<CombinedVerdict.Likelihood> likelihoods(double[] probabilities) {
        List<CombinedVerdict.Likelihood> likelihoods = new ArrayList<>();
        for (Fault fault : Fault.values()) {
            likelihoods.add(new CombinedVerdict.Likelihood(fault, probabilities[fault.ordinal()]));
        }
        likelihoods.sort(Comparator.comparingDouble(CombinedVerdict.Likelihood::probability)
                .reversed()
                .thenComparing(CombinedVerdict.Likelihood::fault));
        return List.copyOf(likelihoods);
    }
}
