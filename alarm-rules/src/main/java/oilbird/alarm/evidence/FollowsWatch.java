package oilbird.alarm.evidence;

import java.util.ArrayDeque;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.IndicationState;

/**
 * Partial correlation of the difference and the third value, given time: both are freed of their straight line over
 * time, which takes away what grows steadily, and what is left of them is correlated. Means of 48 parts of the time are
 * looked at, so that scatter counts little.
 */
final class FollowsWatch extends ShapeWatch {
    private static final int PARTS = 48;
    /** Half of what is left of the difference is explained by the third value. */
    private static final double LEAST_CORRELATION = 0.7;

    private static final double STILL_CORRELATES = 0.6;
    private static final double STILL_MOVES = 0.9;

    private final Feature.Follows follows;
    private final long part;
    private final double[] latest = {Double.NaN, Double.NaN, Double.NaN};
    private final ArrayDeque<double[]> means = new ArrayDeque<>();
    private long partSince = NEVER;
    private double sumDifference;
    private double sumWith;
    private int count;
    private boolean news;
    private boolean held;

    FollowsWatch(Feature.Follows follows) {
        this.follows = follows;
        this.part = follows.over().toNanos() / PARTS;
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
        means.clear();
        partSince = NEVER;
        sumDifference = 0;
        sumWith = 0;
        count = 0;
        held = false;
    }

    @Override
    IndicationState tell(long now) {
        double difference = latest[0] - latest[1];
        if (news && !Double.isNaN(difference) && !Double.isNaN(latest[2])) {
            add(now, difference, latest[2]);
        }
        news = false;
        return means.size() < PARTS ? IndicationState.CANNOT_BE_TOLD : holds(held);
    }

    private void add(long now, double difference, double with) {
        if (partSince != NEVER && now - partSince >= 2 * part) {
            restart(); // a gap: the parts would no longer be of equal length
        }
        if (partSince == NEVER) {
            partSince = now;
        } else if (now - partSince >= part) {
            means.addLast(new double[] {sumDifference / count, sumWith / count});
            if (means.size() > PARTS) {
                means.removeFirst();
            }
            partSince += part;
            sumDifference = 0;
            sumWith = 0;
            count = 0;
            if (means.size() == PARTS) {
                conclude();
            }
        }
        sumDifference += difference;
        sumWith += with;
        count++;
    }

    private void conclude() {
        double[] of = freed(0);
        double[] with = freed(1);
        double both = 0;
        double ofSquared = 0;
        double withSquared = 0;
        double least = Double.MAX_VALUE;
        double most = -Double.MAX_VALUE;
        for (int i = 0; i < PARTS; i++) {
            both += of[i] * with[i];
            ofSquared += of[i] * of[i];
            withSquared += with[i] * with[i];
            least = Math.min(least, of[i]);
            most = Math.max(most, of[i]);
        }
        double spread = StrictMath.sqrt(ofSquared * withSquared);
        double correlation = spread > 0 ? both / spread : 0;
        held = correlation >= (held ? STILL_CORRELATES : LEAST_CORRELATION)
                && most - least >= (held ? STILL_MOVES : 1) * follows.by();
    }

    /** A value's means less their least-squares line over time. */
    private double[] freed(int which) {
        double[] values = means.stream().mapToDouble(m -> m[which]).toArray();
        double middle = (PARTS - 1) / 2.0;
        double mean = 0;
        double slope = 0;
        double times = 0;
        for (int i = 0; i < PARTS; i++) {
            mean += values[i] / PARTS;
            slope += (i - middle) * values[i];
            times += (i - middle) * (i - middle);
        }
        for (int i = 0; i < PARTS; i++) {
            values[i] -= mean + slope / times * (i - middle);
        }
        return values;
    }
}
