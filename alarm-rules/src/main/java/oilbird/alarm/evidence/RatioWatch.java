package oilbird.alarm.evidence;

import java.util.ArrayList;
import java.util.List;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;
import org.jspecify.annotations.Nullable;

/**
 * The usual level is the median of fifty samples, each the median of its time, spread over usable time only. Where
 * their own spread (1.4826 x median absolute deviation, the estimate of a normal distribution's standard deviation)
 * takes more than half the margin to the limit, the level is no measure of anything and nothing is told.
 */
final class RatioWatch extends ShapeWatch {
    static final int LEVELS = 50;
    private static final int STORED_EVERY = 10;
    private static final double REGAINED = 0.1;

    private final Feature.Ratio ratio;
    private final SlidingMedian recent;
    private final long slot;
    private final long longestGap;
    private final List<Double> levels = new ArrayList<>();
    private double usual = Double.NaN;
    private boolean steady;
    private long usable;
    private long last = Long.MIN_VALUE;
    private boolean held;
    private boolean worthStoring;

    RatioWatch(Feature.Ratio ratio) {
        this.ratio = ratio;
        this.recent = new SlidingMedian(ratio.over().toNanos(), null);
        this.slot = ratio.learnOver().toNanos() / LEVELS;
        this.longestGap = ratio.over().toNanos() / 2;
    }

    @Override
    void sample(int input, long now, double value) {
        recent.add(now, value);
        if (levels.size() < LEVELS) {
            if (last != Long.MIN_VALUE && now - last <= longestGap) {
                usable += now - last;
            }
            if (usable >= slot && recent.complete(now, 1)) {
                usable -= slot;
                learn(recent.median());
            }
        }
        last = now;
    }

    private void learn(double level) {
        levels.add(level);
        worthStoring = levels.size() % STORED_EVERY == 0;
        if (levels.size() == LEVELS) {
            conclude();
        }
    }

    private void conclude() {
        usual = SlidingMedian.median(
                levels.stream().mapToDouble(Double::doubleValue).toArray());
        double spread = Feature.DEVIATION_OF_MAD
                * SlidingMedian.deviation(
                        levels.stream().mapToDouble(Double::doubleValue).toArray(), usual);
        steady = usual > 0 && spread <= usual * margin() / 2;
    }

    /** The nearer of the two limits to the usual level, as a part of it. */
    private double margin() {
        double down = ratio.below() == null ? Double.MAX_VALUE : 1 - ratio.below();
        double up = ratio.above() == null ? Double.MAX_VALUE : ratio.above() - 1;
        return Math.min(down, up);
    }

    @Override
    void restart() {
        recent.clear();
        last = Long.MIN_VALUE;
    }

    @Override
    IndicationState tell(long now) {
        if (!steady || !recent.complete(now, 1)) {
            return IndicationState.CANNOT_BE_TOLD;
        }
        double part = recent.median() / usual;
        Double below = ratio.below();
        Double above = ratio.above();
        held = (below != null && part < (held ? below + REGAINED * (1 - below) : below))
                || (above != null && part > (held ? above - REGAINED * (above - 1) : above));
        return holds(held);
    }

    @Override
    @Nullable
    Learnt learnt() {
        if (!worthStoring) {
            return null;
        }
        worthStoring = false;
        return new Learnt(declaration(), levels);
    }

    private String declaration() {
        return ratio.of() + ", " + ratio.over() + ", " + ratio.learnOver() + ", " + ratio.learntSince();
    }

    @Override
    void goOnFrom(Learnt stored) {
        if (stored.of().equals(declaration()) && stored.levels().size() <= LEVELS) {
            levels.clear();
            levels.addAll(stored.levels());
            if (levels.size() == LEVELS) {
                conclude();
            }
        }
    }
}
