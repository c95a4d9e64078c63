package oilbird.alarm.evidence;

import java.time.Duration;
import java.util.Arrays;
import java.util.List;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;

final class CoincidenceWatch extends ShapeWatch {
    private static final long UNKNOWN = Long.MIN_VALUE;

    private final Feature.Coincidence coincidence;
    private final List<Feature.Source> inputs;
    private final IndicationState[] now;
    private final long[] began;
    /** Nanoseconds for which it is remembered; 0 for not at all. */
    private final long remembered;

    private boolean so;
    private long until = UNKNOWN;
    private long watchedSince = UNKNOWN;

    CoincidenceWatch(Feature.Coincidence coincidence) {
        this.coincidence = coincidence;
        this.inputs = coincidence.of().stream()
                .map(Feature.Told::indication)
                .distinct()
                .toList();
        Duration memory = coincidence.remembered();
        this.remembered = memory == null ? 0 : memory.toNanos();
        this.now = new IndicationState[inputs.size()];
        this.began = new long[inputs.size()];
        Arrays.fill(now, IndicationState.CANNOT_BE_TOLD);
        Arrays.fill(began, UNKNOWN);
    }

    @Override
    void sample(int input, long at, double value) {
        throw new IllegalStateException("a coincidence looks at no readings");
    }

    @Override
    void restart() {}

    @Override
    void told(int input, long at, IndicationState state) {
        if (input < now.length && state != now[input]) {
            boolean opposite = state != IndicationState.CANNOT_BE_TOLD && now[input] != IndicationState.CANNOT_BE_TOLD;
            began[input] = opposite ? at : UNKNOWN;
            now[input] = state;
        }
    }

    @Override
    void interrupted(long at) {
        if (so) {
            so = false;
            until = at + remembered;
        }
    }

    @Override
    boolean remembers(long at) {
        return remembered > 0 && at < until;
    }

    @Override
    long wakeAt() {
        if (remembered == 0 || so || watchedSince == UNKNOWN) {
            return NEVER;
        }
        return Math.max(until, watchedSince + remembered);
    }

    @Override
    IndicationState tell(long at) {
        IndicationState answer = now(at);
        if (watchedSince == UNKNOWN && answer != IndicationState.CANNOT_BE_TOLD) {
            watchedSince = at;
        }
        if (answer == IndicationState.HOLDS) {
            so = true;
            return answer;
        }
        interrupted(at);
        // What may have been so before anybody watched is not denied.
        boolean unseen = watchedSince == UNKNOWN || at - watchedSince < remembered;
        return unseen ? IndicationState.CANNOT_BE_TOLD : answer;
    }

    private IndicationState now(long at) {
        boolean all = true;
        for (Feature.Told each : coincidence.of()) {
            IndicationState state = now[inputs.indexOf(each.indication())];
            if (state == IndicationState.CANNOT_BE_TOLD) {
                all = false;
            } else if ((state == IndicationState.HOLDS) != each.holds()) {
                return IndicationState.DOES_NOT_HOLD;
            }
        }
        if (!all) {
            return IndicationState.CANNOT_BE_TOLD;
        }
        Duration within = coincidence.beganWithin();
        return within == null ? IndicationState.HOLDS : together(within.toNanos());
    }

    private IndicationState together(long within) {
        long first = Long.MAX_VALUE;
        long last = Long.MIN_VALUE;
        for (long each : began) {
            if (each == UNKNOWN) {
                return IndicationState.CANNOT_BE_TOLD;
            }
            first = Math.min(first, each);
            last = Math.max(last, each);
        }
        return holds(last - first <= within);
    }
}
