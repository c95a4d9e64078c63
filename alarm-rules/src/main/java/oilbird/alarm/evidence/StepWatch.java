package oilbird.alarm.evidence;

import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;

final class StepWatch extends ShapeWatch {
    private final Feature.Step step;
    private final SlidingMedian recent;
    private final SlidingMedian before;
    /** False after a step until both windows agree again, so that the way back is not another one. */
    private boolean armed = true;

    private long until = Long.MIN_VALUE;
    private double level;

    StepWatch(Feature.Step step) {
        this.step = step;
        long window = step.within().toNanos();
        this.before = new SlidingMedian(window, null);
        this.recent = new SlidingMedian(window, before);
    }

    @Override
    void sample(int input, long now, double value) {
        recent.add(now, value);
        boolean complete = recent.complete(now, 2);
        double difference = recent.median() - before.median();
        if (remembers(now)) {
            if (recent.complete(now, 1) && Math.abs(recent.median() - level) <= step.by() / 2) {
                until = Long.MIN_VALUE;
                armed = false;
            }
        } else if (complete && armed && beyond(difference, step.by(), step.direction())) {
            armed = false;
            level = before.median();
            until = now + step.remembered().toNanos();
        }
        if (complete && Math.abs(difference) <= step.by() / 2) {
            armed = true;
        }
    }

    /** A step that was seen is not undone by a change of what else is so. */
    @Override
    void restart() {
        recent.clear();
    }

    @Override
    boolean remembers(long now) {
        return now < until;
    }

    @Override
    IndicationState tell(long now) {
        return remembers(now)
                ? IndicationState.HOLDS
                : recent.complete(now, 2) ? IndicationState.DOES_NOT_HOLD : IndicationState.CANNOT_BE_TOLD;
    }

    @Override
    long wakeAt() {
        return until == Long.MIN_VALUE ? NEVER : until;
    }
}
