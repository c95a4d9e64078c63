package oilbird.gateway.opcua.server.condition;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.opcua.server.space.Names;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.jspecify.annotations.Nullable;

/**
 * The image of every alarm. Made of the station's picture, then folded from its events; an event that an image already
 * has in it changes nothing. One thread changes it; any may read.
 */
final class ConditionStore {
    private static final int HISTORY = 20;

    private final ServerSide side;
    private final Map<AlarmId, ConditionImage> images = new ConcurrentHashMap<>();
    private volatile List<AlarmId> order = List.of();
    private volatile Map<NodeId, List<AlarmId>> bySource = Map.of();
    private final FirstOut firstOut = new FirstOut();
    private volatile @Nullable RuleInstance firstRule;

    ConditionStore(ServerSide side) {
        this.side = side;
    }

    /**
     * Loads the images if the station's first picture has come since, or one with other rules.
     *
     * @return true if they were loaded now.
     */
    boolean loadIfOther(StationView view) {
        return ruleOf(view) != firstRule && loadOther(view);
    }

    private synchronized boolean loadOther(StationView view) {
        if (ruleOf(view) == firstRule) {
            return false;
        }
        load(view);
        return true;
    }

    /** Every load of rules makes all of them anew, so one tells whether they are others. */
    private static @Nullable RuleInstance ruleOf(StationView view) {
        return view.alarms().isEmpty()
                ? null
                : view.alarms().values().iterator().next().rule();
    }

    /** All images anew; those whose last event has not changed keep what was said since the start. */
    synchronized void load(StationView view) {
        Names names = side.names();
        List<AlarmId> ids = new ArrayList<>();
        Map<NodeId, List<AlarmId>> sources = new LinkedHashMap<>();
        view.alarms().forEach((id, alarm) -> {
            if (!shows(alarm)) {
                return;
            }
            ids.add(id);
            sources.computeIfAbsent(ConditionEvent.source(alarm.rule(), names), s -> new ArrayList<>())
                    .add(id);
            StationView.AlarmView outgoing = view.outgoing(alarm);
            ConditionImage fresh = ConditionImage.of(
                    alarm.rule(),
                    outgoing.state(),
                    worst(outgoing.state().quality(), alarm.rule(), view),
                    outgoing.test());
            ConditionImage before = images.get(id);
            images.put(
                    id,
                    before != null && before.eventId().equals(fresh.eventId())
                            ? before.under(alarm.rule())
                            : fresh.retained() ? withHistory(fresh) : fresh);
        });
        images.keySet().retainAll(ids);
        order = List.copyOf(ids);
        bySource = sources;
        firstOut.load(view);
        firstRule = ruleOf(view);
    }

    private boolean shows(StationView.AlarmView alarm) {
        AlarmState state = alarm.state();
        return side.only().wants(state.id(), alarm.rule().policy(), state.priority());
    }

    /** What the record still tells of a retained alarm's last events, so that a refresh repeats them as they were. */
    private ConditionImage withHistory(ConditionImage fresh) {
        List<RecordedEvent> newest = side.newest(fresh.rule().id(), HISTORY);
        Moment at = null;
        int before = 0;
        String said = null;
        String saidBy = "";
        for (RecordedEvent recorded : newest) {
            if (!(recorded.event() instanceof StationEvent.OfAlarm ofAlarm)
                    || ofAlarm.event().kind() == AlarmEvent.Kind.REFUSED) {
                continue;
            }
            AlarmEvent event = ofAlarm.event();
            if (at == null && !ofAlarm.id().toString().equals(fresh.eventId())) {
                break;
            }
            if (at == null) {
                at = event.at();
            } else if (before == 0) {
                before = Severity.of(event.priority());
            }
            String words = ConditionImage.said(event);
            if (said == null && words != null) {
                said = words;
                saidBy = event.by() == null ? "" : event.by().name();
            }
        }
        return fresh.with(before, said, saidBy, at);
    }

    /** Quality as the forms show it: at best uncertain in maintenance. */
    private Quality worst(Quality of, RuleInstance rule, StationView view) {
        Standing.Maintenance maintenance = view.standing().covering(rule, side.facts());
        return maintenance == null ? of : of.worse(Quality.UNCERTAIN);
    }

    /**
     * Folds an event.
     *
     * @return the image before and after; null where the event tells nothing new of an alarm that the rules have.
     */
    @Nullable
    Change apply(StationEvent.OfAlarm ofAlarm, StationView view) {
        if (ofAlarm.event().kind() == AlarmEvent.Kind.REFUSED) {
            return null;
        }
        AlarmId id = ofAlarm.event().alarm();
        StationView.AlarmView alarm = view.alarms().get(id);
        ConditionImage before = images.get(id);
        if (before == null && alarm != null) {
            // one that the link's filter lets through only since it became more urgent
            before = ConditionImage.beforeAnything(alarm.rule());
            add(before);
        }
        if (before == null || !before.isBefore(ofAlarm.id())) {
            return null;
        }
        RuleInstance rule = alarm == null ? before.rule() : alarm.rule();
        ConditionImage after = before.after(
                ofAlarm,
                rule,
                worst(ofAlarm.event().quality(), rule, view),
                side.now().wallMillis());
        images.put(id, after);
        Change change = new Change(before, after, ofAlarm.event());
        firstOut.changed(change, this);
        return change;
    }

    private void add(ConditionImage image) {
        AlarmId id = image.rule().id();
        List<AlarmId> ids = new ArrayList<>(order);
        ids.add(id);
        order = List.copyOf(ids);
        Map<NodeId, List<AlarmId>> sources = new LinkedHashMap<>(bySource);
        sources.merge(ConditionEvent.source(image.rule(), side.names()), List.of(id), (old, one) -> {
            List<AlarmId> both = new ArrayList<>(old);
            both.addAll(one);
            return both;
        });
        bySource = sources;
    }

    record Change(ConditionImage before, ConditionImage after, AlarmEvent event) {}

    @Nullable
    ConditionImage get(AlarmId id) {
        return images.get(id);
    }

    /** Whether it came first in its group; null for an alarm of none. */
    @Nullable
    Boolean isFirst(ConditionImage image) {
        return firstOut.isFirst(image.rule());
    }

    /** In the order of the rules. */
    List<AlarmId> ids() {
        return order;
    }

    List<AlarmId> from(NodeId source) {
        return bySource.getOrDefault(source, List.of());
    }

    /** Event notifiers that report what comes from this alarm's source, besides the Server object. */
    Set<NodeId> notifiers(ConditionImage image) {
        Names names = side.names();
        return Set.of(names.ofStation(), names.ofAsset(image.rule().asset().id()));
    }
}
