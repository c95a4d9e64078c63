package oilbird.alarm.transformer.gas;

import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.transformer.Equipment;

/**
 * Basic gas ratios of IEC 60599 Table 1 (2015, 2022; confidence A) and Table 2 (from memory). Inputs in one
 * volume unit, not negative. Valid for mineral oil and only where at least one gas is above its typical value.
 * The T1 row prints CH4/H2 as "above 1 but non-significant"; it is read as above 1, as the counts of others do.
 */
public final class IecRatios {
    private IecRatios() {}

    /**
     * The rows of Table 1 that fit, as bits {@code 1 << Fault.ordinal()}. D1 and D2 overlap on purpose; both
     * are given where both fit. CH4/H2 limit of PD: 0.1; 0.2 in instrument transformers, 0.07 in bushings
     * (2022 Table 1 note 3, confidence B).
     */
    public static int rows(
            double h2, double ch4, double c2h6, double c2h4, double c2h2, Equipment equipment, Choices choices) {
        double acetyleneEthylene = Ratio.of(c2h2, c2h4);
        double methaneHydrogen = Ratio.of(ch4, h2);
        double ethyleneEthane = Ratio.of(c2h4, c2h6);
        boolean closed = !choices.alternative(DisputedCell.IEC_RATIO_BOUNDS);
        int rows = 0;
        if (methaneHydrogen < partialDischargeLimit(equipment) && ethyleneEthane < 0.2) {
            rows |= 1 << Fault.PD.ordinal();
        }
        if (acetyleneEthylene > 1 && Ratio.within(methaneHydrogen, 0.1, 0.5, closed) && ethyleneEthane > 1) {
            rows |= 1 << Fault.D1.ordinal();
        }
        if (Ratio.within(acetyleneEthylene, 0.6, 2.5, closed)
                && Ratio.within(methaneHydrogen, 0.1, 1, closed)
                && ethyleneEthane > 2) {
            rows |= 1 << Fault.D2.ordinal();
        }
        if (methaneHydrogen > 1 && ethyleneEthane < 1) {
            rows |= 1 << Fault.T1.ordinal();
        }
        if (acetyleneEthylene < 0.1 && methaneHydrogen > 1 && Ratio.within(ethyleneEthane, 1, 4, closed)) {
            rows |= 1 << Fault.T2.ordinal();
        }
        if (acetyleneEthylene < 0.2 && methaneHydrogen > 1 && ethyleneEthane > 4) {
            rows |= 1 << Fault.T3.ordinal();
        }
        return rows;
    }

    /** Upper limit of CH4/H2 for partial discharge. */
    public static double partialDischargeLimit(Equipment equipment) {
        return switch (equipment) {
            case POWER_TRANSFORMER -> 0.1;
            case CURRENT_TRANSFORMER, VOLTAGE_TRANSFORMER -> 0.2;
            case BUSHING -> 0.07;
        };
    }

    /**
     * The families of Table 2 (confidence M): partial discharge CH4/H2 below 0.2, discharge C2H2/C2H4 above
     * 0.2, thermal below 0.2. Partial discharge overlaps the others; both are given.
     */
    public static List<Fault.Family> families(double h2, double ch4, double c2h4, double c2h2) {
        List<Fault.Family> fits = new ArrayList<>();
        if (Ratio.of(ch4, h2) < 0.2) {
            fits.add(Fault.Family.PARTIAL_DISCHARGE);
        }
        double acetyleneEthylene = Ratio.of(c2h2, c2h4);
        if (acetyleneEthylene > 0.2) {
            fits.add(Fault.Family.DISCHARGE);
        } else if (acetyleneEthylene < 0.2) {
            fits.add(Fault.Family.THERMAL);
        }
        return List.copyOf(fits);
    }

    /** The faults whose bits are set, in the order of {@link Fault}. */
    public static List<Fault> faults(int rows) {
        List<Fault> faults = new ArrayList<>();
        for (Fault fault : Fault.values()) {
            if ((rows & 1 << fault.ordinal()) != 0) {
                faults.add(fault);
            }
        }
        return List.copyOf(faults);
    }
}
