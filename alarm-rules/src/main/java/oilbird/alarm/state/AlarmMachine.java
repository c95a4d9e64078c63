package oilbird.alarm.state;

import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/** The state machine of one alarm. */
public final class AlarmMachine {
    private AlarmMachine() {}

    /** What {@code input} makes of {@code state}. */
    public static AlarmStep step(AlarmState state, AlarmInput input, AlarmPolicy policy) {
        throw new UnsupportedOperationException();
    }

    /**
     * Moves a stored state to the monotonic origin of this process. Pending delays start from zero.
     *
     * @param stored as it was stored by an earlier process.
     * @param savedAt the last moment at which that process is known to have run (the newest commit will do),
     *     in its own monotonic time; null if unknown, which ends shelving (T32).
     * @param now in this process's monotonic time.
     */
    public static AlarmStep restart(AlarmState stored, @Nullable Moment savedAt, Moment now, AlarmPolicy policy) {
        throw new UnsupportedOperationException();
    }
}
