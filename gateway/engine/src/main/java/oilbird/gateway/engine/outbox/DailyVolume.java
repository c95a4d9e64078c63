package oilbird.gateway.engine.outbox;

import java.util.concurrent.TimeUnit;
import oilbird.mapping.signal.Moment;

/**
 * How many bytes a link has sent in the present day.
 *
 * <p>A day ends at midnight UTC of a wall clock that can be trusted, and in any case 24 hours after the last one ended. A
 * clock that is set back gives no second budget for the same day; one that is set forward begins the new day once.
 *
 * <p>Used by one thread.
 */
final class DailyVolume {
    private static final long DAY_MILLIS = TimeUnit.DAYS.toMillis(1);
    private static final long DAY_NANOS = TimeUnit.DAYS.toNanos(1);

    private long day;
    private long bytes;
    private long began;

    /**
     * @param day counted from 1970-01-01, as last saved; 0 for none.
     * @param bytes sent in it.
     */
    DailyVolume(long day, long bytes, Moment now) {
        this.day = day == 0 ? Math.floorDiv(now.wallMillis(), DAY_MILLIS) : day;
        this.bytes = bytes;
        this.began = now.monotonicNanos();
    }

    /** Sent so much more. */
    void add(long more, Moment now) {
        today(now);
        bytes += more;
    }

    long today(Moment now) {
        long wallDay = Math.floorDiv(now.wallMillis(), DAY_MILLIS);
        boolean byWall = now.wallTrusted() && wallDay > day;
        if (byWall || now.monotonicNanos() - began >= DAY_NANOS) {
            bytes = 0;
            day = wallDay;
            began = now.monotonicNanos();
        }
        return bytes;
    }

    long day() {
        return day;
    }
}
