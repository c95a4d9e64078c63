package oilbird.alarm.station;

import java.util.List;
import oilbird.alarm.check.GuidedStep.Refused;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.Refusal;
import org.jspecify.annotations.Nullable;

/**
 * What one input made of the station.
 *
 * @param events in order, numbered; to be committed before anyone is told.
 * @param changed the alarms whose memories changed, to be stored in the same transaction.
 * @param standing maintenance and point tests as they are now, to be stored in the same transaction; null where
 *     they have not changed.
 * @param remembered pieces to be stored, in the same transaction where they say so and otherwise when convenient.
 * @param wakeAt monotonic nanoseconds at which {@link StationInput.Elapsed} is due; Long.MAX_VALUE for never.
 * @param refusal why a human act was refused; null when it was not.
 * @param notTaken why an input of a guided fault-finding was not taken; null when it was.
 */
public record StationStep(
        List<StationEvent> events,
        List<AlarmState> changed,
        @Nullable Standing standing,
        List<Remembered> remembered,
        long wakeAt,
        @Nullable Refusal refusal,
        @Nullable Refused notTaken) {
    public StationStep {
        events = List.copyOf(events);
        changed = List.copyOf(changed);
        remembered = List.copyOf(remembered);
    }

    /** A step that leaves maintenance and point tests as they are. */
    public StationStep(List<StationEvent> events, List<AlarmState> changed, long wakeAt, @Nullable Refusal refusal) {
        this(events, changed, null, List.of(), wakeAt, refusal, null);
    }
}
