package oilbird.alarm.transformer;

import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import oilbird.alarm.transformer.gas.Fault;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasReading;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.SampleSource;

/** Samples for tests. */
public final class Samples {
    public static final Instant NOON = Instant.parse("2026-01-01T12:00:00Z");
    public static final SampleSource LABORATORY =
            new SampleSource("lab", SampleSource.Origin.LABORATORY, SensorKind.SEPARATE_GASES);
    public static final SampleSource MONITOR =
            new SampleSource("windlow-t1-gas", SampleSource.Origin.MONITOR, SensorKind.SEPARATE_GASES);

    private Samples() {}

    /** One inspected case of the IEC TC 10 collection. */
    public record Case(String id, GasSample sample, Fault fault) {}

    /** All 117 cases; a blank cell is a gas that was not detected. */
    public static List<Case> tc10() {
        List<Case> cases = new ArrayList<>();
        for (Map<String, String> row : Table.rows("tc10.csv")) {
            List<GasReading> readings = new ArrayList<>();
            for (Gas gas : List.of(Gas.H2, Gas.CH4, Gas.C2H6, Gas.C2H4, Gas.C2H2, Gas.CO, Gas.CO2)) {
                String cell = Table.text(row, gas.name().toLowerCase(Locale.ROOT));
                if (!cell.isEmpty()) {
                    readings.add(GasReading.ppm(gas, Double.parseDouble(cell)));
                } else if (gas != Gas.CO && gas != Gas.CO2) {
                    readings.add(GasReading.belowDetection(gas));
                }
            }
            cases.add(new Case(
                    Table.text(row, "id"),
                    told(GasSample.of(NOON, LABORATORY, readings)),
                    Fault.valueOf(Table.text(row, "fault6_ratio_split"))));
        }
        return cases;
    }

    /** A sample of the five fault gases in ppm. */
    public static GasSample five(double h2, double ch4, double c2h6, double c2h4, double c2h2) {
        return told(GasSample.of(NOON, LABORATORY, readings(h2, ch4, c2h6, c2h4, c2h2)));
    }

    public static List<GasReading> readings(double h2, double ch4, double c2h6, double c2h4, double c2h2) {
        return List.of(
                GasReading.ppm(Gas.H2, h2),
                GasReading.ppm(Gas.CH4, ch4),
                GasReading.ppm(Gas.C2H6, c2h6),
                GasReading.ppm(Gas.C2H4, c2h4),
                GasReading.ppm(Gas.C2H2, c2h2));
    }

    /** The value of a finding that must be told. */
    public static <T> T told(Finding<T> finding) {
        if (finding instanceof Finding.Told<T> told) {
            return told.value();
        }
        throw new AssertionError("untold: " + finding);
    }

    /** The reason of a finding that must not be told. */
    public static Why why(Finding<?> finding) {
        if (finding instanceof Finding.Untold<?> untold) {
            return untold.why();
        }
        throw new AssertionError("told: " + finding);
    }

    /** The remarks of a finding that must be told. */
    public static List<Remark.Kind> remarks(Finding<?> finding) {
        if (finding instanceof Finding.Told<?> told) {
            return told.remarks().stream().map(Remark::kind).toList();
        }
        throw new AssertionError("untold: " + finding);
    }
}
