package oilbird.alarm.evidence;

import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;

final class DivergenceWatch extends ShapeWatch {
    private static final double ENDS_AT = 0.9;

    private final Feature.Divergence divergence;
    private final SlidingMedian differences;
    private final double[] latest = {Double.NaN, Double.NaN};
    private boolean news;
    private boolean held;

    DivergenceWatch(Feature.Divergence divergence) {
        this.divergence = divergence;
        this.differences = new SlidingMedian(divergence.over().toNanos(), null);
    }

    @Override
    void sample(int input, long now, double value) {
        latest[input] = value;
        news = true;
    }

    @Override
    void blind(int input) {
        latest[input] = Double.NaN;
    }

    @Override
    void restart() {
        differences.clear();
    }

    @Override
    IndicationState tell(long now) {
        double difference = latest[0] - latest[1] - divergence.usual();
        if (news && !Double.isNaN(difference)) {
            differences.add(now, difference);
        }
        news = false;
        if (!differences.complete(now, 1)) {
            return IndicationState.CANNOT_BE_TOLD;
        }
        double limit = held ? ENDS_AT * divergence.beyond() : divergence.beyond();
        held = beyond(differences.median(), limit, divergence.direction());
        return holds(held);
    }
}
