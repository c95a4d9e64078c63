package oilbird.demoplant.device;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import oilbird.demoplant.course.Course;
import oilbird.demoplant.course.Faults;
import oilbird.demoplant.course.Noise;

/**
 * One invented monitor: what it shows is a function of plant time, and it can be told from outside to hold a reading, a
 * bit or a register.
 *
 * <p>Times are plant time in milliseconds. Safe for use by several threads.
 */
public abstract class Monitor {
    private final String name;
    private final Course course;
    private final Map<String, Noise> noise = new LinkedHashMap<>();
    private final Map<String, ReadingForm> readings = new LinkedHashMap<>();
    private final List<BitForm> bits;
    private volatile Held held = new Held(Map.of(), Map.of(), Map.of());

    /** What is held from outside. Immutable. */
    private record Held(Map<String, Double> readings, Map<String, Boolean> bits, Map<Integer, Integer> registers) {
        Held {
            readings = new LinkedHashMap<>(readings);
            bits = new LinkedHashMap<>(bits);
            registers = new LinkedHashMap<>(registers);
        }
    }

    /**
     * @param name name of the device in the station
     * @param course what happens to it
     * @param readings its readings
     * @param bits its bits
     */
    protected Monitor(String name, Course course, List<ReadingForm> readings, List<BitForm> bits) {
        this.name = name;
        this.course = course;
        this.bits = List.copyOf(bits);
        readings.forEach(form -> {
            this.readings.put(form.name(), form);
            noise.put(form.name(), new Noise(course.seed(), name + "/" + form.name()));
        });
    }

    protected final Course course() {
        return course;
    }

    protected final Faults faults() {
        return course.faults();
    }

    /** Whether a fault of this monitor is on. */
    protected final boolean on(String fault, long at) {
        return faults().on(fault, name, at);
    }

    /** The scatter of a reading, another one every so many milliseconds; 0 for what is no reading. */
    protected final double scatter(String reading, long at, long every) {
        Noise own = noise.get(reading);
        return own == null ? 0 : own.step(at, every);
    }

    /** The scatter of a reading that is made anew with each occasion, by the occasion's number. */
    protected final double scatter(String reading, long occasion) {
        Noise own = noise.get(reading);
        return own == null ? 0 : own.step(occasion);
    }

    public final String name() {
        return name;
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

    /** Modbus unit id, 1 to 247; 0 for a monitor that speaks OPC UA. */
    public abstract int unit();

    /** What it says about itself. */
    public abstract Nameplate nameplate(long at);

    /** What its Modbus tables hold; {@link DeviceImage#NONE} for a monitor that speaks OPC UA. */
    public abstract DeviceImage image(long at);

    /** What its OPC UA variables hold, by string identifier; empty for a monitor that speaks Modbus. */
    public abstract Map<String, NodeValue> nodes(long at);

    /** The value of a reading as the monitor takes it, held or its own; {@code NaN} for "no value". */
    public final double value(String reading, long at) {
        ReadingForm form = readings.get(reading);
        if (form == null) {
            throw new IllegalArgumentException(name + " has no reading " + reading);
        }
        Double holding = held.readings.get(reading);
        if (holding != null) {
            return holding;
        }
        double own = own(reading, at);
        ReadingForm.Place place = form.place();
        return Double.isNaN(own) ? own : Math.max(place.least(), Math.min(place.greatest(), own));
    }

    /** Whether the bit is set, held or by the monitor's own logic. */
    public final boolean isSet(BitForm bit, long at) {
        Boolean holding = held.bits.get(bit.place());
        return holding != null ? holding : sets(bit, at);
    }

    /** The words that are held from outside, in plain words, empty when all is the monitor's own. */
    public final List<String> held() {
        Held now = held;
        List<String> told = new ArrayList<>(now.readings.keySet());
        for (BitForm bit : bits) {
            if (now.bits.containsKey(bit.place())) {
                told.add(bit.name());
            }
        }
        now.registers.keySet().forEach(register -> told.add("register " + register));
        return told;
    }

    /** Holds a reading at a value; {@code NaN} for "no value". The monitor's own bits see the held value. */
    public final synchronized void hold(ReadingForm reading, double value) {
        if (!reading.place().carries(value)) {
            throw new IllegalArgumentException(reading.name() + " cannot carry " + value);
        }
        Map<String, Double> next = new LinkedHashMap<>(held.readings);
        next.put(reading.name(), value);
        held = new Held(next, held.bits, held.registers);
    }

    /** Holds a bit. */
    public final synchronized void hold(BitForm bit, boolean on) {
        Map<String, Boolean> next = new LinkedHashMap<>(held.bits);
        next.put(bit.place(), on);
        held = new Held(held.readings, next, held.registers);
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
        Map<Integer, Integer> next = new LinkedHashMap<>(held.registers);
        next.put(register, value);
        held = new Held(held.readings, held.bits, next);
    }

    /** Gives a reading back to the monitor. */
    public final synchronized void release(ReadingForm reading) {
        Map<String, Double> next = new LinkedHashMap<>(held.readings);
        next.remove(reading.name());
        held = new Held(next, held.bits, held.registers);
    }

    /** Gives a bit back to the monitor. */
    public final synchronized void release(BitForm bit) {
        Map<String, Boolean> next = new LinkedHashMap<>(held.bits);
        next.remove(bit.place());
        held = new Held(held.readings, next, held.registers);
    }

    /** Gives a register back to the monitor. */
    public final synchronized void releaseRegister(int register) {
        Map<Integer, Integer> next = new LinkedHashMap<>(held.registers);
        next.remove(register);
        held = new Held(held.readings, held.bits, next);
    }

    /** Lets go of everything held. */
    public final synchronized void releaseAll() {
        held = new Held(Map.of(), Map.of(), Map.of());
    }

    /** Number of registers of the table that {@link #holdRegister} reaches; 0 when there is none. */
    public abstract int registerCount();

    /** The registers held from outside. */
    protected final Map<Integer, Integer> heldRegisters() {
        return held.registers;
    }

    /** The monitor's own value of a reading; {@code NaN} for "no value". */
    protected abstract double own(String reading, long at);

    /** What the monitor's own logic says of a bit. */
    protected abstract boolean sets(BitForm bit, long at);
}
