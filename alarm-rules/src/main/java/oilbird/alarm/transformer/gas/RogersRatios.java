package oilbird.alarm.transformer.gas;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Rogers ratios as recalled from IEEE C57.104-2008 (confidence M). Inputs in one volume unit, not negative.
 * Valid for mineral oil; combinations outside the six rows are common and have no answer.
 */
public final class RogersRatios {
    private RogersRatios() {}

    /** A row of the table. */
    public enum Row {
        NORMAL("normal"),
        LOW_ENERGY_PD("low-energy PD", Fault.PD),
        HIGH_ENERGY_ARC("high-energy arc", Fault.D2),
        LOW_TEMPERATURE("low-temperature thermal", Fault.T1),
        BELOW_700("thermal <700 C", Fault.T2),
        ABOVE_700("thermal >700 C", Fault.T3);

        private final String words;
        private final List<Fault> faults;

        Row(String words, Fault... faults) {
            this.words = words;
            this.faults = List.of(faults);
        }

        public String words() {
            return words;
        }

        /** The class of IEC 60599 that the row comes nearest to; none for the normal row. */
        public List<Fault> faults() {
            return faults;
        }
    }

    /** The row that fits, or null when none does. Ranges of the table are closed. */
    public static @Nullable Row row(double h2, double ch4, double c2h6, double c2h4, double c2h2) {
        double acetyleneEthylene = Ratio.of(c2h2, c2h4);
        double methaneHydrogen = Ratio.of(ch4, h2);
        double ethyleneEthane = Ratio.of(c2h4, c2h6);
        boolean middle = Ratio.within(methaneHydrogen, 0.1, 1, true);
        if (acetyleneEthylene >= 0.1) {
            return acetyleneEthylene <= 3 && middle && ethyleneEthane > 3 ? Row.HIGH_ENERGY_ARC : null;
        }
        if (ethyleneEthane < 1) {
            if (methaneHydrogen < 0.1) {
                return Row.LOW_ENERGY_PD;
            }
            return middle ? Row.NORMAL : null;
        }
        if (methaneHydrogen > 1) {
            return ethyleneEthane <= 3 ? Row.BELOW_700 : Row.ABOVE_700;
        }
        return middle && ethyleneEthane <= 3 ? Row.LOW_TEMPERATURE : null;
    }
}
