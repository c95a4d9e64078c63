package oilbird.gateway.opcua.server.condition;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationView;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * Which alarm of a first-out group came first (FirstInGroupFlag, OPC 10000-9, 5.8.2). A group is what the rules of one
 * asset name so; it ends when none of its alarms is active. Polling cannot order what came within one period: of such
 * alarms the one that the gateway saw first is the first.
 */
final class FirstOut {
    private record Group(String asset, String name) {}

    private final Map<Group, List<AlarmId>> members = new ConcurrentHashMap<>();
    private final Map<Group, AlarmId> first = new ConcurrentHashMap<>();

    private static @Nullable Group group(RuleInstance rule) {
        String name = rule.rule().record().further().firstOutGroup();
        return name.isEmpty() ? null : new Group(rule.asset().id(), name);
    }

    /** As the station's picture has it: the one that is active for longest. */
    void load(StationView view) {
        Map<Group, List<AlarmId>> found = new LinkedHashMap<>();
        Map<Group, Moment> since = new LinkedHashMap<>();
        first.clear();
        view.alarms().forEach((id, alarm) -> {
            Group group = group(alarm.rule());
            if (group != null) {
                found.computeIfAbsent(group, g -> new ArrayList<>()).add(id);
                Moment began = alarm.state().activeSince();
                Moment earliest = since.get(group);
                if (alarm.state().active()
                        && began != null
                        && (earliest == null || began.monotonicNanos() < earliest.monotonicNanos())) {
                    since.put(group, began);
                    first.put(group, id);
                }
            }
        });
        members.clear();
        members.putAll(found);
    }

    void changed(ConditionStore.Change change, ConditionStore store) {
        Group group = group(change.after().rule());
        if (group == null || change.after().test()) {
            return;
        }
        if (change.event().kind() == AlarmEvent.Kind.RAISED) {
            first.putIfAbsent(group, change.after().rule().id());
        }
        boolean over = members.getOrDefault(group, List.of()).stream()
                .map(store::get)
                .noneMatch(image -> image != null && image.active());
        if (over) {
            first.remove(group);
        }
    }

    /** Null for an alarm of no group. */
    @Nullable
    Boolean isFirst(RuleInstance rule) {
        Group group = group(rule);
        return group == null ? null : (Boolean) rule.id().equals(first.get(group));
    }
}
