package oilbird.gateway.engine.record;

import java.util.List;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.Past;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * What an event record had to say when it was opened.
 *
 * @param past what the station goes on from.
 * @param links cursors as last saved.
 * @param nextPosition of the first event to come.
 * @param incarnation highest found in it, 0 for none.
 * @param copy true if it is a backup that was put in place, or its origin cannot be told.
 * @param setAside the damaged record that had to give way to this one, or null.
 * @param unavailable why the disk could not be used at all, or null; then nothing of the above is known, and
 *     opening is tried again with every commit.
 * @param problems single rows that could not be used, in words.
 */
public record Recovered(
        Past past,
        List<LinkPosition> links,
        long nextPosition,
        long incarnation,
        boolean copy,
        @Nullable SetAside setAside,
        @Nullable String unavailable,
        List<String> problems) {
    public Recovered {
        links = List.copyOf(links);
        problems = List.copyOf(problems);
    }

    public List<AlarmState> states() {
        return past.states();
    }

    /** The newest commit's moment, on the monotonic clock of the process that made it; null for none. */
    public @Nullable Moment savedAt() {
        return past.savedAt();
    }
}
