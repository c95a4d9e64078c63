package oilbird.alarm.state;

import oilbird.mapping.signal.Moment;

/**
 * The way from the monotonic time of a process that has ended to that of this one.
 *
 * @param saved the last known moment of the old process.
 * @param now the present moment of this one.
 * @param downNanos how long nothing ran in between; 0 where the wall clock does not tell.
 */
public record Rebase(Moment saved, Moment now, long downNanos) {
    private static final long NANOS_PER_MILLI = 1_000_000L;

    public static Rebase between(Moment saved, Moment now) {
        boolean clockTells = saved.wallTrusted() && now.wallTrusted();
        long downMillis = clockTells ? Math.max(0, now.wallMillis() - saved.wallMillis()) : 0;
        return new Rebase(saved, now, Math.min(downMillis, Long.MAX_VALUE / NANOS_PER_MILLI) * NANOS_PER_MILLI);
    }

    /** False where the wall clock does not tell how long nothing ran. */
    public boolean clockTells() {
        return saved.wallTrusted() && now.wallTrusted();
    }

    /** A deadline of the old process; {@code now} if it has passed, NEVER stays. */
    public long deadline(long old) {
        return old == AlarmState.NEVER ? AlarmState.NEVER : now.monotonicNanos() + left(old);
    }

    /** An instant of the old process, which may lie before the origin of this one. */
    public long instant(long old) {
        return old - saved.monotonicNanos() + now.monotonicNanos() - downNanos;
    }

    /** The wall time of a deadline for people: told anew where the clock is trusted now, else as stored. */
    public long wall(long oldDeadline, long storedWallMillis) {
        return oldDeadline == AlarmState.NEVER || !now.wallTrusted()
                ? storedWallMillis
                : now.wallMillis() + left(oldDeadline) / NANOS_PER_MILLI;
    }

    private long left(long oldDeadline) {
        return Math.max(0, oldDeadline - saved.monotonicNanos() - downNanos);
    }
}
