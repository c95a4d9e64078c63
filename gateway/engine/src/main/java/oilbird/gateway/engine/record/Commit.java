package oilbird.gateway.engine.record;

import java.util.List;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.Standing;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * What one transaction writes.
 *
 * @param events in order of position.
 * @param changed the alarms whose memories changed, each once.
 * @param links cursors that moved.
 * @param gaps events that were announced and can no longer be written.
 * @param standing maintenance and point tests as they are now; null where they have not changed.
 * @param remembered pieces that a restart needs, each key once.
 * @param at the present moment; at the next start it tells how long the gateway was down.
 */
public record Commit(
        List<RecordedEvent> events,
        List<AlarmState> changed,
        List<LinkPosition> links,
        List<RecordGap> gaps,
        @Nullable Standing standing,
        List<Remembered> remembered,
        Moment at) {
    public Commit {
        events = List.copyOf(events);
        changed = List.copyOf(changed);
        links = List.copyOf(links);
        gaps = List.copyOf(gaps);
        remembered = List.copyOf(remembered);
    }

    /** A commit that leaves maintenance, point tests and remembered pieces as they are. */
    public Commit(
            List<RecordedEvent> events,
            List<AlarmState> changed,
            List<LinkPosition> links,
            List<RecordGap> gaps,
            Moment at) {
        this(events, changed, links, gaps, null, List.of(), at);
    }
}
