package oilbird.mapping.signal;

/**
 * A point in time as the gateway knows it. Delays and deadlines use the monotonic part only; the wall
 * part is for people and records.
 *
 * @param monotonicNanos nanoseconds since an arbitrary origin fixed at process start; never steps.
 * @param wallMillis milliseconds since 1970-01-01T00:00:00Z.
 * @param wallTrusted false while the wall clock is known to be unset or unsynchronised.
 */
public record Moment(long monotonicNanos, long wallMillis, boolean wallTrusted) {
    /** The same wall clock, advanced together with the monotonic clock by {@code nanos}. */
    public Moment plusNanos(long nanos) {
        return new Moment(
                Math.addExact(monotonicNanos, nanos),
                Math.addExact(wallMillis, Math.floorDiv(nanos, 1_000_000L)),
                wallTrusted);
    }
}
