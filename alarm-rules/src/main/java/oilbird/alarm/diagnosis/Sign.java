package oilbird.alarm.diagnosis;

import oilbird.alarm.state.AlarmId;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * Something by which causes show themselves: an indication of a device, or the condition of an alarm. Exactly one of
 * the two is not null.
 */
public record Sign(@Nullable SignalId indication, @Nullable AlarmId alarm) {
    public Sign {
        if ((indication == null) == (alarm == null)) {
            throw new IllegalArgumentException("a sign is an indication or an alarm");
        }
    }

    public static Sign of(SignalId indication) {
        return new Sign(indication, null);
    }

    public static Sign of(AlarmId alarm) {
        return new Sign(null, alarm);
    }

    /** {@code gas-t1/oil-flow-low}, or {@code alarm t1/gas-t1.hydrogen-high}. */
    @Override
    public String toString() {
        return indication != null ? indication.toString() : "alarm " + alarm;
    }
}
