package oilbird.alarm.evidence;

import java.util.ArrayDeque;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;

/** Counts turning points: where a value has come back from an extreme by at least the size of a swing. */
final class FluctuationWatch extends ShapeWatch {
    private final double by;
    private final int times;
    private final long over;
    private final ArrayDeque<Long> turns = new ArrayDeque<>();
    private double lowest = Double.NaN;
    private double highest = Double.NaN;
    /** Where it is heading since the last turning point: 1 up, -1 down, 0 not yet known. */
    private int heading;

    private long first = NEVER;

    FluctuationWatch(Feature.Fluctuation fluctuation) {
        this.by = fluctuation.by();
        this.times = fluctuation.times();
        this.over = fluctuation.over().toNanos();
    }

    @Override
    void sample(int input, long now, double value) {
        first = Math.min(first, now);
        lowest = Double.isNaN(lowest) ? value : Math.min(lowest, value);
        highest = Double.isNaN(highest) ? value : Math.max(highest, value);
        boolean fell = highest - value >= by;
        boolean rose = value - lowest >= by;
        if (fell && heading >= 0 || rose && heading <= 0) {
            if (heading != 0) {
                turns.addLast(now);
            }
            heading = fell && heading >= 0 ? -1 : 1;
            lowest = value;
            highest = value;
        } else if (heading > 0) {
            lowest = value;
        } else if (heading < 0) {
            highest = value;
        }
        if (turns.size() > times) {
            turns.removeFirst();
        }
    }

    @Override
    void restart() {
        turns.clear();
        lowest = Double.NaN;
        highest = Double.NaN;
        heading = 0;
        first = NEVER;
    }

    @Override
    IndicationState tell(long now) {
        while (!turns.isEmpty() && now - turns.getFirst() >= over) {
            turns.removeFirst();
        }
        if (turns.size() >= times) {
            return IndicationState.HOLDS;
        }
        boolean watched = first != NEVER && now - first >= over;
        return watched ? IndicationState.DOES_NOT_HOLD : IndicationState.CANNOT_BE_TOLD;
    }

    @Override
    long wakeAt() {
        return turns.isEmpty() ? NEVER : turns.getFirst() + over;
    }
}
