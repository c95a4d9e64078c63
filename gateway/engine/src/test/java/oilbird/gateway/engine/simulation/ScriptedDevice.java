package oilbird.gateway.engine.simulation;

import java.util.SplittableRandom;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.RuleInstance;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;

/**
 * A monitor of the demo station as it is on the wire. It encodes its registers by itself, by the invented register
 * lists, and knows the truth that it encodes.
 */
final class ScriptedDevice {
    /** Invented gas monitor HBG-8: status bits of word A that make gas readings doubtful or worthless. */
    private static final int DOUBTING = 1 << 1 | 1 << 2 | 1 << 3 | 1 << 4 | 1 << 6;

    /** Parts per million of every gas in the calibration gas; plausible, and in no other answer of a simulation. */
    static final float CALIBRATION_GAS = 7_777;

    private final String id;
    private final boolean gasMonitor;
    private final SplittableRandom random;

    private int status;
    private boolean selfTestFailed;
    private boolean statusValid = true;
    private int contacts;
    private int alarmWord;
    private float hydrogen = 20;
    private int counter = 1;
    private int heatSink = 275;
    private int topOil = 500;
    private boolean noValues;
    private boolean calibrating;

    ScriptedDevice(String id, boolean gasMonitor, SplittableRandom random) {
        this.id = id;
        this.gasMonitor = gasMonitor;
        this.random = random;
    }

    String id() {
        return id;
    }

    /** The oil goes round and an analysis is finished. */
    void analyse() {
        if ((status & 1 << 2) == 0) {
            counter = (counter + 1) & 0xFFFF;
        }
    }

    /**
     * Calibration gas goes through a gas monitor, or oil again: each is analysed at once.
     *
     * @param on calibration gas, whose hydrogen is a value that the oil never has.
     */
    void calibrate(boolean on) {
        if (gasMonitor && calibrating != on) {
            calibrating = on;
            counter = (counter + 1) & 0xFFFF;
        }
    }

    boolean calibrating() {
        return calibrating;
    }

    /** Something happens in the plant. */
    void change() {
        if (gasMonitor) {
            switch (random.nextInt(10)) {
                case 0, 1, 2 -> status ^= 1 << random.nextInt(8);
                case 3 -> selfTestFailed = !selfTestFailed;
                case 4 -> statusValid = !statusValid;
                case 5 -> status ^= 1 << 12; // nobody documented this one
                case 6, 7 -> hydrogen = new float[] {20, 95, 120, 1_200, -9999, Float.NaN}[random.nextInt(6)];
                case 8 -> heatSink = new int[] {275, 440, 450, 480, 700, 5_000}[random.nextInt(6)];
                default -> noValues = !noValues;
            }
        } else {
            switch (random.nextInt(6)) {
                case 0, 1, 2 -> contacts ^= 1 << random.nextInt(12);
                case 3 -> alarmWord ^= 1 << random.nextInt(4);
                default -> topOil = new int[] {500, 840, 860, 970, -32768, 9_000}[random.nextInt(6)];
            }
        }
    }

    /** From now on everything can be told and nothing is doubtful; what is wrong with the plant stays as it is. */
    void settle() {
        status &= ~DOUBTING;
        alarmWord &= 1;
        statusValid = true;
        selfTestFailed = false;
        noValues = false;
        hydrogen = new float[] {20, 150, 1_200}[random.nextInt(3)];
        heatSink = random.nextBoolean() ? 275 : 600;
        topOil = new int[] {500, 900, 970}[random.nextInt(3)];
    }

    void setFan(boolean stopped) {
        status = stopped ? status | 1 : status & ~1;
    }

    void setUndocumentedBit() {
        status |= 1 << 12;
    }

    void setHydrogen(float ppm) {
        hydrogen = ppm;
    }

    void setServiceMode(boolean on) {
        status = on ? status | 1 << 6 : status & ~(1 << 6);
    }

    /** Whether the alarm ought to be active, once the device was {@link #settle() settled} for long enough. */
    boolean ought(RuleInstance rule) {
        if (rule.condition() instanceof Condition.IndicationIs is) {
            return bit(is.indication().name()) == is.holds();
        }
        if (rule.condition() instanceof Condition.Level level) {
            double value = switch (level.reading().name()) {
                case "hydrogen" -> hydrogen;
                case "heat-sink-temperature" -> (heatSink - 215) / 10.0;
                case "top-oil-temperature" -> topOil / 10.0;
                default -> throw new IllegalStateException("the scripted device does not know " + level.reading());
            };
            return value >= level.limits().get(0).value();
        }
        return false; // it answers, and it analyses
    }

    private boolean bit(String indication) {
        return switch (indication) {
            case "cabinet-fan-stopped" -> (status & 1) != 0;
            case "heat-sink-hot" -> (status & 1 << 1) != 0;
            case "oil-flow-low" -> (status & 1 << 2) != 0;
            case "detector-fault" -> (status & 1 << 3) != 0;
            case "auxiliary-supply-low" -> (status & 1 << 4) != 0;
            case "self-test-failed" -> selfTestFailed;
            case "fan-group-1-tripped" -> (contacts & 1 << 3) != 0;
            case "fan-group-2-tripped" -> (contacts & 1 << 4) != 0;
            case "pump-tripped" -> (contacts & 1 << 5) != 0;
            case "winding-temperature-contact" -> (contacts & 1 << 10) != 0;
            case "fan-vibration" -> (alarmWord & 1) != 0;
            default -> throw new IllegalStateException("the scripted device does not know " + indication);
        };
    }

    /** What the device answers to a request now. */
    RawBlock answer(ReadBlock block) {
        int[] cells = new int[block.count()];
        for (int i = 0; i < cells.length; i++) {
            cells[i] = gasMonitor ? gas(block.start() + i) : cooling(block.table(), block.start() + i);
        }
        return new RawBlock(block, cells);
    }

    private int gas(int register) {
        if (register >= 2 && register < 16) {
            float ppm = calibrating ? CALIBRATION_GAS : register < 4 ? hydrogen : noValues ? -9999 : 20;
            int bits = Float.floatToIntBits(ppm);
            return register % 2 == 0 ? bits & 0xFFFF : bits >>> 16; // low word first
        }
        return switch (register) {
            case 0 -> status | (selfTestFailed ? 0 : 1 << 14) | (statusValid ? 1 << 15 : 0);
            case 1 -> counter;
            case 20 -> 215;
            case 21 -> heatSink;
            case 22 -> 2_400;
            case 23 -> 120;
            case 24 -> 110;
            case 25 -> 2_400;
            default -> 0x3030;
        };
    }

    private int cooling(ModbusTable table, int address) {
        if (table.bits()) {
            return contacts >> address & 1;
        }
        return switch (address) {
            case 0 -> topOil & 0xFFFF;
            case 1 -> 600;
            case 2 -> 200;
            case 3 -> 12_000;
            case 6 -> alarmWord;
            default -> 0;
        };
    }
}
