package oilbird.gateway.engine.outbox;

import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmPolicy;
import oilbird.alarm.state.Priority;
import oilbird.alarm.station.StationEvent;

/**
 * What the other side of a link is told. A list without an entry lets everything through.
 *
 * <p>An alarm is let through as a whole: once one of its events has gone out, all go out until it is normal again, so
 * that nobody is left with an alarm that never clears. Keep-away, test messages for this link and notices of events that
 * it has missed are let through whatever the filter says, and so is a sign of life, which is no event.
 *
 * @param assets ids; {@code gateway} for the gateway's own alarms. Of a diagnosis one of its assets is enough.
 * @param priorities of alarms; that of the rule or that which the alarm has now.
 * @param classes of alarms.
 * @param kinds of messages.
 */
public record LinkFilter(List<String> assets, Set<Priority> priorities, Set<AlarmClass> classes, Set<Kind> kinds) {
    /** Everything goes out. */
    public static final LinkFilter NONE = new LinkFilter(List.of(), Set.of(), Set.of(), Set.of());

    public enum Kind {
        ALARM,
        DIAGNOSIS,
        NOTICE,
        /** Who signed in, was refused, or changed who may do what. */
        ACCESS,
        FAULT_FINDING,
        /** Where the link sends readings at all. */
        READING
    }

    public LinkFilter {
        assets = List.copyOf(assets);
        priorities = priorities.isEmpty() ? Set.of() : EnumSet.copyOf(priorities);
        classes = classes.isEmpty() ? Set.of() : EnumSet.copyOf(classes);
        kinds = kinds.isEmpty() ? Set.of() : EnumSet.copyOf(kinds);
    }

    /** Whether messages of a kind go out. */
    public boolean passes(Kind kind) {
        return kinds.isEmpty() || kinds.contains(kind);
    }

    /** Whether what is told of an asset goes out. */
    boolean passesAsset(String asset) {
        return assets.isEmpty() || assets.contains(asset);
    }

    /** Whether the state of an alarm goes out, where a link keeps states: by what never changes while it is kept. */
    public boolean passesState(AlarmId alarm, AlarmClass of) {
        return passes(Kind.ALARM) && passesAsset(alarm.asset()) && (classes.isEmpty() || classes.contains(of));
    }

    /**
     * Whether an alarm is wanted that the other side knows nothing of yet.
     *
     * @param policy of its rule.
     * @param now the priority that it has now.
     */
    public boolean wants(AlarmId alarm, AlarmPolicy policy, Priority now) {
        return passesState(alarm, policy.alarmClass())
                && (priorities.isEmpty() || priorities.contains(policy.priority()) || priorities.contains(now));
    }

    static Kind kind(StationEvent event) {
        if (event instanceof StationEvent.OfAlarm) {
            return Kind.ALARM;
        }
        if (event instanceof StationEvent.Diagnosed) {
            return Kind.DIAGNOSIS;
        }
        if (event instanceof StationEvent.Accessed) {
            return Kind.ACCESS;
        }
        return event instanceof StationEvent.FaultFinding ? Kind.FAULT_FINDING : Kind.NOTICE;
    }
}
