package oilbird.demoplant.device;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.SplittableRandom;
import org.jspecify.annotations.Nullable;

/**
 * One invented monitor: it moves its measured values on at each tick, sets its own bits from them, and can be told from
 * outside to hold a reading, a bit or a register.
 *
 * <p>Time is a tick: the same seed and the same ticks and calls give the same registers. Safe for use by several
 * threads; {@link #image()} never waits.
 */
public abstract class Monitor {
    /** Length of one tick, in milliseconds of plant time. */
    public static final int TICK_MILLIS = 100;

    private final String name;
    private final int unit;
    private final Nameplate nameplate;
    private final Map<String, ReadingForm> readings = new LinkedHashMap<>();
    private final List<BitForm> bits;
    private final SplittableRandom noise;

    private final Map<String, Double> values = new LinkedHashMap<>();
    private final Map<String, Double> heldReadings = new LinkedHashMap<>();
    private final Map<BitForm, Boolean> heldBits = new LinkedHashMap<>();
    private final Map<Integer, Integer> heldRegisters = new LinkedHashMap<>();
    private volatile @Nullable DeviceImage image;

    /**
     * @param name name of the device in the station
     * @param unit Modbus unit id it answers to
     * @param nameplate what it says about itself
     * @param readings its readings
     * @param bits its bits
     * @param seed seed of its noise
     */
    protected Monitor(
            String name, int unit, Nameplate nameplate, List<ReadingForm> readings, List<BitForm> bits, long seed) {
        this.name = name;
        this.unit = unit;
        this.nameplate = nameplate;
        this.bits = List.copyOf(bits);
        this.noise = new SplittableRandom(seed ^ 0x9E37_79B9L * unit);
        readings.forEach(form -> this.readings.put(form.name(), form));
    }

    public final String name() {
        return name;
    }

    /** Modbus unit id, 1 to 247. */
    public final int unit() {
        return unit;
    }

    public final Nameplate nameplate() {
        return nameplate;
    }

    /** The readings by name, in the maker's order. */
    public final Map<String, ReadingForm> readings() {
        return new LinkedHashMap<>(readings);
    }

    public final List<BitForm> bits() {
        return bits;
    }

    /** The bit of this name ({@code oil-flow-low}) or place ({@code status:2}). */
    public final Optional<BitForm> bit(String nameOrPlace) {
        return bits.stream()
                .filter(form -> form.name().equals(nameOrPlace) || form.place().equals(nameOrPlace))
                .findFirst();
    }

    /** Moves the monitor on by one tick. */
    public final synchronized void tick() {
        live();
        image = encode();
    }

    /** What its tables hold now. */
    public final DeviceImage image() {
        DeviceImage now = image;
        return now != null ? now : refresh();
    }

    /** The value of a reading as the monitor now takes it, held or its own; {@code NaN} for "no value". */
    public final synchronized double value(String reading) {
        Double held = heldReadings.get(reading);
        return held != null ? held : own(reading);
    }

    /** Whether the bit is now set, held or by the monitor's own logic. */
    public final synchronized boolean isSet(BitForm bit) {
        Boolean held = heldBits.get(bit);
        return held != null ? held : sets(bit);
    }

    /** The words that are held from outside, in plain words, empty when all is the monitor's own. */
    public final synchronized List<String> held() {
        List<String> held = new ArrayList<>();
        heldReadings.forEach((reading, value) -> held.add(reading));
        heldBits.forEach((bit, on) -> held.add(bit.name()));
        heldRegisters.forEach((register, value) -> held.add("register " + register));
        return held;
    }

    /** Holds a reading at a value; {@code NaN} for "no value". The monitor's own logic sees the held value. */
    public final synchronized void hold(ReadingForm reading, double value) {
        if (!reading.coding().carries(value)) {
            throw new IllegalArgumentException(reading.name() + " cannot carry " + value);
        }
        heldReadings.put(reading.name(), value);
        refresh();
    }

    /** Holds a bit. */
    public final synchronized void hold(BitForm bit, boolean on) {
        heldBits.put(bit, on);
        refresh();
    }

    /**
     * Holds a raw register, whatever it means.
     *
     * @param register zero-based PDU address below {@link #registerCount()}
     * @param value 0 to 65535
     */
    public final synchronized void holdRegister(int register, int value) {
        if (register < 0 || register >= registerCount() || value < 0 || value > 0xFFFF) {
            throw new IllegalArgumentException("register " + register + " value " + value);
        }
        heldRegisters.put(register, value);
        refresh();
    }

    /** Gives a reading back to the monitor. */
    public final synchronized void release(ReadingForm reading) {
        heldReadings.remove(reading.name());
        refresh();
    }

    /** Gives a bit back to the monitor. */
    public final synchronized void release(BitForm bit) {
        heldBits.remove(bit);
        refresh();
    }

    /** Gives a register back to the monitor. */
    public final synchronized void releaseRegister(int register) {
        heldRegisters.remove(register);
        refresh();
    }

    /** Takes the monitor back to its healthy start and lets go of everything held. */
    public final synchronized void reset() {
        heldReadings.clear();
        heldBits.clear();
        heldRegisters.clear();
        healthy();
        refresh();
    }

    /** Number of registers of the table that {@link #holdRegister} reaches. */
    public abstract int registerCount();

    /** Moves the measured values on by one tick, with {@link #own(String, double)}. */
    protected abstract void live();

    /** Puts everything back to the healthy start. */
    protected abstract void healthy();

    /** What the monitor's own logic says of a bit. */
    protected abstract boolean sets(BitForm bit);

    /** Builds the tables around registers that already carry the readings. */
    protected abstract DeviceImage tables(RegisterWriter registers, Map<Integer, Integer> heldRegisters);

    /** The monitor's own value of a reading. */
    protected final double own(String reading) {
        Double value = values.get(reading);
        if (value == null) {
            throw new IllegalArgumentException(name + " has no reading " + reading);
        }
        return value;
    }

    /** Sets the monitor's own value of a reading, kept within what its registers can carry. */
    protected final void own(String reading, double value) {
        ReadingForm form = readings.get(reading);
        if (form == null) {
            throw new IllegalArgumentException(name + " has no reading " + reading);
        }
        Coding coding = form.coding();
        values.put(reading, Math.max(coding.least(), Math.min(coding.greatest(), value)));
    }

    /** A little noise, evenly spread over plus or minus {@code amplitude}. */
    protected final double noise(double amplitude) {
        return (noise.nextDouble() * 2 - 1) * amplitude;
    }

    /** Moves a value towards a target by at most {@code step}. */
    protected static double towards(double value, double target, double step) {
        return value < target ? Math.min(target, value + step) : Math.max(target, value - step);
    }

    private synchronized DeviceImage refresh() {
        DeviceImage now = encode();
        image = now;
        return now;
    }

    private DeviceImage encode() {
        RegisterWriter out = new RegisterWriter(registerCount());
        readings.forEach((reading, form) -> form.coding().write(out, form.register(), value(reading)));
        return tables(out, heldRegisters);
    }
}
