package oilbird.demoplant.device;

import java.util.ArrayList;
import java.util.List;
import java.util.function.LongFunction;
import java.util.function.Supplier;
import oilbird.demoplant.course.Faults;

/**
 * A measurement that a monitor repeats, and what has become of it at any time: how many are finished, when the last one
 * was, how far the running one is.
 *
 * <p>Followed in steps of a minute, which are kept until the faults change. Safe for use by several threads.
 */
final class Cycle {
    private static final long MINUTE = 60_000;
    private static final int MINUTES_BEFORE = 24 * 60;

    /** What a measurement does in one minute. */
    enum Going {
        RUNS,
        STANDS,
        GIVEN_UP
    }

    private record Minute(int finished, long lastEnd, int progress) {}

    private final int length;
    private final int firstProgress;
    private final LongFunction<Going> going;
    private final Supplier<Faults> faults;
    private final List<Minute> steps = new ArrayList<>();
    private Faults computedFor = Faults.NONE;

    /**
     * @param length minutes that one measurement takes, a divisor of a day's
     * @param firstProgress minutes that the running one has taken at plant time 0, when nothing stopped one before
     * @param going what the measurement does at a time, for the faults of the moment
     */
    Cycle(int length, int firstProgress, LongFunction<Going> going, Supplier<Faults> faults) {
        this.length = length;
        this.firstProgress = firstProgress;
        this.going = going;
        this.faults = faults;
    }

    /** Measurements finished since plant time 0; below 0 before it. */
    int finished(long at) {
        return minute(at).finished - minute(0).finished;
    }

    /** Plant time at which the last one finished; before 0 for one of the time before. */
    long lastEnd(long at) {
        return minute(at).lastEnd;
    }

    /** Minutes that the running one has taken. */
    int progress(long at) {
        return minute(at).progress;
    }

    private synchronized Minute minute(long at) {
        Faults now = faults.get();
        if (now != computedFor) {
            steps.clear();
            computedFor = now;
        }
        int wanted = (int) Math.max(0, Math.floorDiv(at, MINUTE) + MINUTES_BEFORE);
        while (steps.size() <= wanted) {
            steps.add(
                    steps.isEmpty()
                            ? new Minute(0, -(firstProgress + MINUTES_BEFORE) * MINUTE, firstProgress)
                            : next(steps.get(steps.size() - 1), (steps.size() - MINUTES_BEFORE) * MINUTE));
        }
        return steps.get(wanted);
    }

    private Minute next(Minute last, long at) {
        return switch (going.apply(at)) {
            case GIVEN_UP -> new Minute(last.finished, last.lastEnd, 0);
            case STANDS -> last;
            case RUNS ->
                last.progress + 1 >= length
                        ? new Minute(last.finished + 1, at, 0)
                        : new Minute(last.finished, last.lastEnd, last.progress + 1);
        };
    }
}
