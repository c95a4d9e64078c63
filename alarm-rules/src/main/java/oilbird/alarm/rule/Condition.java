package oilbird.alarm.rule;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.composite.Composite;
import oilbird.alarm.composite.Expression;
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
     * A bit field says one of several texts, or none of them.
     *
     * @param holds false where the condition holds while it says none of them.
     */
    record FieldSays(SignalName field, List<String> texts, boolean holds) implements Condition {
        public FieldSays {
            texts = List.copyOf(texts);
        }

        @Override
        public List<SignalName> signals() {
            return List.of(field);
        }
    }

    /**
     * A number made of readings reaches one of several limits.
     *
     * <p>A high limit holds from its value on and ends below it by more than the deadband (OPC 10000-9, B.1.5); a
     * low one the other way round.
     */
    sealed interface Limited extends Condition {
        /** On which side of the limits trouble lies. */
        Direction direction();

        /** Nearest to normal first, each more urgent than the one before. */
        List<Limit> limits();

        /** In {@link #unit()}, 0 or more. */
        double deadband();

        /** Unit of limits and deadband. */
        String unit();

        /** The same condition with other limits. */
        Limited with(List<Limit> limits, double deadband);
    }

    /**
     * A reading, or its excess over a second one, reaches one of several limits.
     *
     * @param over the reading to subtract, or null.
     */
    record Level(
            SignalName reading,
            @Nullable SignalName over,
            Direction direction,
            List<Limit> limits,
            double deadband,
            String unit)
            implements Limited {
        public Level {
            limits = List.copyOf(limits);
        }

        @Override
        public List<SignalName> signals() {
            return over == null ? List.of(reading) : List.of(reading, over);
        }

        @Override
        public Level with(List<Limit> others, double other) {
            return new Level(reading, over, direction, others, other, unit);
        }
    }

    /**
     * A reading rises or falls too fast: the median slope between all pairs of its samples (Theil 1950, Sen 1968)
     * within a window reaches one of several limits.
     *
     * <p>It cannot be told before the window holds enough samples over half of its length; so also for that long
     * after a restart. Bad values and those of maintenance are no samples.
     *
     * @param per unit of time of the limits.
     * @param leastSamples how many samples the window must hold, at least 3.
     * @param unit of limits and deadband, such as {@code ppm/d}.
     */
    record RateOfChange(
            SignalName reading,
            Duration window,
            Duration per,
            int leastSamples,
            Direction direction,
            List<Limit> limits,
            double deadband,
            String unit)
            implements Limited {
        public RateOfChange {
            limits = List.copyOf(limits);
        }

        @Override
        public List<SignalName> signals() {
            return List.of(reading);
        }

        @Override
        public RateOfChange with(List<Limit> others, double other) {
            return new RateOfChange(reading, window, per, leastSamples, direction, others, other, unit);
        }
    }

    /**
     * Two readings of the same thing lie too far apart.
     *
     * @param percent true where limits are in percent of the mean of both (relative percent difference, common
     *     practice for duplicate samples); false where they are in the readings' unit.
     * @param ignoreBelow while both readings lie below it, they agree; 0 for never.
     */
    record Discrepancy(
            SignalName reading,
            SignalName against,
            boolean percent,
            double ignoreBelow,
            List<Limit> limits,
            double deadband,
            String unit)
            implements Limited {
        public Discrepancy {
            limits = List.copyOf(limits);
        }

        @Override
        public Direction direction() {
            return Direction.HIGH;
        }

        @Override
        public List<SignalName> signals() {
            return List.of(reading, against);
        }

        @Override
        public Discrepancy with(List<Limit> others, double other) {
            return new Discrepancy(reading, against, percent, ignoreBelow, others, other, unit);
        }
    }

    /**
     * An expression over several signals holds.
     *
     * @param names what the expression's names stand for, in its order.
     * @param composite the expression with its types checked; null before binding.
     */
    record Composed(
            Expression expression,
            List<SignalName> names,
            @Nullable Composite composite) implements Condition {
        public Composed {
            names = List.copyOf(names);
        }

        @Override
        public List<SignalName> signals() {
            return names;
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
        /** The signal that a name in an expression stands for: underscores for hyphens, a dot after the device. */
        static SignalName inExpression(String name) {
            String written = name.replace('_', '-');
            int dot = written.indexOf('.');
            return dot < 0
                    ? new SignalName(null, written)
                    : new SignalName(written.substring(0, dot), written.substring(dot + 1));
        }

        /** How the name is spelt in an expression. */
        static String spelt(String signal) {
            return signal.replace('-', '_').replace('/', '.');
        }

        /** The written form {@code name} or {@code device/name}. */
        @Override
        public String toString() {
            return device == null ? name : device + "/" + name;
        }
    }
}
