package oilbird.demoplant.device;

import static oilbird.demoplant.device.Coding.Form.FLOAT32_LOW_WORD_FIRST;
import static oilbird.demoplant.device.Coding.Form.INT16;
import static oilbird.demoplant.device.Coding.Form.UINT16;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;

/**
 * The invented gas-in-oil monitor HBG-8 of Harrowbeck Instruments: it draws oil from a transformer, measures the
 * dissolved gases by analyses, and watches its own cabinet.
 *
 * <p>Input registers only (function 04). One analysis takes 15 s, where a real monitor takes hours. Without oil flow no
 * analysis runs: the counter stands and the gases keep their last value.
 */
public final class GasMonitor extends Monitor {
    private static final int REGISTERS = 38;
    private static final int STATUS_WORD = 0;
    private static final int ANALYSIS_COUNTER = 1;
    private static final int SERIAL_NUMBER = 30;

    private static final int ANALYSIS_MILLIS = 15_000;
    private static final double NO_GAS_VALUE = -9999.0;
    private static final double NO_FAN_VALUE = 0xFFFF;

    private static final double FAN_RUNNING_RPM = 2_400;
    private static final double FAN_STOPPED_BELOW_RPM = 100;
    private static final double HEALTHY_RISE_K = 6;
    private static final double HOT_RISE_K = 35;
    private static final double HEAT_SINK_HOT_OVER_K = 30;
    private static final double HEALTHY_FLOW = 0.85;
    private static final double LOST_FLOW = 0.02;
    private static final double FLOW_LOW_BELOW = 0.20;
    private static final double SUPPLY_LOW_BELOW_V = 11.0;

    private static final Coding GAS = Coding.of(FLOAT32_LOW_WORD_FIRST, 1, NO_GAS_VALUE);

    private static final List<ReadingForm> READINGS = List.of(
            new ReadingForm("hydrogen", "ppm", 2, GAS),
            new ReadingForm("methane", "ppm", 4, GAS),
            new ReadingForm("acetylene", "ppm", 6, GAS),
            new ReadingForm("ethylene", "ppm", 8, GAS),
            new ReadingForm("ethane", "ppm", 10, GAS),
            new ReadingForm("carbon-monoxide", "ppm", 12, GAS),
            new ReadingForm("carbon-dioxide", "ppm", 14, GAS),
            new ReadingForm("cabinet-air", "degC", 20, Coding.of(INT16, 10)),
            new ReadingForm("heat-sink", "degC", 21, Coding.of(INT16, 10)),
            new ReadingForm("fan-speed", "rpm", 22, Coding.of(UINT16, 1, NO_FAN_VALUE)),
            new ReadingForm("oil-flow", "l/min", 23, Coding.of(UINT16, 100)),
            new ReadingForm("oil-pressure", "bar", 24, Coding.of(UINT16, 100)),
            new ReadingForm("supply", "V", 25, Coding.of(UINT16, 100)));

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
    private final double healthyHydrogen;
    private final int firstCounter;
    private final int firstAnalysisMillis;

    private double hydrogen;
    private double methane;
    private double hydrogenTarget;
    private double methaneTarget;
    private double hydrogenStep;
    private double methaneStep;
    private double fan;
    private double fanTarget;
    private double rise;
    private double riseTarget;
    private double flow;
    private double flowTarget;
    private int analysisMillis;
    private int counter;

    /**
     * @param name name of the device in the station
     * @param unit Modbus unit id
     * @param serialNumber up to 16 characters
     * @param healthyHydrogen hydrogen in the oil at the start, ppm
     * @param firstCounter analyses finished before the start
     * @param firstAnalysisMillis how far the running analysis is at the start, milliseconds
     * @param seed seed of the noise
     */
    public GasMonitor(
            String name,
            int unit,
            String serialNumber,
            double healthyHydrogen,
            int firstCounter,
            int firstAnalysisMillis,
            long seed) {
        super(
                name,
                unit,
                new Nameplate("Harrowbeck Instruments (invented)", "HBG-8", "2.14"),
                READINGS,
                statusBits(),
                seed);
        this.serialNumber = serialNumber;
        this.healthyHydrogen = healthyHydrogen;
        this.firstCounter = firstCounter;
        this.firstAnalysisMillis = firstAnalysisMillis;
        healthy();
    }

    /** The cabinet fan runs down within 3 s and the heat sink grows hot within 25 s. */
    public synchronized void stopFan() {
        fanTarget = 0;
        riseTarget = HOT_RISE_K;
    }

    /** The cabinet fan runs up again and the heat sink cools. */
    public synchronized void startFan() {
        fanTarget = FAN_RUNNING_RPM;
        riseTarget = HEALTHY_RISE_K;
    }

    /** Oil stops flowing through the gas cell; the running analysis is given up. */
    public synchronized void loseOilFlow() {
        flowTarget = LOST_FLOW;
        flow = LOST_FLOW;
    }

    /** Oil flows again and a fresh analysis begins. */
    public synchronized void restoreOilFlow() {
        flowTarget = HEALTHY_FLOW;
    }

    /**
     * Hydrogen really rises in the oil, evenly, and methane a little with it; acetylene stays.
     *
     * @param toHydrogen hydrogen at the end, ppm
     * @param toMethane methane at the end, ppm
     * @param millis how long the rise takes
     */
    public synchronized void riseHydrogen(double toHydrogen, double toMethane, int millis) {
        hydrogenTarget = toHydrogen;
        methaneTarget = toMethane;
        hydrogenStep = Math.abs(toHydrogen - hydrogen) * TICK_MILLIS / millis;
        methaneStep = Math.abs(toMethane - methane) * TICK_MILLIS / millis;
    }

    /** Analyses finished, 0 to 65535, wraps. */
    public synchronized int analysisCounter() {
        return counter;
    }

    @Override
    public int registerCount() {
        return REGISTERS;
    }

    @Override
    protected void healthy() {
        hydrogen = healthyHydrogen;
        hydrogenTarget = hydrogen;
        methane = 12;
        methaneTarget = methane;
        fan = FAN_RUNNING_RPM;
        fanTarget = fan;
        rise = HEALTHY_RISE_K;
        riseTarget = rise;
        flow = HEALTHY_FLOW;
        flowTarget = flow;
        analysisMillis = firstAnalysisMillis;
        counter = firstCounter;
        publishGases();
        publishCabinet();
    }

    @Override
    protected void live() {
        hydrogen = towards(hydrogen, hydrogenTarget, hydrogenStep);
        methane = towards(methane, methaneTarget, methaneStep);
        fan = towards(fan, fanTarget, FAN_RUNNING_RPM * TICK_MILLIS / 3_000.0);
        rise = towards(rise, riseTarget, (HOT_RISE_K - HEALTHY_RISE_K) * TICK_MILLIS / 25_000.0);
        flow = towards(flow, flowTarget, HEALTHY_FLOW * TICK_MILLIS / 2_000.0);
        publishCabinet();
        analyse();
    }

    private void analyse() {
        if (value("oil-flow") < FLOW_LOW_BELOW) {
            analysisMillis = 0;
            return;
        }
        analysisMillis += TICK_MILLIS;
        if (analysisMillis >= ANALYSIS_MILLIS) {
            analysisMillis = 0;
            counter = counter + 1 & 0xFFFF;
            publishGases();
        }
    }

    private void publishGases() {
        own("hydrogen", hydrogen + noise(0.3));
        own("methane", methane + noise(0.2));
        own("acetylene", 0.4 + noise(0.02));
        own("ethylene", 6.0 + noise(0.2));
        own("ethane", 9.0 + noise(0.2));
        own("carbon-monoxide", 310 + noise(4));
        own("carbon-dioxide", 2_150 + noise(20));
    }

    private void publishCabinet() {
        double air = 27.5 + noise(0.1);
        own("cabinet-air", air);
        own("heat-sink", air + rise);
        own("fan-speed", fan == 0 ? 0 : Math.max(0, fan + noise(15)));
        own("oil-flow", flow == LOST_FLOW ? LOST_FLOW : Math.max(0, flow + noise(0.01)));
        own("oil-pressure", flow < FLOW_LOW_BELOW ? 0.35 : 1.80 + noise(0.02));
        own("supply", 24.0 + noise(0.05));
    }

    @Override
    protected boolean sets(BitForm bit) {
        return switch (bit.number()) {
            case 0 -> value("fan-speed") < FAN_STOPPED_BELOW_RPM;
            case 1 -> value("heat-sink") - value("cabinet-air") > HEAT_SINK_HOT_OVER_K;
            case 2 -> value("oil-flow") < FLOW_LOW_BELOW;
            case 4 -> value("supply") < SUPPLY_LOW_BELOW_V;
            case 8, 9, 10 -> (analysisState() >> (bit.number() - 8) & 1) == 1;
            case 14, 15 -> true;
            default -> false;
        };
    }

    /** 0 idle, 1 filling, 2 separating, 3 measuring, 4 flushing. */
    private int analysisState() {
        if (value("oil-flow") < FLOW_LOW_BELOW || analysisMillis < 1_000) {
            return 0;
        }
        if (analysisMillis < 4_000) {
            return 1;
        }
        if (analysisMillis < 10_000) {
            return 2;
        }
        return analysisMillis < 13_000 ? 3 : 4;
    }

    @Override
    protected DeviceImage tables(RegisterWriter registers, Map<Integer, Integer> heldRegisters) {
        bits().forEach(bit -> registers.bit(STATUS_WORD, bit.number(), isSet(bit)));
        registers.uint16(ANALYSIS_COUNTER, counter);
        registers.text(SERIAL_NUMBER, 16, serialNumber);
        heldRegisters.forEach(registers::uint16);
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
