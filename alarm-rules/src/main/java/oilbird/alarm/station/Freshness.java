package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.List;

/**
 * What decides together that some signals are stale: the answers to one request, or the changes of one
 * analysis counter, with the age that they allow.
 */
final class Freshness implements Timed {
    final long allowedNanos;
    final int timer;
    final List<ReadingTrack> readings = new ArrayList<>();
    final List<IndicationTrack> indications = new ArrayList<>();
    /** Alarms on overdue data. */
    final List<AlarmTrack> alarms = new ArrayList<>();

    /** False until something was received at all; nothing is overdue before. */
    boolean known;

    boolean stale;
    long renewedAt;

    Freshness(long allowedNanos, int timer) {
        this.allowedNanos = allowedNanos;
        this.timer = timer;
    }

    /** Monotonic nanoseconds; never for an age beyond the range of the clock. */
    long staleAt() {
        long at = renewedAt + allowedNanos;
        return at < renewedAt ? Deadlines.NEVER : at;
    }
}
