package oilbird.alarm.transformer.gas;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Doernenburg ratios, oil column (confidence B; the gas-space column is not used, no gas-space samples come
 * in). Inputs in ppm by volume, not negative. Limits L1 in ppm: H2 100, CH4 120, C2H2 1 or 35 (disputed),
 * C2H4 50, C2H6 65 (M).
 */
public final class DoernenburgRatios {
    private static final double H2_L1 = 100;
    private static final double CH4_L1 = 120;
    private static final double C2H4_L1 = 50;
    private static final double C2H6_L1 = 65;

    private DoernenburgRatios() {}

    /** A row of the table. */
    public enum Row {
        THERMAL("thermal", Fault.T1, Fault.T2, Fault.T3),
        LOW_INTENSITY_PD("low-intensity PD", Fault.PD),
        ARCING("arcing", Fault.D1, Fault.D2);

        private final String words;
        private final List<Fault> faults;

        Row(String words, Fault... faults) {
            this.words = words;
            this.faults = List.of(faults);
        }

        public String words() {
            return words;
        }

        public List<Fault> faults() {
            return faults;
        }
    }

    /**
     * Whether the method may be used (2008, confidence M): one of H2, CH4, C2H2, C2H4 at least at twice L1
     * and another of them above L1, and each ratio has one of its gases above L1. The disputed alternative
     * asks for one gas above L1.
     */
    public static boolean applies(double h2, double ch4, double c2h6, double c2h4, double c2h2, Choices choices) {
        double acetyleneLimit = choices.alternative(DisputedCell.DOERNENBURG_ACETYLENE_LIMIT) ? 35 : 1;
        double[] shares = {h2 / H2_L1, ch4 / CH4_L1, c2h2 / acetyleneLimit, c2h4 / C2H4_L1};
        int above = 0;
        int twice = 0;
        for (double share : shares) {
            above += share > 1 ? 1 : 0;
            twice += share >= 2 ? 1 : 0;
        }
        if (choices.alternative(DisputedCell.DOERNENBURG_APPLICABILITY)) {
            return above >= 1;
        }
        boolean acetylene = c2h2 > acetyleneLimit;
        boolean methane = ch4 > CH4_L1;
        return twice >= 1
                && above >= 2
                && (methane || h2 > H2_L1)
                && (acetylene || c2h4 > C2H4_L1)
                && (acetylene || methane)
                && (c2h6 > C2H6_L1 || acetylene);
    }

    /** The row that fits, or null; the disputed alternative asks for three of the four ratios. */
    public static @Nullable Row row(double h2, double ch4, double c2h6, double c2h4, double c2h2, Choices choices) {
        double r1 = Ratio.of(ch4, h2);
        double r2 = Ratio.of(c2h2, c2h4);
        double r3 = Ratio.of(c2h2, ch4);
        double r4 = Ratio.of(c2h6, c2h2);
        int needed = choices.alternative(DisputedCell.DOERNENBURG_APPLICABILITY) ? 3 : 4;
        int thermal = count(r1 > 1, r2 < 0.75, r3 < 0.3, r4 > 0.4);
        int partial = count(r1 < 0.1, true, r3 < 0.3, r4 > 0.4);
        int arcing = count(Ratio.within(r1, 0.1, 1, true), r2 > 0.75, r3 > 0.3, r4 < 0.4);
        int best = Math.max(thermal, Math.max(partial, arcing));
        int ties = count(thermal == best, partial == best, arcing == best);
        if (best < needed || ties > 1) {
            return null;
        }
        if (thermal == best) {
            return Row.THERMAL;
        }
        return partial == best ? Row.LOW_INTENSITY_PD : Row.ARCING;
    }

    private static int count(boolean... conditions) {
        int count = 0;
        for (boolean condition : conditions) {
            count += condition ? 1 : 0;
        }
        return count;
    }
}
