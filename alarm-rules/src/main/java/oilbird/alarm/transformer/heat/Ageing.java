package oilbird.alarm.transformer.heat;

import java.util.List;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.Why;

/**
 * Relative ageing of paper by hot-spot temperature, IEC 60076-7 (2005 clause 6.2; confidence A): 1 at the
 * temperature for which the insulation is made. Oxygen and moisture, which the 2018 edition adds, are left out.
 */
public enum Ageing {
    /** Kraft paper, 1 at 98 C, doubling every 6 K: 2^((h - 98)/6). */
    NON_UPGRADED,
    /** Thermally upgraded paper, 1 at 110 C; the same as FAA of IEEE C57.91. */
    UPGRADED;

    /** Insulation life in hours that IEEE C57.91 calls normal (from memory). */
    public static final double NORMAL_LIFE_HOURS = 180_000;

    private static final double LOWEST = -40;
    private static final double HIGHEST = 250;

    /** Relative rate at a hot-spot temperature in C, told from -40 to 250; above 140 with a remark on gas bubbles. */
    public Finding<Double> rate(double hotSpot) {
        if (!(hotSpot >= LOWEST && hotSpot <= HIGHEST)) {
            return Finding.untold(Why.OUTSIDE_VALIDITY, "hot spot " + Figures.of(hotSpot, 1) + " C");
        }
        List<Remark> remarks = hotSpot > 140
                ? List.of(new Remark(
                        Remark.Kind.OUT_OF_VALIDITY,
                        "above 140 C gas bubbles may form, which no ageing figure covers (from memory)"))
                : List.of();
        return Finding.told(rateAt(hotSpot), remarks);
    }

    double rateAt(double hotSpot) {
        double within = Math.max(LOWEST, Math.min(HIGHEST, hotSpot));
        return switch (this) {
            case NON_UPGRADED -> StrictMath.pow(2, (within - 98) / 6);
            case UPGRADED -> StrictMath.exp(15_000.0 / 383 - 15_000 / (within + 273));
        };
    }
}
