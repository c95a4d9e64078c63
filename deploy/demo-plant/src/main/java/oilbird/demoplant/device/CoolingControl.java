package oilbird.demoplant.device;

import static oilbird.demoplant.device.Coding.Form.INT16;
import static oilbird.demoplant.device.Coding.Form.UINT16;
import static oilbird.demoplant.device.Coding.Form.UINT32_HIGH_WORD_FIRST;

import java.util.ArrayList;
import java.util.List;
import oilbird.demoplant.course.Course;
import oilbird.demoplant.course.Noise;
import oilbird.demoplant.course.Transformer;

/**
 * The invented cooling control TCC-4 of Tarnside Controls: it runs two fan groups and a pump and measures the
 * transformer's temperatures.
 *
 * <p>Discrete inputs (function 02) and holding registers (function 03), one of them an alarm word.
 */
public final class CoolingControl extends RegisterMonitor {
    private static final int REGISTERS = 11;
    private static final int ALARM_WORD = 6;
    private static final int LAST_MOVED_REGISTER = 9;

    private static final long SECOND = 1_000;
    private static final long HOUR = 3_600 * SECOND;
    private static final long DAY = 24 * HOUR;

    private static final double NO_TEMPERATURE = -32_768;
    private static final double FULL_SCALE_AMPERE = 1_200;
    private static final double GROUP_AMPERE = 12.0;
    private static final double PUMP_AMPERE = 8.5;
    private static final double WINDING_CONTACT_ABOVE = 98;
    private static final double OIL_CONTACT_ABOVE = 80;

    private static final List<ReadingForm> READINGS = List.of(
            ReadingForm.of("top-oil", "degC", 0, Coding.of(INT16, 10, NO_TEMPERATURE)),
            ReadingForm.of("winding", "degC", 1, Coding.of(INT16, 10, NO_TEMPERATURE)),
            ReadingForm.of("ambient", "degC", 2, Coding.of(INT16, 10)),
            ReadingForm.of("load-input", "mA", 3, Coding.of(UINT16, 1_000)),
            ReadingForm.of("fan-group-1-hours", "h", 4, Coding.of(UINT32_HIGH_WORD_FIRST, 1)),
            ReadingForm.of("fan-group-1-current", "A", 7, Coding.of(UINT16, 100)),
            ReadingForm.of("fan-group-2-current", "A", 8, Coding.of(UINT16, 100)),
            ReadingForm.of("pump-current", "A", 9, Coding.of(UINT16, 100)));

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

    private final double firstFanHours;
    private final Noise contact;
    private final Transformer transformer;

    /**
     * @param name name of the device in the station
     * @param unit Modbus unit id
     * @param firstFanHours running hours of fan group 1 at plant time 0
     */
    public CoolingControl(String name, int unit, double firstFanHours, Transformer transformer, Course course) {
        super(name, unit, course, READINGS, bitForms());
        this.firstFanHours = firstFanHours;
        this.contact = new Noise(course.seed(), name + "/vibration-contact");
        this.transformer = transformer;
    }

    @Override
    public Nameplate nameplate(long at) {
        return new Nameplate(
                "Tarnside Controls (invented)", "TCC-4", on("firmware-moved-registers", at) ? "2.00" : "1.07");
    }

    @Override
    public int registerCount() {
        return REGISTERS;
    }

    private double noise(String reading, long at) {
        return scatter(reading, at, 2 * SECOND);
    }

    @Override
    protected double own(String reading, long at) {
        double low = on("control-voltage-low", at) ? 7 : 0;
        return switch (reading) {
            case "top-oil" -> topOil(at, low);
            case "winding" ->
                on("winding-input-saturated", at) ? 180 : transformer.winding(at) - low + 0.15 * noise(reading, at);
            case "ambient" -> transformer.ambient(at) - low + 0.1 * noise(reading, at);
            case "load-input" -> loadInput(at);
            case "fan-group-1-hours" -> Math.floor(firstFanHours + transformer.fanHours(at));
            case "fan-group-1-current" -> groupCurrent(1, at);
            case "fan-group-2-current" -> groupCurrent(2, at);
            case "pump-current" -> pumpCurrent(at);
            default -> throw new IllegalArgumentException(name() + " has no reading " + reading);
        };
    }

    private double topOil(long at, double low) {
        if (on("top-oil-sensor-open", at)) {
            return Double.NaN;
        }
        long shownAt = faults().heldAt("top-oil-sensor-frozen", name(), at);
        return transformer.topOil(shownAt)
                - low
                - 12 * faults().ramp("top-oil-sensor-drift", name(), at, 3 * DAY)
                + 0.1 * noise("top-oil", shownAt);
    }

    private double loadInput(long at) {
        if (on("load-input-open", at)) {
            return 0;
        }
        if (on("load-input-saturated", at)) {
            return 21.6;
        }
        double shown = on("load-input-low", at) ? 0.6 : on("control-voltage-low", at) ? 0.94 : 1;
        return 4 + 16 * shown * transformer.loadAmpere(at) / FULL_SCALE_AMPERE + 0.01 * noise("load-input", at);
    }

    private double groupCurrent(int group, long at) {
        if (!transformer.fansRun(group, at)) {
            return 0;
        }
        double deadFan = group == 1 ? 0.25 * Math.min(1, faults().strength("one-fan-of-group-1-dead", name(), at)) : 0;
        double reversed = on("fans-reversed", at) ? 1.08 : 1;
        return GROUP_AMPERE * (1 - deadFan) * reversed + 0.08 * noise("fan-group-" + group + "-current", at);
    }

    private double pumpCurrent(long at) {
        if (!transformer.pumpRuns(at)) {
            return 0;
        }
        double ampere = on("pump-valve-shut", at) ? 5.6 : on("pump-reversed", at) ? 9.6 : PUMP_AMPERE;
        return ampere + 0.06 * noise("pump-current", at);
    }

    @Override
    protected boolean sets(BitForm bit, long at) {
        boolean bothSupplies = on("cooling-supply-lost", at);
        return switch (bit.name()) {
            case "fan-group-1-running" -> transformer.fansRun(1, at) && !on("running-contact-broken", at);
            case "fan-group-2-running" -> transformer.fansRun(2, at);
            case "pump-running" -> transformer.pumpRuns(at);
            case "fan-group-1-tripped" -> on("fan-group-1-motor", at);
            case "fan-group-2-tripped" -> on("fan-group-2-motor", at);
            case "pump-tripped" -> on("pump-motor", at);
            case "supply-a-lost" -> bothSupplies || on("supply-a-lost", at);
            case "supply-b-lost" -> bothSupplies || on("supply-b-lost", at);
            case "remote-control" -> !on("left-in-manual", at);
            case "manual-mode" -> on("left-in-manual", at);
            case "winding-temperature-contact" -> transformer.winding(at) > WINDING_CONTACT_ABOVE;
            case "oil-temperature-contact" -> transformer.topOil(at) > OIL_CONTACT_ABOVE;
            case "fan-vibration" -> vibrates(at);
            case "control-voltage-low" -> on("control-voltage-low", at) || course().supplySags(name(), at);
            case "oil-pump-flow-low" ->
                !transformer.pumpRuns(at) || on("pump-valve-shut", at) || on("pump-reversed", at);
            default -> false;
        };
    }

    private boolean vibrates(long at) {
        // A loose contact makes and breaks as it likes, whether the fans turn or not.
        return on("fan-vibration", at) && transformer.fansRun(1, at)
                || on("vibration-switch-loose", at) && contact.step(at, 20 * SECOND) > -0.3;
    }

    @Override
    protected DeviceImage tables(RegisterWriter registers, long at) {
        boolean[] inputs = new boolean[INPUT_BITS.size()];
        for (BitForm bit : bits()) {
            if (bit.word().equals("input")) {
                inputs[bit.number()] = isSet(bit, at);
            } else {
                registers.bit(ALARM_WORD, bit.number(), isSet(bit, at));
            }
        }
        if (on("firmware-moved-registers", at)) {
            registers.moveOneLater(0, LAST_MOVED_REGISTER);
        }
        heldRegisters().forEach(registers::uint16);
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
