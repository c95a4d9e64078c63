package oilbird.gateway.engine.outbox;

import java.util.HashSet;
import java.util.Set;
import java.util.function.Function;
import java.util.function.Predicate;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationEvent;
import oilbird.gateway.engine.record.RecordedEvent;
import org.jspecify.annotations.Nullable;

/** Applies a {@link LinkFilter} to the events of one link. Used by the thread that steps the link's runner. */
final class Sieve implements Predicate<RecordedEvent> {
    private final String link;
    private final LinkFilter filter;
    private final Function<AlarmId, @Nullable RuleInstance> rules;
    /** Alarms of which the other side knows, and which are not normal again. */
    private final Set<AlarmId> open = new HashSet<>();

    /**
     * @param rules the rule of an alarm as it is in force; null where there is none any more, whose alarms go out.
     */
    Sieve(String link, LinkFilter filter, Function<AlarmId, @Nullable RuleInstance> rules) {
        this.link = link;
        this.filter = filter;
        this.rules = rules;
    }

    @Override
    public boolean test(RecordedEvent recorded) {
        StationEvent event = recorded.event();
        if (event instanceof StationEvent.KeptAway) {
            return true;
        }
        if (event instanceof StationEvent.Notice notice) {
            boolean ofALink = notice.kind() == StationEvent.Notice.Kind.LINK_TESTED
                    || notice.kind() == StationEvent.Notice.Kind.EVENTS_MISSED;
            return ofALink ? notice.subject().name().equals(link) : filter.passes(LinkFilter.Kind.NOTICE);
        }
        if (event instanceof StationEvent.OfAlarm ofAlarm) {
            return test(ofAlarm.event());
        }
        if (event instanceof StationEvent.Diagnosed diagnosed
                && !filter.assets().isEmpty()
                && diagnosed.assets().stream().noneMatch(filter::passesAsset)) {
            return false;
        }
        return filter.passes(LinkFilter.kind(event));
    }

    private boolean test(AlarmEvent event) {
        boolean passes = open.contains(event.alarm()) || wanted(event);
        if (passes && (event.active() || !event.acknowledged() || event.latched())) {
            open.add(event.alarm());
        } else {
            open.remove(event.alarm());
        }
        return passes;
    }

    private boolean wanted(AlarmEvent event) {
        RuleInstance rule = rules.apply(event.alarm());
        return rule == null
                ? filter.passes(LinkFilter.Kind.ALARM)
                        && filter.passesAsset(event.alarm().asset())
                : filter.wants(event.alarm(), rule.policy(), event.priority());
    }
}
