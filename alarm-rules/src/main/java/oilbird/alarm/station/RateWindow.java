package oilbird.alarm.station;

import oilbird.alarm.rule.Condition;
import oilbird.alarm.transformer.trend.RobustSlope;
import oilbird.mapping.signal.Quality;

/**
 * The samples of one reading within a window that moves with time, and their robust slope. Of samples that come
 * faster than a hundredth of the window only some are kept, which a median does not mind.
 */
final class RateWindow {
    private static final int SLOTS = 100;

    private final long windowNanos;
    private final double perNanos;
    private final int least;
    private final long[] times = new long[SLOTS + 1];
    private final double[] values = new double[SLOTS + 1];
    private final Quality[] qualities = new Quality[SLOTS + 1];
    private int first;
    private int count;
    private double slope = Double.NaN;
    private Quality quality = Quality.GOOD;

    RateWindow(Condition.RateOfChange rate) {
        this.windowNanos = rate.window().toNanos();
        this.perNanos = rate.per().toNanos();
        this.least = rate.leastSamples();
    }

    /** Takes a usable sample, unless the one before is too near. */
    void add(long at, double value, Quality of) {
        if (count > 0) {
            long since = at - times[place(count - 1)];
            if (since <= 0 || (since < windowNanos / SLOTS && of == qualities[place(count - 1)])) {
                return;
            }
        }
        while (count > 0 && (count == times.length || at - times[first] > windowNanos)) {
            first = (first + 1) % times.length;
            count--;
        }
        int place = place(count);
        times[place] = at;
        values[place] = value;
        qualities[place] = of;
        count++;
        compute();
    }

    /** Takes over the samples of the same rate before other rules were loaded. */
    void goOnFrom(RateWindow before) {
        System.arraycopy(before.times, 0, times, 0, times.length);
        System.arraycopy(before.values, 0, values, 0, values.length);
        System.arraycopy(before.qualities, 0, qualities, 0, qualities.length);
        first = before.first;
        count = before.count;
        slope = before.slope;
        quality = before.quality;
    }

    private int place(int index) {
        return (first + index) % times.length;
    }

    private void compute() {
        slope = Double.NaN;
        quality = Quality.GOOD;
        if (count < least || times[place(count - 1)] - times[first] < windowNanos / 2) {
            return;
        }
        double[] since = new double[count];
        double[] of = new double[count];
        for (int i = 0; i < count; i++) {
            int place = place(i);
            since[i] = (times[place] - times[first]) / perNanos;
            of[i] = values[place];
            quality = quality.worse(qualities[place]);
        }
        slope = RobustSlope.median(since, of);
    }

    /** In the unit of the limits; not a number while the samples do not reach. */
    double slope() {
        return slope;
    }

    /** The worst quality among the samples. */
    Quality quality() {
        return quality;
    }
}
