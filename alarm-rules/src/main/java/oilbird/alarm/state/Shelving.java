package oilbird.alarm.state;

import org.jspecify.annotations.Nullable;

/**
 * Shelving by an operator.
 *
 * @param until monotonic nanoseconds at which timed shelving ends; {@link AlarmState#NEVER} otherwise.
 * @param untilWallMillis the same for people and records; 0 when there is no time limit.
 */
public record Shelving(
        Kind kind,
        long until,
        long untilWallMillis,
        @Nullable Actor by,
        String reason) {
    public enum Kind {
        NONE,
        TIMED,
        ONE_SHOT
    }

    public static final Shelving NONE = new Shelving(Kind.NONE, AlarmState.NEVER, 0, null, "");
}
