package oilbird.demoplant.device;

import java.util.ArrayList;
import java.util.List;
import oilbird.demoplant.course.Course;
import oilbird.demoplant.course.Transformer;
import oilbird.demoplant.course.Weather;

/**
 * The invented moisture and temperature probe SWT-2 of Sedgeholm Sensing: a sensor in the oil measures temperature and
 * relative saturation, and the water content is calculated from both.
 *
 * <p>Measures every 5 minutes; at three each night the sensor heats itself clean for 20 minutes and the values are held.
 */
public final class MoistureProbe extends NodeMonitor {
    private static final long SECOND = 1_000;
    private static final long MINUTE = 60 * SECOND;
    private static final long HOUR = 60 * MINUTE;
    private static final long DAY = 24 * HOUR;
    private static final int MEASUREMENT_MINUTES = 5;
    private static final int REFRESH_AT_HOUR = 3;
    private static final long REFRESH_LASTS = 20 * MINUTE;

    private static final double BELOW_TOP_OIL_K = 1.5;
    private static final double SUPPLY_LOW_BELOW_V = 21.0;

    /** log10 of the solubility of water in mineral oil in ppm is A - B / T; typical values of the literature, from memory. */
    private static final double SOLUBILITY_A = 7.09;

    private static final double SOLUBILITY_B = 1_567;
    private static final double KELVIN = 273.15;

    private static final List<ReadingForm> READINGS = List.of(
            ReadingForm.node("relative-saturation", "%", "Probe.Saturation"),
            ReadingForm.node("oil-temperature", "degC", "Probe.OilTemperature"),
            ReadingForm.node("moisture", "ppm", "Probe.Moisture"),
            ReadingForm.node("sensor-capacitance", "pF", "Probe.SensorCapacitance"),
            ReadingForm.node("cabinet-temperature", "degC", "Unit.CabinetTemperature"),
            ReadingForm.node("internal-supply", "V", "Unit.Supply"));

    private static final List<String> NAMED_BITS = List.of(
            "probe-fault",
            "probe-not-in-oil",
            "temperature-element-fault",
            "saturation-out-of-range",
            "refresh-running",
            "calibration-due",
            "service-mode",
            "clock-not-set",
            "probe-state:0",
            "probe-state:1",
            "supply-low");

    private final Transformer transformer;
    private final Cycle cycle;

    /**
     * @param name name of the device in the station
     * @param serialNumber what it calls itself
     */
    public MoistureProbe(String name, String serialNumber, Transformer transformer, Course course) {
        super(name, "urn:sedgeholm:swt-2", serialNumber, course, READINGS, bitForms());
        this.transformer = transformer;
        this.cycle = new Cycle(MEASUREMENT_MINUTES, 2, this::measuring, course::faults);
    }

    @Override
    public Nameplate nameplate(long at) {
        return new Nameplate("Sedgeholm Sensing (invented)", "SWT-2", "1.30");
    }

    private double noise(String reading, long at) {
        return scatter(reading, at, SECOND);
    }

    private boolean refreshes(long at) {
        return refreshStarted(at) >= 0;
    }

    /** Milliseconds since the running refresh began; -1 when none runs. */
    private long refreshStarted(long at) {
        long stuck = faults().sinceBegin("refresh-stuck", name(), at);
        if (stuck >= 0) {
            return stuck;
        }
        double hours = Weather.hourOfDay(at) - REFRESH_AT_HOUR;
        long since = Math.round(hours * HOUR);
        return since >= 0 && since < REFRESH_LASTS ? since : -1;
    }

    private Cycle.Going measuring(long at) {
        boolean stands = refreshes(at) || on("service-visit", at);
        if (!course().isPowered(name(), at) || testsItself(at)) {
            return Cycle.Going.GIVEN_UP;
        }
        return stands ? Cycle.Going.STANDS : Cycle.Going.RUNS;
    }

    @Override
    protected long measuredAt(long at) {
        return cycle.lastEnd(at);
    }

    @Override
    protected long measurements(long at) {
        long since = course().sinceStart(name(), at);
        return since < 0 ? 4_000 + cycle.finished(at) : cycle.finished(at) - cycle.finished(at - since);
    }

    @Override
    protected long madeAt(String reading, long at) {
        return switch (reading) {
            case "cabinet-temperature", "internal-supply" -> at - Math.floorMod(at, 10 * SECOND);
            default -> measuredAt(at);
        };
    }

    @Override
    protected double own(String reading, long at) {
        long made = madeAt(reading, at);
        long shown = switch (reading) {
            case "relative-saturation", "moisture" -> stillAt(made);
            default -> made;
        };
        return switch (reading) {
            case "relative-saturation" -> saturation(shown);
            case "oil-temperature" -> temperature(shown);
            case "moisture" -> saturation(shown) / 100 * solubility(temperature(shown));
            case "sensor-capacitance" ->
                on("probe-cable-broken", at)
                        ? 150
                        : 210 + 0.6 * saturation(stillAt(made)) + 0.05 * noise(reading, made);
            case "cabinet-temperature" -> transformer.ambient(made) + 9 + 0.2 * noise(reading, made);
            case "internal-supply" -> supply(made);
            default -> throw new IllegalArgumentException(name() + " has no reading " + reading);
        };
    }

    /** While the moisture value stands, the last measurement before it began to. */
    private long stillAt(long made) {
        long frozen = faults().sinceBegin("moisture-probe-frozen", name(), made);
        return frozen < 0 ? made : cycle.lastEnd(made - frozen);
    }

    private double supply(long at) {
        double sag = course().supplySags(name(), at) ? 4.5 : 0;
        return 24
                - sag
                - 4 * Math.min(1.4, faults().ramp("internal-supply-failing", name(), at, 3 * HOUR))
                + 0.03 * noise("internal-supply", at);
    }

    /** Oil temperature around the probe as it is, degC. */
    private double trueTemperature(long at) {
        double oil = transformer.topOil(at) - BELOW_TOP_OIL_K;
        double inAir = faults().lag("probe-in-air", name(), at, 20 * MINUTE);
        double standing = faults().lag("probe-valve-shut", name(), at, 40 * MINUTE);
        double around = Math.min(1, inAir) > 0 ? transformer.ambient(at) : transformer.ambient(at) + 4;
        double share = Math.min(1, Math.max(inAir, standing));
        return oil + (around - oil) * share;
    }

    private double temperature(long at) {
        return trueTemperature(at)
                + 11 * Math.min(1, faults().ramp("probe-temperature-drift", name(), at, 3 * DAY))
                + 0.05 * noise("oil-temperature", at);
    }

    private double saturation(long at) {
        if (on("saturation-input-saturated", at)) {
            return 100;
        }
        double saturation;
        if (on("probe-in-air", at)) {
            saturation = 65 - 10 * StrictMath.cos(2 * Math.PI * (Weather.hourOfDay(at) - 15) / 24);
        } else {
            saturation = 100 * transformer.water(at) / solubility(trueTemperature(at));
        }
        saturation += 14 * faults().ramp("moisture-probe-drift", name(), at, 10 * DAY)
                + 0.06 * noise("relative-saturation", at);
        return Math.max(0, Math.min(100, saturation));
    }

    private static double solubility(double celsius) {
        return StrictMath.pow(10, SOLUBILITY_A - SOLUBILITY_B / (celsius + KELVIN));
    }

    @Override
    protected long status(String reading, long at) {
        boolean temperatureBroken = on("temperature-element-broken", at);
        boolean cableBroken = on("probe-cable-broken", at);
        boolean ofTheProbe = switch (reading) {
            case "relative-saturation", "oil-temperature", "moisture" -> true;
            default -> false;
        };
        if (!ofTheProbe) {
            return cableBroken && reading.equals("sensor-capacitance") ? BAD_SENSOR_FAILURE : GOOD;
        }
        if (cableBroken || temperatureBroken && !reading.equals("relative-saturation")) {
            return BAD_SENSOR_FAILURE;
        }
        if (refreshes(at) || on("service-visit", at)) {
            return UNCERTAIN_LAST_USABLE_VALUE;
        }
        return on("saturation-input-saturated", at) && !reading.equals("oil-temperature")
                ? UNCERTAIN_SENSOR_NOT_ACCURATE
                : GOOD;
    }

    @Override
    protected boolean sets(BitForm bit, long at) {
        return switch (bit.number()) {
            case 0 -> on("probe-cable-broken", at);
            case 1 -> on("probe-in-air", at);
            case 2 -> on("probe-cable-broken", at) || on("temperature-element-broken", at);
            case 3 -> value("relative-saturation", at) >= 95;
            case 4 -> refreshes(at);
            case 6 -> on("service-visit", at);
            case 7 -> clockIsLost(at);
            case 8, 9 -> (probeState(at) >> (bit.number() - 8) & 1) == 1;
            case 10 -> value("internal-supply", at) < SUPPLY_LOW_BELOW_V;
            case 31 -> !testsItself(at);
            default -> false;
        };
    }

    /** 0 measuring, 1 warming, 2 refreshing, 3 standby. */
    private int probeState(long at) {
        if (on("service-visit", at)) {
            return 3;
        }
        long refresh = refreshStarted(at);
        if (refresh < 0) {
            return 0;
        }
        return refresh < 2 * MINUTE ? 1 : 2;
    }

    private static List<BitForm> bitForms() {
        List<BitForm> bits = new ArrayList<>();
        for (int i = 0; i < 32; i++) {
            String bit = i < NAMED_BITS.size() ? NAMED_BITS.get(i) : i == 31 ? "status-valid" : "status:" + i;
            bits.add(new BitForm("status", i, bit));
        }
        return bits;
    }
}
