package oilbird.alarm.rule;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.composite.Expression;
import oilbird.alarm.state.Acknowledgement;
import oilbird.alarm.state.Priority;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.text.Position;
import org.jspecify.annotations.Nullable;

/**
 * One rule of a rule file: a condition that deserves an alarm on everything in its scope.
 *
 * @param key the rule's part of the alarm's identity; never reused for another meaning.
 * @param says the condition in plain words; {@code {device}}, {@code {asset}}, {@code {value}} and
 *     {@code {limit}} stand for what they name.
 * @param saysAfter the same once the condition is over; empty where the file does not state it.
 * @param condition as written; the deadband of a level is 0 until binding has resolved {@code deadband}.
 * @param deadband as written, or null for the default of the signal's type.
 * @param suppressedWhen while it holds the alarm is suppressed by design, or null for never.
 * @param keepAway nobody is sent near the asset once its alarm is active.
 * @param behaviour what the file states; null parts take the defaults of class and signal type.
 * @param checks those that the rule refers to and its file gives.
 * @param checkOrder names of all first checks that the rule refers to, as written; those that are not among
 *     {@code checks} are the device map's.
 * @param overrides deviations of single assets or devices.
 * @param places where the parts are, to report problems that only the station reveals.
 */
public record AlarmRule(
        String key,
        Scope scope,
        String says,
        String saysAfter,
        Condition condition,
        @Nullable Deadband deadband,
        Rationalization record,
        @Nullable Expression suppressedWhen,
        boolean keepAway,
        Behaviour behaviour,
        List<FirstCheck> checks,
        List<String> checkOrder,
        List<Deviation> overrides,
        Places places) {

    /**
     * How many of the last samples must agree before the condition counts as holding, or as not holding.
     *
     * @param agreeing more than half of {@code of}.
     * @param of at most 100.
     */
    public record Agreement(int agreeing, int of) {
        public static final int MOST = 100;

        /** As rule files write it: {@code 3 of 5}. */
        @Override
        public String toString() {
            return agreeing + " of " + of;
        }
    }

    /** A deadband in the unit of the limits, or in percent of the reading's span. */
    public record Deadband(double value, boolean percent) {}

    /**
     * Delays and attributes as far as stated.
     *
     * @param suppressible false for an alarm that names a cause.
     */
    public record Behaviour(
            @Nullable Duration onDelay,
            @Nullable Duration offDelay,
            @Nullable Integer onSamples,
            @Nullable Integer offSamples,
            @Nullable Agreement agree,
            @Nullable Boolean latching,
            @Nullable Acknowledgement acknowledgement,
            @Nullable Boolean confirmation,
            @Nullable Duration reAlarmTime,
            @Nullable Boolean shelvingAllowed,
            @Nullable Duration maxShelveTime,
            @Nullable Boolean suppressible) {
        /** Behaviour in which each sample counts by itself; nothing is said of a confirmation. */
        public Behaviour(
                @Nullable Duration onDelay,
                @Nullable Duration offDelay,
                @Nullable Integer onSamples,
                @Nullable Integer offSamples,
                @Nullable Boolean latching,
                @Nullable Acknowledgement acknowledgement,
                @Nullable Duration reAlarmTime,
                @Nullable Boolean shelvingAllowed,
                @Nullable Duration maxShelveTime,
                @Nullable Boolean suppressible) {
            this(
                    onDelay,
                    offDelay,
                    onSamples,
                    offSamples,
                    null,
                    latching,
                    acknowledgement,
                    null,
                    reAlarmTime,
                    shelvingAllowed,
                    maxShelveTime,
                    suppressible);
        }
    }

    /**
     * What differs for one asset or device.
     *
     * @param of id of the asset or device.
     * @param enabled false where the rule does not apply there.
     * @param limits replaces all limits of a level, or null.
     */
    public record Deviation(
            String of,
            boolean enabled,
            @Nullable List<Condition.Limit> limits,
            @Nullable Deadband deadband,
            @Nullable Priority priority,
            @Nullable String limitBasis,
            Behaviour behaviour,
            Position position) {}

    /** Where the parts of a rule are in its file. */
    public interface Places {
        /** The place of a part, given by its keys and indices below the rule, or of its nearest parent. */
        Position at(Object... path);
    }

    public AlarmRule {
        checks = List.copyOf(checks);
        checkOrder = List.copyOf(checkOrder);
        overrides = List.copyOf(overrides);
    }

    /** A rule that nothing suppresses and that sends nobody away. */
    public AlarmRule(
            String key,
            Scope scope,
            String says,
            String saysAfter,
            Condition condition,
            @Nullable Deadband deadband,
            Rationalization record,
            Behaviour behaviour,
            List<FirstCheck> checks,
            List<String> checkOrder,
            List<Deviation> overrides,
            Places places) {
        this(
                key,
                scope,
                says,
                saysAfter,
                condition,
                deadband,
                record,
                null,
                false,
                behaviour,
                checks,
                checkOrder,
                overrides,
                places);
    }
}
