package oilbird.demoplant.device;

import static oilbird.demoplant.device.Coding.Form.INT16;
import static oilbird.demoplant.device.Coding.Form.UINT16;
import static oilbird.demoplant.device.Coding.Form.UINT32_HIGH_WORD_FIRST;

import java.util.ArrayList;
import java.util.List;
import oilbird.demoplant.course.Course;
import oilbird.demoplant.course.Transformer;

/**
 * The invented tap changer monitor CWT-5 of Coldwick Drives: position and operations, motor current and duration of the
 * last operation, and the oil temperatures of the selector compartment and of the tank beside it.
 *
 * <p>Holding registers only (function 03).
 */
public final class TapChangerMonitor extends RegisterMonitor {
    private static final int REGISTERS = 22;
    private static final int STATUS_WORD = 0;
    private static final int SERIAL_NUMBER = 14;
    private static final int FIRST_OPERATIONS = 48_215;

    private static final long SECOND = 1_000;
    private static final long MINUTE = 60 * SECOND;
    private static final long HOUR = 60 * MINUTE;
    private static final long DAY = 24 * HOUR;
    private static final long LOST_CLOCK_STARTS_AT = 946_684_800;

    private static final double NO_POSITION = 0xFFFF;
    private static final double DURATION = 5.20;
    private static final double SLOW_ABOVE = 6.50;
    private static final double CURRENT = 2.40;
    private static final double CURRENT_HIGH_ABOVE = 3.50;
    private static final double PEAK = 6.2;
    private static final double INCOMPLETE_AFTER_MILLIS = 20 * SECOND;
    private static final double SELECTOR_HOT_OVER_K = 5;

    private static final List<ReadingForm> READINGS = List.of(
            ReadingForm.of("tap-position", "", 1, Coding.of(UINT16, 1, NO_POSITION)),
            ReadingForm.of("operations", "", 2, Coding.of(UINT32_HIGH_WORD_FIRST, 1)),
            ReadingForm.of("motor-current-peak", "A", 4, Coding.of(UINT16, 100)),
            ReadingForm.of("motor-current", "A", 5, Coding.of(UINT16, 100)),
            ReadingForm.of("drive-duration", "s", 6, Coding.of(UINT16, 100)),
            ReadingForm.of("selector-oil-temperature", "degC", 7, Coding.of(INT16, 10)),
            ReadingForm.of("tank-oil-temperature", "degC", 8, Coding.of(INT16, 10)),
            ReadingForm.of("drive-supply", "V", 9, Coding.of(UINT16, 10)),
            ReadingForm.of("operation-running", "s", 10, Coding.of(UINT16, 10)),
            ReadingForm.of("device-time", "s", 12, Coding.of(UINT32_HIGH_WORD_FIRST, 1)));

    private static final List<String> STATUS_BITS = List.of(
            "tap-change-in-progress",
            "tap-change-incomplete",
            "drive-protection-tripped",
            "drive-supply-lost",
            "position-unknown",
            "end-position",
            "local-control",
            "hand-crank-engaged",
            "selector-oil-hot",
            "oil-filter-blocked",
            "drive-slow",
            "motor-current-high",
            "clock-not-set",
            "status:13",
            "status:14",
            "status-valid");

    private final String serialNumber;
    private final Transformer transformer;

    /**
     * @param name name of the device in the station
     * @param unit Modbus unit id
     * @param serialNumber up to 16 characters
     */
    public TapChangerMonitor(String name, int unit, String serialNumber, Transformer transformer, Course course) {
        super(name, unit, course, READINGS, statusBits());
        this.serialNumber = serialNumber;
        this.transformer = transformer;
    }

    @Override
    public Nameplate nameplate(long at) {
        return new Nameplate("Coldwick Drives (invented)", "CWT-5", "1.12");
    }

    @Override
    public int registerCount() {
        return REGISTERS;
    }

    private boolean isIncomplete(long at) {
        return faults().on("tap-change-incomplete", transformer.id(), at);
    }

    private double noise(String reading, long at) {
        return scatter(reading, at, 2 * SECOND);
    }

    /** Noise of the last operation's values, which stand until the next one. */
    private double noiseOfOperation(String reading, long at) {
        return scatter(reading, transformer.operations(at));
    }

    @Override
    protected double own(String reading, long at) {
        return switch (reading) {
            case "tap-position" -> isUnknown(at) ? Double.NaN : transformer.tapPosition(at);
            case "operations" -> FIRST_OPERATIONS + transformer.operations(at);
            case "motor-current-peak" -> peak(at);
            case "motor-current" -> current(at);
            case "drive-duration" -> duration(at);
            case "selector-oil-temperature" -> selectorOil(at);
            case "tank-oil-temperature" -> transformer.topOil(at) - 2 + 0.1 * noise(reading, at);
            case "drive-supply" -> on("drive-supply-lost", at) ? 0 : 230 + 1.5 * noise(reading, at);
            case "operation-running" -> Math.min(6_000, Math.max(0, transformer.operationRunning(at) / 1_000.0));
            case "device-time" -> deviceSeconds(at);
            default -> throw new IllegalArgumentException(name() + " has no reading " + reading);
        };
    }

    private boolean isUnknown(long at) {
        return on("position-sensor-lost", at) || isIncomplete(at);
    }

    private double stiff(long at) {
        return Math.min(1.5, faults().ramp("drive-stiff", name(), at, 3 * DAY));
    }

    private double peak(long at) {
        return PEAK + 3.3 * stiff(at) + 0.15 * noiseOfOperation("motor-current-peak", at);
    }

    private double current(long at) {
        if (isIncomplete(at)) {
            return 0.90;
        }
        double base = on("drive-shaft-broken", at) ? 1.10 : CURRENT + 1.60 * stiff(at);
        return base + 0.04 * noiseOfOperation("motor-current", at);
    }

    private double duration(long at) {
        double base = on("drive-shaft-broken", at) ? 4.90 : DURATION;
        return base
                + 1.70 * Math.min(1.5, faults().ramp("drive-brake-worn", name(), at, 3 * DAY))
                + 0.70 * stiff(at)
                + 0.04 * noiseOfOperation("drive-duration", at);
    }

    private double selectorOil(long at) {
        double contacts = Math.min(1.5, faults().ramp("selector-contacts-hot", transformer.id(), at, 2 * DAY));
        double load = transformer.load(at);
        return transformer.topOil(at)
                - 7
                + contacts * (7 + 17 * load * load)
                + 14 * Math.min(1.5, faults().ramp("selector-sensor-drift", name(), at, 2 * DAY))
                + 0.1 * noise("selector-oil-temperature", at);
    }

    private double deviceSeconds(long at) {
        long lost = faults().sinceBegin("clock-lost", name(), at);
        return lost >= 0 ? LOST_CLOCK_STARTS_AT + lost / SECOND : Math.floorDiv(course().startMillis() + at, SECOND);
    }

    @Override
    protected boolean sets(BitForm bit, long at) {
        return switch (bit.number()) {
            case 0 -> transformer.operationRunning(at) >= 0;
            case 1 -> transformer.operationRunning(at) > INCOMPLETE_AFTER_MILLIS;
            case 2 -> on("drive-protection-tripped", at);
            case 3 -> on("drive-supply-lost", at);
            case 4 -> isUnknown(at);
            case 5 -> transformer.tapPosition(at) <= 1 || transformer.tapPosition(at) >= 17;
            case 6, 7 -> on("hand-crank-left-in", at);
            case 8 -> value("selector-oil-temperature", at) - value("tank-oil-temperature", at) > SELECTOR_HOT_OVER_K;
            case 9 -> on("oil-filter-blocked", at);
            case 10 -> value("drive-duration", at) > SLOW_ABOVE;
            case 11 -> value("motor-current", at) > CURRENT_HIGH_ABOVE;
            case 12 -> on("clock-lost", at);
            case 15 -> !testsItself(at);
            default -> false;
        };
    }

    private boolean testsItself(long at) {
        long since = course().sinceStart(name(), at);
        return since >= 0 && since < 5 * MINUTE;
    }

    @Override
    protected DeviceImage tables(RegisterWriter registers, long at) {
        bits().forEach(bit -> registers.bit(STATUS_WORD, bit.number(), isSet(bit, at)));
        registers.text(SERIAL_NUMBER, 16, serialNumber);
        heldRegisters().forEach(registers::uint16);
        return new DeviceImage(new short[0], registers.registers(), new boolean[0]);
    }

    private static List<BitForm> statusBits() {
        List<BitForm> bits = new ArrayList<>();
        for (String name : STATUS_BITS) {
            bits.add(new BitForm("status", bits.size(), name));
        }
        return bits;
    }
}
