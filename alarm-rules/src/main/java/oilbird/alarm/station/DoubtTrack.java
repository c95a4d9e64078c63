package oilbird.alarm.station;

/** One indication's power to make one reading doubtful, and whether it does so now. */
final class DoubtTrack implements Timed {
    enum Phase {
        NONE,
        /** The indication holds, or held when it last could be told. */
        IN_DOUBT,
        /** The indication no longer holds; the reading is still as bad as it was. */
        RECOVERING
    }

    final IndicationTrack because;
    final ReadingTrack reading;
    final boolean worthless;
    final int periodsAfter;
    final int timer;

    Phase phase = Phase.NONE;
    /** For a reading with an analysis counter: the analysis from which it can be trusted again. */
    long trustedFromAnalysis;
    /** While it recovers by time: monotonic nanoseconds at which it is over. */
    long until = Deadlines.NEVER;

    DoubtTrack(IndicationTrack because, ReadingTrack reading, boolean worthless, int periodsAfter, int timer) {
        this.because = because;
        this.reading = reading;
        this.worthless = worthless;
        this.periodsAfter = periodsAfter;
        this.timer = timer;
    }

    /** Further analyses that it takes until the reading can be trusted; 0 where it does not recover by analyses. */
    long analysesLeft() {
        return phase == Phase.RECOVERING && reading.counter != null
                ? trustedFromAnalysis - reading.counter.analyses
                : 0;
    }
}
