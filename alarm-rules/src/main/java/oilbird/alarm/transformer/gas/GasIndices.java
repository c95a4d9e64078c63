package oilbird.alarm.transformer.gas;

import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.TapChanger;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.Why;
import org.jspecify.annotations.Nullable;

/** Three quotients of IEC 60599 that are read beside the fault ratios. All gases in ppm by volume. */
public final class GasIndices {
    private GasIndices() {}

    /**
     * CO2/CO, IEC 60599 (2015) 5.5. Below 3 suggests paper in the fault (B), where the 2015 edition also asks
     * for CO above 1000 ppm (M, a disputed cell); above 10 with CO2 over 10 000 ppm suggests mild overheating
     * of paper or oxidation (M). Only where both are at ten detection limits or more.
     */
    public static Finding<Double> carbonOxides(TransformerFacts facts, GasSample sample, Choices choices) {
        Finding.Untold<Double> obstacle = obstacle(facts, sample, List.of(Gas.CO2, Gas.CO));
        if (obstacle != null) {
            return obstacle;
        }
        double co = sample.nominal(Gas.CO);
        double co2 = sample.nominal(Gas.CO2);
        Finding.Untold<Double> weak = tooWeak(co, Gas.CO, co2, Gas.CO2);
        if (weak != null) {
            return weak;
        }
        double ratio = co2 / co;
        List<Remark> remarks = new ArrayList<>();
        boolean needsCo = choices.alternative(DisputedCell.IEC_CO2_CO_NEEDS_CO);
        if (ratio < 3) {
            if (!needsCo || co > 1000) {
                remarks.add(new Remark(Remark.Kind.PAPER, "CO2/CO " + Figures.of(ratio, 1) + ", below 3"));
            }
            if (co <= 1000) {
                remarks.add(new Remark(Remark.Kind.HANGS_ON_DISPUTED, DisputedCell.IEC_CO2_CO_NEEDS_CO.standing()));
            }
            if (co2 * (1 + MeasurementError.USUAL.relative()) >= 3 * co * (1 - MeasurementError.USUAL.relative())) {
                remarks.add(new Remark(Remark.Kind.CHANGES_WITHIN_ERROR, "CO2/CO " + Figures.of(ratio, 1)));
            }
        } else if (ratio > 10 && co2 > 10_000) {
            remarks.add(new Remark(
                    Remark.Kind.PAPER,
                    "CO2/CO " + Figures.of(ratio, 1) + " with carbon dioxide above 10000 ppm, mild overheating"));
            remarks.add(new Remark(Remark.Kind.FROM_MEMORY, "CO2/CO above 10"));
        }
        return Finding.told(ratio, remarks);
    }

    /**
     * O2/N2, IEC 60599 (2015) 5.6: about 0.5 in equilibrium with air; below 0.3 means that oxygen is consumed
     * faster than it enters (M), which in a sealed transformer is its ordinary state.
     */
    public static Finding<Double> oxygenNitrogen(TransformerFacts facts, GasSample sample) {
        Finding.Untold<Double> obstacle = obstacle(facts, sample, List.of(Gas.O2, Gas.N2));
        if (obstacle != null) {
            return obstacle;
        }
        double n2 = sample.nominal(Gas.N2);
        if (n2 <= 0) {
            return Finding.untold(Why.BELOW_APPLICABILITY, "nitrogen below detection");
        }
        double ratio = sample.nominal(Gas.O2) / n2;
        List<Remark> remarks = new ArrayList<>();
        if (ratio < 0.3) {
            remarks.add(new Remark(Remark.Kind.OXIDATION, "O2/N2 " + Figures.of(ratio, 2) + ", below 0.3"));
            remarks.add(new Remark(Remark.Kind.FROM_MEMORY, "O2/N2 below 0.3"));
        }
        return Finding.told(ratio, remarks);
    }

    /**
     * C2H2/H2, IEC 60599 (2015) 5.4: above 2 to 3 in the main tank, with acetylene above 30 ppm (M), suggests
     * gas from the tap changer (A). Remarked unless the asset has no tap changer.
     */
    public static Finding<Double> acetyleneHydrogen(TransformerFacts facts, GasSample sample) {
        Finding.Untold<Double> obstacle = obstacle(facts, sample, List.of(Gas.C2H2, Gas.H2));
        if (obstacle != null) {
            return obstacle;
        }
        double c2h2 = sample.nominal(Gas.C2H2);
        double h2 = sample.nominal(Gas.H2);
        if (h2 <= 0) {
            return Finding.untold(Why.BELOW_APPLICABILITY, "hydrogen below detection");
        }
        double ratio = c2h2 / h2;
        List<Remark> remarks = new ArrayList<>();
        if (ratio > 2 && c2h2 > 30 && facts.tapChanger() != TapChanger.NONE) {
            remarks.add(new Remark(
                    Remark.Kind.TAP_CHANGER_GAS,
                    "C2H2/H2 " + Figures.of(ratio, 1) + (ratio > 3 ? ", above 3" : ", between 2 and 3")));
        }
        return Finding.told(ratio, remarks);
    }

    private static Finding.@Nullable Untold<Double> obstacle(
            TransformerFacts facts, GasSample sample, List<Gas> gases) {
        Finding.Untold<Double> refused = facts.refusedUnlessMineralOil();
        if (refused != null) {
            return refused;
        }
        return sample.obstacle(gases);
    }

    private static Finding.@Nullable Untold<Double> tooWeak(double a, Gas gasA, double b, Gas gasB) {
        if (a < 10 * gasA.detectionLimitPpm()) {
            return new Finding.Untold<>(Why.BELOW_APPLICABILITY, gasA.words() + " below ten detection limits");
        }
        return b < 10 * gasB.detectionLimitPpm()
                ? new Finding.Untold<>(Why.BELOW_APPLICABILITY, gasB.words() + " below ten detection limits")
                : null;
    }
}
