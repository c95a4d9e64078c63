package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.transformer.trend.RobustSlope;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.SignalId;

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
    private long keptAt = Long.MIN_VALUE;

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
        if (count == times.length) {
            dropOldest();
        }
        dropBefore(at - windowNanos);
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

    private void dropBefore(long at) {
        while (count > 0 && times[first] < at) {
            dropOldest();
        }
    }

    private void dropOldest() {
        first = (first + 1) % times.length;
        count--;
    }

    // ---- over a restart

    /** True once a twentieth of the window, and not less than {@code leastNanos}, is not kept yet. */
    boolean worthKeeping(long leastNanos) {
        if (count == 0) {
            return false;
        }
        long newest = times[place(count - 1)];
        return keptAt == Long.MIN_VALUE || newest - keptAt >= Math.max(leastNanos, windowNanos / 20);
    }

    Remembered kept(String key, SignalId reading) {
        List<Long> instants = new ArrayList<>(count);
        List<Double> numbers = new ArrayList<>(2 * count);
        for (int i = 0; i < count; i++) {
            instants.add(times[place(i)]);
            numbers.add(values[place(i)]);
            numbers.add((double) qualities[place(i)].ordinal());
        }
        keptAt = times[place(count - 1)];
        return new Remembered(key, List.of(reading.toString(), Long.toString(windowNanos)), instants, numbers, false);
    }

    /** Takes the samples kept before a restart, unless they are of another reading or for another window. */
    void goOnFrom(Remembered before, SignalId reading, long now) {
        boolean same = before.texts().equals(List.of(reading.toString(), Long.toString(windowNanos)))
                && before.instants().size() <= times.length;
        for (int i = 0; same && i < before.instants().size(); i++) {
            times[i] = before.instants().get(i);
            values[i] = before.numbers().get(2 * i);
            qualities[i] = Quality.values()[before.numbers().get(2 * i + 1).intValue()];
            keptAt = times[i];
            count++;
        }
        dropBefore(now - windowNanos);
        compute();
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
