package oilbird.alarm.evidence;

import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/** Not a number stands for a value that the device itself does not give. */
final class MissingWatch extends ShapeWatch {
    private final long over;
    private final Feature.@Nullable Limit loop;
    private long since = NEVER;
    private long wakeAt = NEVER;

    MissingWatch(Feature.Missing missing) {
        this.over = missing.over().toNanos();
        this.loop = missing.loop();
    }

    /** Whether it is the device that gives no value, not the way to it or somebody's work on it. */
    static boolean byDevice(QualityReason why) {
        return switch (why) {
            case NO_VALUE, NOT_A_NUMBER, OUTSIDE_RANGE, LOOP_FAILED, LOOP_FAILED_HIGH, DECLARED_BAD -> true;
            default -> false;
        };
    }

    /** Whether a value that the device does not give is missing for the reason that is looked for. */
    boolean asLookedFor(QualityReason why) {
        return loop == null
                || why == (loop == Feature.Limit.LOW ? QualityReason.LOOP_FAILED : QualityReason.LOOP_FAILED_HIGH);
    }

    @Override
    void sample(int input, long now, double value) {
        if (!Double.isNaN(value)) {
            since = NEVER;
            wakeAt = NEVER;
        } else if (since == NEVER) {
            since = now;
            wakeAt = now + over;
        }
    }

    @Override
    void restart() {
        since = NEVER;
        wakeAt = NEVER;
    }

    @Override
    IndicationState tell(long now) {
        return holds(since != NEVER && now - since >= over);
    }

    @Override
    long wakeAt() {
        return wakeAt;
    }
}
