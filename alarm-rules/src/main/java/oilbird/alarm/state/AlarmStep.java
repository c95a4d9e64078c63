package oilbird.alarm.state;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * What one input made of one alarm.
 *
 * @param next the very same object when nothing changed.
 * @param events in the order in which they happened.
 * @param wakeAt monotonic nanoseconds at which {@link AlarmInput.Elapsed} is due;
 *     {@link AlarmState#NEVER} when only an input can change anything.
 * @param refusal why a human act was refused; null when it was not.
 */
public record AlarmStep(
        AlarmState next,
        List<AlarmEvent> events,
        long wakeAt,
        @Nullable Refusal refusal) {
    public AlarmStep {
        events = List.copyOf(events);
    }
}
