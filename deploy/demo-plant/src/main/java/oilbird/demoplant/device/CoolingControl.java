package oilbird.demoplant.device;

import static oilbird.demoplant.device.Coding.Form.INT16;
import static oilbird.demoplant.device.Coding.Form.UINT16;
import static oilbird.demoplant.device.Coding.Form.UINT32_HIGH_WORD_FIRST;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;

/**
 * The invented cooling control TCC-4 of Tarnside Controls: it runs two fan groups and a pump and measures the
 * transformer's temperatures.
 *
 * <p>Discrete inputs (function 02) and holding registers (function 03), one of them an alarm word.
 */
public final class CoolingControl extends Monitor {
    private static final int REGISTERS = 7;
    private static final int ALARM_WORD = 6;
    private static final double NO_TEMPERATURE = -32_768;
    private static final double FULL_SCALE_AMPERE = 1_200;

    private static final List<ReadingForm> READINGS = List.of(
            new ReadingForm("top-oil", "degC", 0, Coding.of(INT16, 10, NO_TEMPERATURE)),
            new ReadingForm("winding", "degC", 1, Coding.of(INT16, 10, NO_TEMPERATURE)),
            new ReadingForm("ambient", "degC", 2, Coding.of(INT16, 10)),
            new ReadingForm("load-input", "mA", 3, Coding.of(UINT16, 1_000)),
            new ReadingForm("fan-group-1-hours", "h", 4, Coding.of(UINT32_HIGH_WORD_FIRST, 1)));

    private static final List<String> INPUT_BITS = List.of(
            "fan-group-1-running",
            "fan-group-2-running",
            "pump-running",
            "fan-group-1-tripped",
            "fan-group-2-tripped",
            "pump-tripped",
            "supply-a-lost",
            "supply-b-lost",
            "remote-control",
            "manual-mode",
            "winding-temperature-contact",
            "oil-temperature-contact",
            "input:12",
            "input:13",
            "input:14",
            "input:15");

    private static final List<String> ALARM_BITS = List.of("fan-vibration", "control-voltage-low", "oil-pump-flow-low");

    private final double loadAmpere;
    private final double firstFanHours;

    private double fanHours;
    private int flapPeriodMillis;
    private int flapLeftMillis;
    private int flapMillis;
    private boolean vibration;

    /**
     * @param name name of the device in the station
     * @param unit Modbus unit id
     * @param loadAmpere load current, A
     * @param firstFanHours running hours of fan group 1 at the start
     * @param seed seed of the noise
     */
    public CoolingControl(String name, int unit, double loadAmpere, double firstFanHours, long seed) {
        super(name, unit, new Nameplate("Tarnside Controls (invented)", "TCC-4", "1.07"), READINGS, bitForms(), seed);
        this.loadAmpere = loadAmpere;
        this.firstFanHours = firstFanHours;
        healthy();
    }

    /**
     * The fan-vibration bit changes every {@code periodMillis} for {@code millis}, then stays off.
     *
     * @param periodMillis time between two changes, a multiple of the tick
     * @param millis how long it goes on
     */
    public synchronized void flapVibration(int periodMillis, int millis) {
        flapPeriodMillis = periodMillis;
        flapLeftMillis = millis;
        flapMillis = 0;
        vibration = true;
    }

    @Override
    public int registerCount() {
        return REGISTERS;
    }

    @Override
    protected void healthy() {
        fanHours = firstFanHours;
        flapLeftMillis = 0;
        vibration = false;
        publish();
    }

    @Override
    protected void live() {
        fanHours += TICK_MILLIS / 3_600_000.0;
        if (flapLeftMillis > 0) {
            flapLeftMillis -= TICK_MILLIS;
            flapMillis += TICK_MILLIS;
            if (flapMillis >= flapPeriodMillis) {
                flapMillis = 0;
                vibration = !vibration;
            }
            if (flapLeftMillis <= 0) {
                vibration = false;
            }
        }
        publish();
    }

    private void publish() {
        own("top-oil", 58.0 + noise(0.1));
        own("winding", 66.5 + noise(0.2));
        own("ambient", 14.0 + noise(0.1));
        own("load-input", 4 + 16 * loadAmpere / FULL_SCALE_AMPERE + noise(0.01));
        own("fan-group-1-hours", Math.floor(fanHours));
    }

    @Override
    protected boolean sets(BitForm bit) {
        return switch (bit.name()) {
            case "fan-group-1-running", "pump-running", "remote-control" -> true;
            case "fan-vibration" -> vibration;
            default -> false;
        };
    }

    @Override
    protected DeviceImage tables(RegisterWriter registers, Map<Integer, Integer> heldRegisters) {
        boolean[] inputs = new boolean[INPUT_BITS.size()];
        for (BitForm bit : bits()) {
            if (bit.word().equals("input")) {
                inputs[bit.number()] = isSet(bit);
            } else {
                registers.bit(ALARM_WORD, bit.number(), isSet(bit));
            }
        }
        heldRegisters.forEach(registers::uint16);
        return new DeviceImage(new short[0], registers.registers(), inputs);
    }

    private static List<BitForm> bitForms() {
        List<BitForm> bits = new ArrayList<>();
        for (String name : INPUT_BITS) {
            bits.add(new BitForm("input", bits.size(), name));
        }
        for (int i = 0; i < 16; i++) {
            bits.add(new BitForm("alarm", i, i < ALARM_BITS.size() ? ALARM_BITS.get(i) : "alarm:" + i));
        }
        return bits;
    }
}
