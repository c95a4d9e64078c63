package oilbird.alarm.evidence;

import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;

final class UnscheduledWatch extends ShapeWatch {
    private final long soonest;
    private final long remembered;
    private double count = Double.NaN;
    /** When the counter moved last; unknown when it may have moved unseen. */
    private long movedAt = NEVER;

    private boolean told;
    private long until = Long.MIN_VALUE;

    UnscheduledWatch(Feature.Unscheduled unscheduled) {
        this.soonest = (long) (unscheduled.every().toNanos() * (1 - unscheduled.tolerance()));
        this.remembered = unscheduled.remembered().toNanos();
    }

    @Override
    void sample(int input, long now, double value) {
        if (Double.isNaN(count)) {
            count = value;
            return;
        }
        if (value == count) {
            return;
        }
        if (movedAt != NEVER) {
            told = true;
            if (now - movedAt < soonest) {
                until = now + remembered;
            }
        }
        count = value;
        movedAt = now;
    }

    @Override
    void blind(int input) {
        restart();
    }

    @Override
    void restart() {
        count = Double.NaN;
        movedAt = NEVER;
        told = false;
    }

    @Override
    boolean remembers(long now) {
        return now < until;
    }

    @Override
    IndicationState tell(long now) {
        return remembers(now)
                ? IndicationState.HOLDS
                : told ? IndicationState.DOES_NOT_HOLD : IndicationState.CANNOT_BE_TOLD;
    }

    @Override
    long wakeAt() {
        return until == Long.MIN_VALUE ? NEVER : until;
    }
}
