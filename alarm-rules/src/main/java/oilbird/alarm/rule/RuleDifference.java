package oilbird.alarm.rule;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import oilbird.alarm.state.AlarmId;

/**
 * In which alarms two rule sets differ. Where a rule stands in its file makes no difference.
 *
 * @param changed alarms that both have, with another condition, behaviour, record or other words.
 */
public record RuleDifference(List<AlarmId> added, List<AlarmId> removed, List<AlarmId> changed) {
    public RuleDifference {
        added = List.copyOf(added);
        removed = List.copyOf(removed);
        changed = List.copyOf(changed);
    }

    public static RuleDifference between(List<RuleInstance> before, List<RuleInstance> after) {
        Map<AlarmId, RuleInstance> old = new LinkedHashMap<>();
        before.forEach(r -> old.put(r.id(), r));
        List<AlarmId> added = new ArrayList<>();
        List<AlarmId> changed = new ArrayList<>();
        for (RuleInstance rule : after) {
            RuleInstance was = old.remove(rule.id());
            if (was == null) {
                added.add(rule.id());
            } else if (!same(was, rule)) {
                changed.add(rule.id());
            }
        }
        return new RuleDifference(added, new ArrayList<>(old.keySet()), changed);
    }

    private static boolean same(RuleInstance a, RuleInstance b) {
        return a.condition().equals(b.condition())
                && a.inputs().equals(b.inputs())
                && a.policy().equals(b.policy())
                && a.checks().equals(b.checks())
                && a.limitBasis().equals(b.limitBasis())
                && a.unverified().equals(b.unverified())
                && Objects.equals(a.agreement(), b.agreement())
                && Objects.equals(a.suppression(), b.suppression())
                && a.rule().says().equals(b.rule().says())
                && a.rule().saysAfter().equals(b.rule().saysAfter())
                && a.rule().record().equals(b.rule().record());
    }

    public boolean isEmpty() {
        return added.isEmpty() && removed.isEmpty() && changed.isEmpty();
    }

    /** {@code 2 added: a, b; 1 changed: c}, with at most ten names of each. */
    @Override
    public String toString() {
        List<String> parts = new ArrayList<>();
        part(parts, "added", added);
        part(parts, "removed", removed);
        part(parts, "changed", changed);
        return parts.isEmpty() ? "no alarm differs" : String.join("; ", parts);
    }

    private static void part(List<String> parts, String what, List<AlarmId> alarms) {
        if (alarms.isEmpty()) {
            return;
        }
        List<String> names = alarms.stream().limit(10).map(AlarmId::toString).toList();
        String more = alarms.size() > names.size() ? " and " + (alarms.size() - names.size()) + " more" : "";
        parts.add(alarms.size() + " " + what + ": " + String.join(", ", names) + more);
    }
}
