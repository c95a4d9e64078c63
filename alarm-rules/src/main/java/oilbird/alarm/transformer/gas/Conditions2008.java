package oilbird.alarm.transformer.gas;

import java.util.ArrayList;
import java.util.Collections;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Equipment;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.Why;

/**
 * The four conditions of IEEE C57.104-2008 Table 1 (confidence B), for users who still have them. Units ppm by
 * volume; power transformers in mineral oil. TDCG = H2 + CH4 + C2H6 + C2H4 + C2H2 + CO, without CO2.
 *
 * @param condition the worst of the gases and of TDCG, 1 to 4.
 * @param byGas condition by gas, known gases only.
 * @param tdcgPpm sum of the combustible gases that are known.
 * @param tdcgCondition condition by the sum.
 * @param deciding the gases in the worst condition; empty when TDCG alone decides.
 */
public record Conditions2008(
        int condition, Map<Gas, Integer> byGas, double tdcgPpm, int tdcgCondition, List<Gas> deciding) {
    private static final List<Gas> COMBUSTIBLE = List.of(Gas.H2, Gas.CH4, Gas.C2H6, Gas.C2H4, Gas.C2H2, Gas.CO);
    private static final double[] TDCG = {720, 1920, 4630};

    public Conditions2008 {
        Map<Gas, Integer> copy = new EnumMap<>(Gas.class);
        copy.putAll(byGas);
        byGas = Collections.unmodifiableMap(copy);
        deciding = List.copyOf(deciding);
    }

    /** Upper ends of conditions 1, 2 and 3 in ppm, or an empty array for a gas that the table lacks. */
    public static double[] limits(Gas gas) {
        return switch (gas) {
            case H2 -> new double[] {100, 700, 1800};
            case CH4 -> new double[] {120, 400, 1000};
            case C2H2 -> new double[] {1, 9, 35};
            case C2H4 -> new double[] {50, 100, 200};
            case C2H6 -> new double[] {65, 100, 150};
            case CO -> new double[] {350, 570, 1400};
            case CO2 -> new double[] {2500, 4000, 10000};
            case O2, N2 -> new double[0];
        };
    }

    /** The conditions of a sample. A saturated gas counts as its range's end: the condition is then at least this. */
    public static Finding<Conditions2008> of(TransformerFacts facts, GasSample sample) {
        Finding.Untold<Conditions2008> refused = facts.refusedUnlessMineralOil();
        if (refused != null) {
            return refused;
        }
        if (facts.equipment() != Equipment.POWER_TRANSFORMER) {
            return Finding.untold(Why.EQUIPMENT_NOT_COVERED, "the table is for power transformers");
        }
        Map<Gas, Integer> byGas = new EnumMap<>(Gas.class);
        List<Remark> remarks = new ArrayList<>();
        double tdcg = 0;
        int combustible = 0;
        for (Gas gas : Gas.values()) {
            double[] limits = limits(gas);
            Concentration known = sample.of(gas);
            if (limits.length == 0) {
                continue;
            }
            if (known == null) {
                remarks.add(new Remark(Remark.Kind.VALUE_LEFT_OUT, gas.words() + " is not known"));
                continue;
            }
            byGas.put(gas, condition(known.nominalPpm(), limits));
            if (COMBUSTIBLE.contains(gas)) {
                tdcg += known.nominalPpm();
                combustible++;
            }
        }
        if (byGas.isEmpty()) {
            return Finding.untold(Why.MISSING_VALUE, "no gas of the table");
        }
        if (combustible < COMBUSTIBLE.size()) {
            remarks.add(new Remark(Remark.Kind.OUT_OF_VALIDITY, "TDCG is a sum of the known gases only"));
        }
        int tdcgCondition = condition(tdcg, TDCG);
        int worst = tdcgCondition;
        for (int one : byGas.values()) {
            worst = Math.max(worst, one);
        }
        List<Gas> deciding = new ArrayList<>();
        for (Map.Entry<Gas, Integer> entry : byGas.entrySet()) {
            if (entry.getValue() == worst) {
                deciding.add(entry.getKey());
            }
        }
        return Finding.told(new Conditions2008(worst, byGas, tdcg, tdcgCondition, deciding), remarks);
    }

    private static int condition(double value, double[] upperEnds) {
        int condition = 1;
        for (double end : upperEnds) {
            condition += value > end ? 1 : 0;
        }
        return condition;
    }
}
