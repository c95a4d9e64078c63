package oilbird.demoplant.device;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import oilbird.demoplant.course.Course;
import oilbird.demoplant.course.Injection;
import oilbird.demoplant.course.Transformer;

/**
 * The invented bushing monitor RVB-3 of Ravenfold Measurement: for three bushings capacitance, dissipation factor and
 * leakage current, against the voltage of a voltage transformer as reference.
 *
 * <p>Measures every 10 minutes.
 */
public final class BushingMonitor extends NodeMonitor {
    private static final long SECOND = 1_000;
    private static final long MINUTE = 60 * SECOND;
    private static final long HOUR = 60 * MINUTE;
    private static final long DAY = 24 * HOUR;
    private static final int MEASUREMENT_MINUTES = 10;

    private static final double[] CAPACITANCE = {452, 449, 455};
    private static final double[] FACTOR = {0.31, 0.33, 0.30};
    private static final double CURRENT = 18.0;
    private static final double SUM_CURRENT = 0.3;
    private static final double REFERENCE_KV = 127;
    private static final double CAPACITANCE_HIGH_OVER = 0.03;
    private static final double FACTOR_HIGH_OVER = 0.8;
    private static final double SUM_HIGH_OVER = 3;
    private static final double SUPPLY_LOW_BELOW_V = 21.0;

    private static final List<ReadingForm> READINGS = readingForms();

    private static final List<String> NAMED_BITS = List.of(
            "sensor-earth-l1",
            "sensor-earth-l2",
            "sensor-earth-l3",
            "capacitance-high-l1",
            "capacitance-high-l2",
            "capacitance-high-l3",
            "dissipation-high-l1",
            "dissipation-high-l2",
            "dissipation-high-l3",
            "reference-lost",
            "input-board-fault",
            "service-mode",
            "calibration-due",
            "clock-not-set",
            "supply-low",
            "status-valid",
            "sum-current-high");

    private final Transformer transformer;
    private final Cycle cycle;

    /**
     * @param name name of the device in the station
     * @param serialNumber what it calls itself
     */
    public BushingMonitor(String name, String serialNumber, Transformer transformer, Course course) {
        super(name, "urn:ravenfold:rvb-3", serialNumber, course, READINGS, bitForms());
        this.transformer = transformer;
        this.cycle = new Cycle(MEASUREMENT_MINUTES, 4, this::measuring, course::faults);
    }

    @Override
    public Nameplate nameplate(long at) {
        return new Nameplate("Ravenfold Measurement (invented)", "RVB-3", "4.02");
    }

    private double noise(String reading, long at) {
        return scatter(reading, at, SECOND);
    }

    private Cycle.Going measuring(long at) {
        if (!course().isPowered(name(), at) || testsItself(at)) {
            return Cycle.Going.GIVEN_UP;
        }
        return on("service-visit", at) ? Cycle.Going.STANDS : Cycle.Going.RUNS;
    }

    @Override
    protected long measuredAt(long at) {
        return cycle.lastEnd(at);
    }

    @Override
    protected long measurements(long at) {
        long since = course().sinceStart(name(), at);
        return since < 0 ? 9_000 + cycle.finished(at) : cycle.finished(at) - cycle.finished(at - since);
    }

    @Override
    protected long madeAt(String reading, long at) {
        return switch (reading) {
            case "outdoor-temperature", "internal-supply" -> at - Math.floorMod(at, 10 * SECOND);
            default -> measuredAt(at);
        };
    }

    @Override
    protected double own(String reading, long at) {
        long made = madeAt(reading, at);
        int phase = phaseOf(reading);
        if (phase >= 0) {
            long frozen = faults().sinceBegin("current-input-frozen-l" + (phase + 1), name(), made);
            long shown = frozen < 0 ? made : cycle.lastEnd(made - frozen);
            if (reading.startsWith("capacitance")) {
                return capacitance(phase, shown);
            }
            return reading.startsWith("dissipation") ? factor(phase, shown) : current(phase, shown);
        }
        return switch (reading) {
            case "sum-current" -> sumCurrent(made);
            case "reference-voltage" -> on("reference-lost", made) ? 0 : REFERENCE_KV + 0.4 * noise(reading, made);
            case "outdoor-temperature" -> transformer.ambient(made) + 0.2 * noise(reading, made);
            case "internal-supply" -> supply(made);
            default -> throw new IllegalArgumentException(name() + " has no reading " + reading);
        };
    }

    private double supply(long at) {
        double sag = course().supplySags(name(), at) ? 4.5 : 0;
        return 24
                - sag
                - 4 * Math.min(1.4, faults().ramp("internal-supply-failing", name(), at, 3 * HOUR))
                + 0.03 * noise("internal-supply", at);
    }

    /** Layers of the bushing of phase L2 that have broken down, each six hours one. */
    private double brokenLayers(long at) {
        double layers = 0;
        for (Injection breaking : faults().of("bushing-layer-breakdown", transformer.id())) {
            layers += breaking.isOn(at) ? breaking.strength() * (1 + (at - breaking.fromMillis()) / (6 * HOUR)) : 0;
        }
        return layers;
    }

    /** What a bad earth of the sensor multiplies with; 1 when it is good. */
    private double earth(int phase, long at) {
        return on("sensor-earth-l" + (phase + 1), at) ? 0.85 + 0.45 * noise("leakage-current-l" + (phase + 1), at) : 1;
    }

    private double capacitance(int phase, long at) {
        if (on("sensor-cable-l" + (phase + 1), at)) {
            return 0;
        }
        double relative = 1
                + (phase == 1 ? 0.036 * brokenLayers(at) : 0)
                + 0.025 * Math.min(1, faults().ramp("reference-drift", name(), at, 2 * DAY))
                - (on("reference-lost", at) ? 0.04 : 0)
                + 0.00004 * (transformer.ambient(at) - 15)
                + 0.0006 * noise("capacitance-l" + (phase + 1), at);
        return CAPACITANCE[phase] * relative * earth(phase, at);
    }

    private double factor(int phase, long at) {
        double warm = Math.max(0, (transformer.topOil(at) - 50) / 30);
        return FACTOR[phase]
                + (phase == 1 ? 0.15 * brokenLayers(at) : 0)
                + (phase == 2
                        ? (0.8 + 0.3 * warm)
                                * Math.min(1, faults().ramp("bushing-moist", transformer.id(), at, 5 * DAY))
                        : 0)
                + (on("surface-wet", at) ? 0.35 * course().weather().wetness(faults(), at) : 0)
                + (on("reference-lost", at) ? 0.25 : 0)
                + 0.01 * noise("dissipation-factor-l" + (phase + 1), at);
    }

    private double current(int phase, long at) {
        if (on("sensor-cable-l" + (phase + 1), at)) {
            return 0;
        }
        double relative = 1 + (phase == 1 ? 0.036 * brokenLayers(at) : 0);
        return (CURRENT * relative + 0.05 * noise("leakage-current-l" + (phase + 1), at)) * earth(phase, at);
    }

    private double sumCurrent(long at) {
        double sum = SUM_CURRENT + 0.05 * noise("sum-current", at) + CURRENT * 0.036 * brokenLayers(at);
        for (int phase = 0; phase < 3; phase++) {
            sum += on("sensor-cable-l" + (phase + 1), at) ? CURRENT : 0;
            sum += on("sensor-earth-l" + (phase + 1), at) ? 6 : 0;
        }
        return sum;
    }

    @Override
    protected long status(String reading, long at) {
        int phase = phaseOf(reading);
        if (phase < 0) {
            return reading.equals("sum-current") && on("input-board-failed", at) ? BAD_SENSOR_FAILURE : GOOD;
        }
        if (on("input-board-failed", at) || on("sensor-earth-l" + (phase + 1), at)) {
            return BAD_SENSOR_FAILURE;
        }
        if (on("service-visit", at)) {
            return UNCERTAIN_LAST_USABLE_VALUE;
        }
        return on("reference-lost", at) && !reading.startsWith("leakage") ? UNCERTAIN_SENSOR_NOT_ACCURATE : GOOD;
    }

    @Override
    protected boolean sets(BitForm bit, long at) {
        int number = bit.number();
        return switch (number) {
            case 0, 1, 2 -> on("sensor-earth-l" + (number + 1), at);
            case 3, 4, 5 ->
                value("capacitance-l" + (number - 2), at) > CAPACITANCE[number - 3] * (1 + CAPACITANCE_HIGH_OVER);
            case 6, 7, 8 -> value("dissipation-factor-l" + (number - 5), at) > FACTOR_HIGH_OVER;
            case 9 -> on("reference-lost", at);
            case 10 -> on("input-board-failed", at);
            case 11 -> on("service-visit", at);
            case 13 -> clockIsLost(at);
            case 14 -> value("internal-supply", at) < SUPPLY_LOW_BELOW_V;
            case 15 -> !testsItself(at);
            case 16 -> value("sum-current", at) > SUM_HIGH_OVER;
            default -> false;
        };
    }

    /** 0 to 2 for a reading of phase L1 to L3; -1 for one of none. */
    private static int phaseOf(String reading) {
        int at = reading.lastIndexOf("-l");
        return at > 0 && at == reading.length() - 3 ? reading.charAt(at + 2) - '1' : -1;
    }

    private static List<ReadingForm> readingForms() {
        List<ReadingForm> forms = new ArrayList<>();
        for (String phase : List.of("L1", "L2", "L3")) {
            String ending = "-" + phase.toLowerCase(Locale.ROOT);
            forms.add(ReadingForm.node("capacitance" + ending, "pF", phase + ".Capacitance"));
            forms.add(ReadingForm.node("dissipation-factor" + ending, "%", phase + ".DissipationFactor"));
            forms.add(ReadingForm.node("leakage-current" + ending, "mA", phase + ".LeakageCurrent"));
        }
        forms.add(ReadingForm.node("sum-current", "mA", "Unit.SumCurrent"));
        forms.add(ReadingForm.node("reference-voltage", "kV", "Unit.ReferenceVoltage"));
        forms.add(ReadingForm.node("outdoor-temperature", "degC", "Unit.OutdoorTemperature"));
        forms.add(ReadingForm.node("internal-supply", "V", "Unit.Supply"));
        return forms;
    }

    private static List<BitForm> bitForms() {
        List<BitForm> bits = new ArrayList<>();
        for (int i = 0; i < 32; i++) {
            bits.add(new BitForm("status", i, i < NAMED_BITS.size() ? NAMED_BITS.get(i) : "status:" + i));
        }
        return bits;
    }
}
