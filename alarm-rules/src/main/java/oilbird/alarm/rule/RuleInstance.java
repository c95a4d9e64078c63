package oilbird.alarm.rule;

import java.util.List;
import oilbird.alarm.composite.Composite;
import oilbird.alarm.rule.AlarmRule.Agreement;
import oilbird.alarm.rule.StationFacts.Asset;
import oilbird.alarm.rule.StationFacts.Device;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmPolicy;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * A rule bound to one device or asset: exactly one alarm.
 *
 * @param rule as written, for its words and its record.
 * @param asset the asset that the alarm is about.
 * @param device the device of a rule on a device; null for a rule on the asset.
 * @param condition with overrides applied and deadband in units.
 * @param inputs the condition's signals, resolved, in its order.
 * @param agreement how many of the last samples must agree, or null where each counts by itself.
 * @param suppression when the alarm is suppressed by design, or null for never.
 * @param policy with overrides and all defaults applied.
 * @param checks in order of exposure, then as written.
 * @param limitBasis why the limit has its value here.
 * @param unverified inputs that nobody has compared with the local display; while there are any, the alarm
 *     is out of service.
 */
public record RuleInstance(
        AlarmId id,
        AlarmRule rule,
        Asset asset,
        @Nullable Device device,
        Condition condition,
        List<SignalId> inputs,
        @Nullable Agreement agreement,
        @Nullable Suppression suppression,
        AlarmPolicy policy,
        List<FirstCheck> checks,
        String limitBasis,
        List<SignalId> unverified) {
    /**
     * Logic that suppresses the alarm by design.
     *
     * @param id for the record: the rule's key and what it is.
     * @param inputs the names of the expression, resolved, in its order.
     */
    public record Suppression(String id, Composite when, List<SignalId> inputs) {
        public Suppression {
            inputs = List.copyOf(inputs);
        }
    }

    public RuleInstance {
        inputs = List.copyOf(inputs);
        checks = List.copyOf(checks);
        unverified = List.copyOf(unverified);
    }

    /** An alarm of which each sample counts by itself and that nothing suppresses. */
    public RuleInstance(
            AlarmId id,
            AlarmRule rule,
            Asset asset,
            @Nullable Device device,
            Condition condition,
            List<SignalId> inputs,
            AlarmPolicy policy,
            List<FirstCheck> checks,
            String limitBasis,
            List<SignalId> unverified) {
        this(id, rule, asset, device, condition, inputs, null, null, policy, checks, limitBasis, unverified);
    }
}
