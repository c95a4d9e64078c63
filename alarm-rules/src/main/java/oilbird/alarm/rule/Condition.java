package oilbird.alarm.rule;

import java.util.List;
import oilbird.alarm.state.Priority;
import org.jspecify.annotations.Nullable;

/**
 * What a rule watches for. Signals are named as in the rule file; {@link RuleInstance#inputs()} has them
 * resolved, in the order that each kind states.
 */
public sealed interface Condition {
    /** Every signal that the condition refers to, in the order of {@link RuleInstance#inputs()}. */
    List<SignalName> signals();

    /**
     * An indication holds, or does not.
     *
     * @param holds the answer that makes the condition hold.
     */
    record IndicationIs(SignalName indication, boolean holds) implements Condition {
        @Override
        public List<SignalName> signals() {
            return List.of(indication);
        }
    }

    /**
     * A reading, or its excess over a second one, reaches one of several limits.
     *
     * <p>A high level holds from its limit on and ends below limit minus deadband (OPC 10000-9, B.1.5); a low
     * one the other way round.
     *
     * @param over the reading to subtract, or null.
     * @param direction on which side of the limits trouble lies.
     * @param limits nearest to normal first, each more urgent than the one before.
     * @param deadband in {@code unit}, 0 or more.
     * @param unit of limits and deadband.
     */
    record Level(
            SignalName reading,
            @Nullable SignalName over,
            Direction direction,
            List<Limit> limits,
            double deadband,
            String unit)
            implements Condition {
        public Level {
            limits = List.copyOf(limits);
        }

        @Override
        public List<SignalName> signals() {
            return over == null ? List.of(reading) : List.of(reading, over);
        }
    }

    /** A reading has had no fresh value for longer than its update period or analysis counter allows. */
    record Overdue(SignalName reading) implements Condition {
        @Override
        public List<SignalName> signals() {
            return List.of(reading);
        }
    }

    /** The device does not answer. */
    record CommunicationLost(SignalName indication) implements Condition {
        @Override
        public List<SignalName> signals() {
            return List.of(indication);
        }
    }

    enum Direction {
        HIGH,
        LOW
    }

    /** One limit in the unit of the reading, with the priority from it on. */
    record Limit(double value, Priority priority) {}

    /**
     * A signal as a rule file names it.
     *
     * @param device id of a device, or of a map of which the asset has exactly one device; null for the
     *     rule's own device.
     * @param name point or indication.
     */
    record SignalName(@Nullable String device, String name) {
        /** The written form {@code name} or {@code device/name}. */
        @Override
        public String toString() {
            return device == null ? name : device + "/" + name;
        }
    }
}
