package oilbird.gateway.engine.record;

import java.util.List;
import oilbird.alarm.state.AlarmState;
import oilbird.mapping.signal.Moment;

/**
 * What one transaction writes.
 *
 * @param events in order of position.
 * @param changed the alarms whose memories changed, each once.
 * @param links cursors that moved.
 * @param gaps events that were announced and can no longer be written.
 * @param at the present moment; at the next start it tells how long the gateway was down.
 */
public record Commit(
        List<RecordedEvent> events,
        List<AlarmState> changed,
        List<LinkPosition> links,
        List<RecordGap> gaps,
        Moment at) {
    public Commit {
        events = List.copyOf(events);
        changed = List.copyOf(changed);
        links = List.copyOf(links);
        gaps = List.copyOf(gaps);
    }
}
