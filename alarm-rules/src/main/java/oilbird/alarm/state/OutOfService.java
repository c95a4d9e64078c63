package oilbird.alarm.state;

/**
 * An alarm removed from service: who, why, under which permit and until when.
 *
 * @param permit the owner's permit or work order number, empty when none was given.
 * @param until monotonic nanoseconds of the expiry reminder; {@link AlarmState#NEVER} for none. Expiry
 *     reminds, it never returns an alarm to service by itself.
 * @param untilWallMillis the same for people and records; 0 for none.
 */
public record OutOfService(Actor by, String reason, String permit, long until, long untilWallMillis) {
    OutOfService until(long newUntil, long newUntilWallMillis) {
        return new OutOfService(by, reason, permit, newUntil, newUntilWallMillis);
    }
}
