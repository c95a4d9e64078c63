package oilbird.alarm.transformer.gas;

import java.util.Collections;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Equipment;
import oilbird.alarm.transformer.TapChanger;
import org.jspecify.annotations.Nullable;

/**
 * Ranges of 90 % typical concentrations (ppm by volume) and rates of increase (ppm a year) in mineral oil by IEC
 * 60599 (2015, 2022): power transformers Table A.2 (concentrations confidence A, rates B, the acetylene rate with
 * a communicating tap changer M), instrument transformers Table A.7 and bushings Table A.11 (one source each, no
 * rates). Owners with statistics of their own put them in place.
 */
public record TypicalValues(Map<Gas, Range> concentrations, Map<Gas, Range> yearlyRates) {
    /** Lower and upper end of the range that surveys of different networks found. */
    public record Range(double low, double high) {}

    public TypicalValues {
        concentrations = copy(concentrations);
        yearlyRates = copy(yearlyRates);
    }

    private static Map<Gas, Range> copy(Map<Gas, Range> map) {
        Map<Gas, Range> copy = new EnumMap<>(Gas.class);
        copy.putAll(map);
        return Collections.unmodifiableMap(copy);
    }

    /**
     * The standard's values for an asset; an unknown tap changer counts as not communicating, which is the
     * stricter reading.
     */
    public static TypicalValues iec60599(Equipment equipment, TapChanger tapChanger) {
        return switch (equipment) {
            case POWER_TRANSFORMER -> powerTransformer(tapChanger);
            case CURRENT_TRANSFORMER -> levels(6, 300, 11, 120, 7, 130, 3, 40, 1, 5, 250, 1100, 800, 4000);
            case VOLTAGE_TRANSFORMER -> {
                Map<Gas, Range> levels = new EnumMap<>(Gas.class);
                levels.put(Gas.H2, new Range(70, 1000));
                levels.put(Gas.C2H4, new Range(20, 30));
                levels.put(Gas.C2H2, new Range(4, 16));
                yield new TypicalValues(levels, new EnumMap<>(Gas.class));
            }
            // Acetylene is printed as "below detection to 5".
            case BUSHING -> levels(69, 392, 37, 216, 17, 121, 2, 70, 1, 5, 229, 927, 484, 11578);
        };
    }

    private static TypicalValues levels(double... ends) {
        Map<Gas, Range> levels = new EnumMap<>(Gas.class);
        for (int i = 0; i < GuideTables2019.GASES.size(); i++) {
            levels.put(GuideTables2019.GASES.get(i), new Range(ends[2 * i], ends[2 * i + 1]));
        }
        return new TypicalValues(levels, new EnumMap<>(Gas.class));
    }

    /**
     * Highest admissible concentration in ppm in a sealed instrument transformer, IEC 60599:2022 Table A.8 (one
     * source), or null for a gas that the table lacks.
     */
    public static @Nullable Double admissibleInSealedInstrumentTransformer(Gas gas) {
        return switch (gas) {
            case H2, CO -> 300.0;
            case CH4 -> 30.0;
            case C2H6 -> 50.0;
            case C2H4 -> 10.0;
            case C2H2 -> 2.0;
            case CO2 -> 900.0;
            case O2, N2 -> null;
        };
    }

    private static TypicalValues powerTransformer(TapChanger tapChanger) {
        boolean communicating = tapChanger == TapChanger.COMMUNICATING;
        Map<Gas, Range> levels = new EnumMap<>(Gas.class);
        levels.put(Gas.H2, new Range(50, 150));
        levels.put(Gas.CH4, new Range(30, 130));
        levels.put(Gas.C2H6, new Range(20, 90));
        levels.put(Gas.C2H4, new Range(60, 280));
        levels.put(Gas.C2H2, communicating ? new Range(60, 280) : new Range(2, 20));
        levels.put(Gas.CO, new Range(400, 600));
        levels.put(Gas.CO2, new Range(3800, 14000));
        Map<Gas, Range> rates = new EnumMap<>(Gas.class);
        rates.put(Gas.H2, new Range(35, 132));
        rates.put(Gas.CH4, new Range(10, 120));
        rates.put(Gas.C2H6, new Range(5, 90));
        rates.put(Gas.C2H4, new Range(32, 146));
        rates.put(Gas.C2H2, communicating ? new Range(21, 37) : new Range(0, 4));
        rates.put(Gas.CO, new Range(260, 1060));
        rates.put(Gas.CO2, new Range(1700, 10000));
        return new TypicalValues(levels, rates);
    }

    public @Nullable Range concentration(Gas gas) {
        return concentrations.get(gas);
    }

    public @Nullable Range yearlyRate(Gas gas) {
        return yearlyRates.get(gas);
    }

    /**
     * The gas that most exceeds the lower end of its typical range among hydrogen and the hydrocarbons, or
     * null when none does. The lower end, so that a fault is not kept back by a network's worse habit.
     */
    public @Nullable Gas firstAbove(GasSample sample) {
        Gas worst = null;
        double most = 1;
        for (Gas gas : FAULT_GASES) {
            Concentration known = sample.of(gas);
            Range range = concentrations.get(gas);
            if (known != null && range != null && known.nominalPpm() / range.low() > most) {
                most = known.nominalPpm() / range.low();
                worst = gas;
            }
        }
        return worst;
    }

    private static final List<Gas> FAULT_GASES = List.of(Gas.H2, Gas.CH4, Gas.C2H6, Gas.C2H4, Gas.C2H2);
}
