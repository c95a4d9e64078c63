package oilbird.alarm.transformer.gas;

import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.SensorKind;
import oilbird.alarm.transformer.Why;
import org.jspecify.annotations.Nullable;

/**
 * The gases of one oil sample in ppm by volume, checked: what remains is finite and not negative, and each
 * gas that was left out has a named reason.
 *
 * @param gases by gas in the order of {@link Gas}.
 * @param leftOut why a gas that was reported is not among them.
 */
public record GasSample(
        Instant at, SampleSource source, Map<Gas, Concentration> gases, Map<Gas, Why> leftOut, List<Remark> remarks) {
    /** More than pure gas: a volume fraction of dissolved gas beyond this is a wrong unit or a wrong register. */
    static final double IMPOSSIBLE_PPM = 1_000_000;

    private static final Instant EARLIEST = Instant.parse("1900-01-01T00:00:00Z");
    private static final Instant LATEST = Instant.parse("2200-01-01T00:00:00Z");

    public GasSample {
        gases = Collections.unmodifiableMap(copy(gases));
        leftOut = Collections.unmodifiableMap(copy(leftOut));
        remarks = List.copyOf(remarks);
    }

    private static <V> Map<Gas, V> copy(Map<Gas, V> map) {
        Map<Gas, V> copy = new EnumMap<>(Gas.class);
        copy.putAll(map);
        return copy;
    }

    /**
     * Checks the readings of one sample.
     *
     * <p>Stated treatment: a missing, non-finite or impossible value is left out and named; zero is below
     * detection; a value down to minus the detection limit is below detection, a more negative one is left
     * out; known volume units are converted; a mass unit or an unstated unit is left out; a gas given twice
     * with one value counts once, with two values not at all. A sample of which nothing remains is refused
     * with the reason of the first gas, a time outside 1900 to 2200 is refused; a composite sensor's sample is refused whole.
     */
    public static Finding<GasSample> of(Instant at, SampleSource source, List<GasReading> readings) {
        if (at.isBefore(EARLIEST) || at.isAfter(LATEST)) {
            return Finding.untold(Why.IMPOSSIBLE_VALUE, "time of the sample");
        }
        if (source.sensor() == SensorKind.COMPOSITE) {
            return Finding.untold(Why.COMPOSITE_SENSOR, source.id());
        }
        Map<Gas, Concentration> gases = new EnumMap<>(Gas.class);
        Map<Gas, Why> leftOut = new EnumMap<>(Gas.class);
        List<Remark> remarks = new ArrayList<>();
        for (GasReading reading : readings) {
            Gas gas = reading.gas();
            Why fault =
                    source.sensor() == SensorKind.HYDROGEN_ONLY && gas != Gas.H2 ? Why.NOT_MEASURED : fault(reading);
            if (fault != null) {
                gases.remove(gas);
                leftOut.put(gas, fault);
                continue;
            }
            Concentration now = concentration(reading, remarks);
            Concentration before = gases.get(gas);
            if (leftOut.containsKey(gas)) {
                continue;
            }
            if (before != null && !before.equals(now)) {
                gases.remove(gas);
                leftOut.put(gas, Why.CONTRADICTING_VALUES);
                continue;
            }
            if (before != null) {
                remarks.add(new Remark(Remark.Kind.DUPLICATE_DROPPED, gas.words()));
            }
            gases.put(gas, now);
        }
        leftOut.forEach(
                (gas, why) -> remarks.add(new Remark(Remark.Kind.VALUE_LEFT_OUT, gas.words() + ", " + why.sentence())));
        if (gases.isEmpty()) {
            return leftOut.isEmpty()
                    ? Finding.untold(Why.MISSING_VALUE, "the sample holds no gas")
                    : Finding.untold(
                            leftOut.values().iterator().next(),
                            "no gas of the sample can be used, first "
                                    + leftOut.keySet().iterator().next().words());
        }
        return Finding.told(new GasSample(at, source, gases, leftOut, remarks), remarks);
    }

    private static @Nullable Why fault(GasReading reading) {
        if (!Double.isFinite(reading.unit().factor())) {
            return reading.unit() == GasUnit.UNSTATED ? Why.UNIT_UNKNOWN : Why.UNIT_NOT_CONVERTIBLE;
        }
        Double value = reading.value();
        if (value == null) {
            return reading.flag() == GasReading.Flag.BELOW_DETECTION ? null : Why.MISSING_VALUE;
        }
        if (!Double.isFinite(value)) {
            return Why.NOT_A_NUMBER;
        }
        double ppm = value * reading.unit().factor();
        if (ppm < -reading.gas().detectionLimitPpm() || ppm < 0 && reading.flag() != GasReading.Flag.VALUE) {
            return Why.NEGATIVE_VALUE;
        }
        return ppm > IMPOSSIBLE_PPM ? Why.IMPOSSIBLE_VALUE : null;
    }

    private static Concentration concentration(GasReading reading, List<Remark> remarks) {
        Gas gas = reading.gas();
        Double stated = reading.value();
        double ppm = stated == null
                ? gas.detectionLimitPpm()
                : stated * reading.unit().factor();
        if (reading.unit() != GasUnit.MICROLITRE_PER_LITRE) {
            remarks.add(new Remark(Remark.Kind.UNIT_CONVERTED, gas.words()));
        }
        if (reading.flag() == GasReading.Flag.SATURATED) {
            return new Concentration.Saturated(ppm);
        }
        if (reading.flag() == GasReading.Flag.BELOW_DETECTION) {
            return new Concentration.BelowDetection(ppm);
        }
        if (ppm < 0) {
            remarks.add(new Remark(Remark.Kind.NEGATIVE_TAKEN_AS_BELOW_DETECTION, gas.words()));
        }
        return ppm <= 0 ? new Concentration.BelowDetection(gas.detectionLimitPpm()) : new Concentration.Measured(ppm);
    }

    /** What is known of the gas, or null when it was not reported or left out. */
    public @Nullable Concentration of(Gas gas) {
        return gases.get(gas);
    }

    /** The figure that enters a method in ppm by volume; NaN inside the package when the gas is not known. */
    double nominal(Gas gas) {
        Concentration known = gases.get(gas);
        return known == null ? Double.NaN : known.nominalPpm();
    }

    /** Whether every one of the gases is known and inside its sensor's range. */
    public boolean hasMeasured(List<Gas> wanted) {
        for (Gas gas : wanted) {
            Concentration known = gases.get(gas);
            if (known == null || known instanceof Concentration.Saturated) {
                return false;
            }
        }
        return true;
    }

    /** Why not all the wanted gases may enter a ratio, or null when they may. */
    <T> Finding.@Nullable Untold<T> obstacle(List<Gas> wanted) {
        int present = 0;
        for (Gas gas : wanted) {
            Concentration known = gases.get(gas);
            if (known == null) {
                Why why = leftOut.getOrDefault(gas, Why.MISSING_VALUE);
                return new Finding.Untold<>(why, gas.words());
            }
            if (known instanceof Concentration.Saturated) {
                return new Finding.Untold<>(
                        Why.SATURATED, gas.words() + " at or above " + Figures.ppm(known.nominalPpm()));
            }
            present += known.nominalPpm() > 0 ? 1 : 0;
        }
        return present == 0 ? new Finding.Untold<>(Why.ALL_ZERO, "all gases of the method") : null;
    }
}
