package oilbird.gateway.engine.record;

import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationEvent;
import org.jspecify.annotations.Nullable;

/**
 * What an event is about, where events about the same have to be told in order.
 *
 * @param alarm the alarm; null for anything else.
 * @param other what else, in a name of its own; empty for an alarm.
 */
public record EventSubject(@Nullable AlarmId alarm, String other) {
    /** Null for an event that stands for itself. */
    public static @Nullable EventSubject of(StationEvent event) {
        if (event instanceof StationEvent.OfAlarm ofAlarm) {
            return new EventSubject(ofAlarm.event().alarm(), "");
        }
        if (event instanceof StationEvent.KeptAway keptAway) {
            return new EventSubject(null, "keep-away " + keptAway.asset());
        }
        if (event instanceof StationEvent.Diagnosed diagnosed) {
            return new EventSubject(null, "diagnosis " + diagnosed.diagnosis());
        }
        if (event instanceof StationEvent.Notice notice && notice.kind() == StationEvent.Notice.Kind.LINK_TESTED) {
            return new EventSubject(null, "test of link " + notice.subject().name());
        }
        return event instanceof StationEvent.FaultFinding finding
                ? new EventSubject(null, "fault-finding " + finding.session())
                : null;
    }
}
