package oilbird.demoplant.device;

import static oilbird.demoplant.device.Coding.Form.FLOAT32_LOW_WORD_FIRST;
import static oilbird.demoplant.device.Coding.Form.INT16;
import static oilbird.demoplant.device.Coding.Form.UINT16;

import java.util.ArrayList;
import java.util.List;
import oilbird.demoplant.course.Course;
import oilbird.demoplant.course.Faults;
import oilbird.demoplant.course.Injection;
import oilbird.demoplant.course.Transformer;
import oilbird.demoplant.course.Transformer.Gas;

/**
 * The invented gas-in-oil monitor HBG-8 of Harrowbeck Instruments: it draws oil from a transformer, measures the
 * dissolved gases by analyses, and watches its own cabinet.
 *
 * <p>Input registers only (function 04). An analysis takes an hour. Without oil flow no analysis runs: the counter
 * stands and the gases keep their last value.
 */
public final class GasMonitor extends RegisterMonitor {
    private static final int REGISTERS = 38;
    private static final int STATUS_WORD = 0;
    private static final int ANALYSIS_COUNTER = 1;
    private static final int SERIAL_NUMBER = 30;
    private static final int LAST_MOVED_REGISTER = 25;

    private static final long SECOND = 1_000;
    private static final long MINUTE = 60 * SECOND;
    private static final long HOUR = 60 * MINUTE;
    private static final long NEVER = Long.MIN_VALUE;
    private static final int ANALYSIS_MINUTES = 60;
    private static final long CALIBRATION_AFTER = 20 * MINUTE;
    private static final long CLOCK_ERROR = 23 * MINUTE;
    private static final long HEAT_SINK_TIME = 25 * MINUTE;

    private static final double NO_GAS_VALUE = -9999.0;
    private static final double NO_FAN_VALUE = 0xFFFF;
    private static final double FAN_RPM = 2_400;
    private static final double FAN_STOPPED_BELOW_RPM = 100;
    private static final double HEALTHY_RISE_K = 6;
    private static final double HEAT_SINK_HOT_OVER_K = 30;
    private static final double HEALTHY_FLOW = 0.85;
    private static final double LOST_FLOW = 0.02;
    private static final double FLOW_LOW_BELOW = 0.20;
    private static final double HEALTHY_PRESSURE = 1.80;
    private static final double SUPPLY_V = 24.0;
    private static final double SUPPLY_LOW_BELOW_V = 21.0;

    private static final Coding GAS = Coding.of(FLOAT32_LOW_WORD_FIRST, 1, NO_GAS_VALUE);

    private static final List<ReadingForm> READINGS = List.of(
            ReadingForm.of("hydrogen", "ppm", 2, GAS),
            ReadingForm.of("methane", "ppm", 4, GAS),
            ReadingForm.of("acetylene", "ppm", 6, GAS),
            ReadingForm.of("ethylene", "ppm", 8, GAS),
            ReadingForm.of("ethane", "ppm", 10, GAS),
            ReadingForm.of("carbon-monoxide", "ppm", 12, GAS),
            ReadingForm.of("carbon-dioxide", "ppm", 14, GAS),
            ReadingForm.of("cabinet-air", "degC", 20, Coding.of(INT16, 10)),
            ReadingForm.of("heat-sink", "degC", 21, Coding.of(INT16, 10)),
            ReadingForm.of("fan-speed", "rpm", 22, Coding.of(UINT16, 1, NO_FAN_VALUE)),
            ReadingForm.of("oil-flow", "l/min", 23, Coding.of(UINT16, 100)),
            ReadingForm.of("oil-pressure", "bar", 24, Coding.of(UINT16, 100)),
            ReadingForm.of("supply", "V", 25, Coding.of(UINT16, 100)));

    /** Calibration gas in ppm, noise of an analysis in ppm, in the order of {@link Gas}. */
    private static final double[] CALIBRATION = {500, 500, 50, 500, 500, 500, 2_500};

    private static final double[] SCATTER = {0.3, 0.2, 0.02, 0.2, 0.2, 4, 20};

    private static final List<String> STATUS_BITS = List.of(
            "cabinet-fan-stopped",
            "heat-sink-hot",
            "oil-flow-low",
            "detector-fault",
            "auxiliary-supply-low",
            "calibration-due",
            "service-mode",
            "clock-not-set",
            "analysis-state:0",
            "analysis-state:1",
            "analysis-state:2",
            "status:11",
            "status:12",
            "status:13",
            "self-test-passed",
            "status-valid");

    private final String serialNumber;
    private final int firstCounter;
    private final Transformer transformer;
    private final Cycle analyses;

    /**
     * @param name name of the device in the station
     * @param unit Modbus unit id
     * @param serialNumber up to 16 characters
     * @param firstCounter analyses finished before plant time 0
     * @param firstMinutes how far the running analysis is at plant time 0, minutes
     */
    public GasMonitor(
            String name,
            int unit,
            String serialNumber,
            int firstCounter,
            int firstMinutes,
            Transformer transformer,
            Course course) {
        super(name, unit, course, READINGS, statusBits());
        this.serialNumber = serialNumber;
        this.firstCounter = firstCounter;
        this.transformer = transformer;
        this.analyses = new Cycle(ANALYSIS_MINUTES, firstMinutes, this::analysing, course::faults);
    }

    @Override
    public Nameplate nameplate(long at) {
        return new Nameplate("Harrowbeck Instruments (invented)", "HBG-8", isMoved(at) ? "3.00" : "2.14");
    }

    /** Analyses finished, calibrations among them, 0 to 65535, wraps. */
    public int analysisCounter(long at) {
        return firstCounter + analyses.finished(at) + calibrated(at).size() & 0xFFFF;
    }

    @Override
    public int registerCount() {
        return REGISTERS;
    }

    @Override
    protected double own(String reading, long at) {
        return switch (reading) {
            case "cabinet-air" -> isBoardFailed(at) ? -40 : cabinetAir(at);
            case "heat-sink" -> isBoardFailed(at) ? -40 : cabinetAir(at) + rise(at);
            case "fan-speed" -> fanSpeed(at);
            case "oil-flow" -> flow(at);
            case "oil-pressure" -> pressure(at);
            case "supply" -> supply(at);
            default -> gas(Gas.values()[gasIndex(reading)], reading, at);
        };
    }

    private static int gasIndex(String reading) {
        return Gas.valueOf(reading.toUpperCase(java.util.Locale.ROOT).replace('-', '_'))
                .ordinal();
    }

    private double noise(String reading, long at) {
        return scatter(reading, at, 2 * SECOND);
    }

    private boolean isMoved(long at) {
        return on("firmware-moved-registers", at);
    }

    private boolean isBoardFailed(long at) {
        return on("io-board-failed", at);
    }

    private double cabinetAir(long at) {
        return transformer.ambient(at) + 14 + 0.1 * noise("cabinet-air", at);
    }

    /** Heat sink over cabinet air, K. */
    private double rise(long at) {
        Faults now = faults();
        double more = 30 * now.lag("fan-stopped", name(), at, HEAT_SINK_TIME)
                + 30 * looseConnector(at)
                + 16 * now.ramp("fan-bearing-worn", name(), at, 6 * HOUR)
                + 13 * now.lag("fan-reversed", name(), at, HEAT_SINK_TIME)
                + 28 * now.ramp("inlet-filter-blocked", name(), at, 5 * HOUR)
                + 3 * now.ramp("internal-supply-failing", name(), at, 3 * HOUR);
        return HEALTHY_RISE_K + more + 0.05 * noise("heat-sink", at);
    }

    /** Of a fan that stands 10 minutes of every 40, 0 to 1: the heat sink follows with its time constant. */
    private double looseConnector(long at) {
        long since = faults().sinceBegin("fan-connector-loose", name(), at);
        if (since < 0) {
            return 0;
        }
        double heat = 0;
        for (long begin = Math.max(0, since / (40 * MINUTE) - 3) * 40 * MINUTE; begin <= since; begin += 40 * MINUTE) {
            long end = Math.min(since, begin + 10 * MINUTE);
            heat += (1 - StrictMath.exp(-(end - begin) / (double) HEAT_SINK_TIME))
                    * StrictMath.exp(-(since - end) / (double) HEAT_SINK_TIME);
        }
        return Math.min(1, heat);
    }

    private double fanSpeed(long at) {
        Faults now = faults();
        if (isBoardFailed(at)) {
            return Double.NaN;
        }
        long loose = now.sinceBegin("fan-connector-loose", name(), at);
        if (on("fan-speed-sensor", at) || loose >= 0 && loose % (40 * MINUTE) < 10 * MINUTE) {
            return 0;
        }
        double runsDown = Math.min(1, now.ramp("fan-stopped", name(), at, 3 * SECOND));
        double speed = FAN_RPM * (1 - runsDown)
                - 1_500 * now.ramp("fan-bearing-worn", name(), at, 6 * HOUR)
                + 160 * now.ramp("inlet-filter-blocked", name(), at, 5 * HOUR);
        speed *= supply(at) / SUPPLY_V;
        return runsDown == 1 ? 0 : Math.max(0, speed + 15 * noise("fan-speed", at));
    }

    private double supply(long at) {
        double sag = course().supplySags(name(), at) ? 4.5 : 0;
        return SUPPLY_V
                - sag
                - 4 * Math.min(1.4, faults().ramp("internal-supply-failing", name(), at, 3 * HOUR))
                + (on("sample-pump-stopped", at) ? 0.15 : 0)
                + 0.03 * noise("supply", at);
    }

    private double flow(long at) {
        Faults now = faults();
        if (on("flow-sensor-lost", at)) {
            return 0;
        }
        if (on("oil-valve-shut", at) || on("sample-pump-stopped", at)) {
            return LOST_FLOW;
        }
        if (on("air-in-line", at)) {
            return 0.475 + 0.425 * noise("oil-flow", at);
        }
        double lost = 0.73 * blocked(at) + 0.70 * now.ramp("oil-line-leak", name(), at, 2 * HOUR) + 0.75 * thick(at);
        double flow = (HEALTHY_FLOW - lost) * Math.min(1, supply(at) / SUPPLY_V);
        return Math.max(LOST_FLOW, flow + 0.01 * noise("oil-flow", at));
    }

    private double pressure(long at) {
        Faults now = faults();
        if (on("oil-valve-shut", at)) {
            return 2.60 + 0.01 * noise("oil-pressure", at);
        }
        if (on("sample-pump-stopped", at)) {
            return 0.35 + 0.005 * noise("oil-pressure", at);
        }
        if (on("air-in-line", at)) {
            return 1.2 + 0.7 * noise("oil-pressure", at);
        }
        return HEALTHY_PRESSURE
                + 0.70 * blocked(at)
                - 1.20 * now.ramp("oil-line-leak", name(), at, 2 * HOUR)
                + 0.50 * thick(at)
                + 0.02 * noise("oil-pressure", at);
    }

    /** A line that clogs in four steps over eight hours, 0 to 1. */
    private double blocked(long at) {
        return Math.ceil(4 * Math.min(1, faults().ramp("oil-line-blocked", name(), at, 8 * HOUR))) / 4;
    }

    /** Oil thickened by cold, 0 to 1. */
    private double thick(long at) {
        double cold = Math.max(0, Math.min(1, (-5 - (transformer.ambient(at) + 6)) / 6));
        return on("oil-cold-thick", at) ? cold : 0;
    }

    /** Whether analyses go on at a time; asked by the cycle, minute by minute. */
    private Cycle.Going analysing(long at) {
        long started = course().sinceStart(name(), at);
        boolean oilFlows = on("flow-sensor-lost", at) || meanFlow(at) >= FLOW_LOW_BELOW;
        if (!course().isPowered(name(), at)
                || started >= 0 && started < MINUTE
                || !oilFlows
                || on("service-visit", at)) {
            return Cycle.Going.GIVEN_UP;
        }
        long lost = faults().sinceBegin("clock-lost", name(), at);
        return lost >= 0 && lost < CLOCK_ERROR ? Cycle.Going.STANDS : Cycle.Going.RUNS;
    }

    /** The flow without what only looks so from one reading to the next. */
    private double meanFlow(long at) {
        return on("air-in-line", at) ? 0.475 : flow(at);
    }

    /** Plant times of the analyses of calibration gas up to now. */
    private List<Long> calibrated(long at) {
        List<Long> times = new ArrayList<>();
        for (Injection visit : faults().of("service-visit", name())) {
            long time = visit.fromMillis() + CALIBRATION_AFTER;
            if (time <= at && time <= visit.untilMillis()) {
                times.add(time);
            }
        }
        return times;
    }

    /** Plant time of the last analysis of calibration gas; far in the past when there was none. */
    private long lastCalibration(long at) {
        return calibrated(at).stream().mapToLong(Long::longValue).max().orElse(NEVER);
    }

    private double gas(Gas gas, String reading, long at) {
        long oilAt = analyses.lastEnd(at);
        long calibratedAt = lastCalibration(at);
        long analysedAt = Math.max(oilAt, calibratedAt);
        Faults now = faults();
        long frozenSince = now.sinceBegin("values-frozen", name(), at);
        if (frozenSince >= 0) {
            analysedAt = Math.max(analyses.lastEnd(at - frozenSince), lastCalibration(at - frozenSince));
        }
        if (now.on("detection-cell-failed", name(), analysedAt)) {
            return Double.NaN;
        }
        double scatter = scatter(reading, analysedAt, MINUTE);
        if (analysedAt == lastCalibration(analysedAt)) {
            return CALIBRATION[gas.ordinal()] * (1 + 0.004 * scatter);
        }
        double ppm = transformer.gas(gas, analysedAt);
        if (now.on("air-in-line", name(), analysedAt)) {
            ppm *= 0.6;
        }
        if (now.on("oil-line-leak", name(), analysedAt)) {
            ppm *= flow(analysedAt) / HEALTHY_FLOW;
        }
        ppm *= 1 + 0.6 * now.ramp("detector-drift", name(), analysedAt, 240 * HOUR);
        return Math.max(0, ppm + SCATTER[gas.ordinal()] * scatter);
    }

    @Override
    protected boolean sets(BitForm bit, long at) {
        return switch (bit.number()) {
            case 0 -> value("fan-speed", at) < FAN_STOPPED_BELOW_RPM;
            case 1 -> value("heat-sink", at) - value("cabinet-air", at) > HEAT_SINK_HOT_OVER_K;
            case 2 -> value("oil-flow", at) < FLOW_LOW_BELOW;
            case 3 -> on("detection-cell-failed", at) || isBoardFailed(at);
            case 4 -> value("supply", at) < SUPPLY_LOW_BELOW_V;
            case 5 -> on("calibration-due", at);
            case 6 -> on("service-visit", at) || on("service-left-on", at);
            case 7 -> on("clock-lost", at) || startedWithin(20 * MINUTE, at);
            case 8, 9, 10 -> (analysisState(at) >> (bit.number() - 8) & 1) == 1;
            case 12 -> on("undocumented-bit", at);
            case 14 -> !isBoardFailed(at);
            case 15 -> !startedWithin(8 * MINUTE, at);
            default -> false;
        };
    }

    private boolean startedWithin(long millis, long at) {
        long since = course().sinceStart(name(), at);
        return since >= 0 && since < millis;
    }

    /** 0 idle, 1 filling, 2 separating, 3 measuring, 4 flushing. */
    private int analysisState(long at) {
        int minutes = analyses.progress(at);
        if (analysing(at) != Cycle.Going.RUNS || minutes < 4) {
            return 0;
        }
        if (minutes < 16) {
            return 1;
        }
        if (minutes < 40) {
            return 2;
        }
        return minutes < 52 ? 3 : 4;
    }

    @Override
    protected DeviceImage tables(RegisterWriter registers, long at) {
        bits().forEach(bit -> registers.bit(STATUS_WORD, bit.number(), isSet(bit, at)));
        registers.uint16(ANALYSIS_COUNTER, analysisCounter(at));
        registers.text(SERIAL_NUMBER, 16, serialNumber);
        if (isMoved(at)) {
            registers.moveOneLater(ANALYSIS_COUNTER, LAST_MOVED_REGISTER);
        }
        heldRegisters().forEach(registers::uint16);
        return new DeviceImage(registers.registers(), new short[0], new boolean[0]);
    }

    private static List<BitForm> statusBits() {
        List<BitForm> bits = new ArrayList<>();
        for (String name : STATUS_BITS) {
            bits.add(new BitForm("status", bits.size(), name));
        }
        return bits;
    }
}
