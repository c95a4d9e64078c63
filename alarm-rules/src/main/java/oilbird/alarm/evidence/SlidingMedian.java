package oilbird.alarm.evidence;

import java.util.Arrays;
import org.jspecify.annotations.Nullable;

/**
 * The median of the samples of a window that moves with time. Of samples that come faster than a sixtieth of the
 * window only some are kept, which a median does not mind; so a sample costs a search among at most 62.
 *
 * <p>A silence of more than half the window begins it anew: what came before no longer belongs to what comes now.
 */
final class SlidingMedian {
    private static final int SLOTS = 60;
    private static final int LEAST = 3;
    private static final int CAPACITY = SLOTS + 2;

    private final long window;
    private final @Nullable SlidingMedian older;
    private final long[] times = new long[CAPACITY];
    private final double[] values = new double[CAPACITY];
    private final double[] sorted = new double[CAPACITY];
    private int first;
    private int count;
    private long since;
    private long last;

    /**
     * @param windowNanos length of the window.
     * @param older takes what leaves this window and keeps it for as long again; null where it is forgotten.
     */
    SlidingMedian(long windowNanos, @Nullable SlidingMedian older) {
        this.window = windowNanos;
        this.older = older;
    }

    void add(long at, double value) {
        if (count > 0 && (at <= last || at - last > window / 2)) {
            if (at <= last) {
                return;
            }
            clear();
        }
        if (count == 0) {
            since = at;
        }
        last = at;
        evict(at - window);
        if (count > 0 && at - times[(first + count - 1) % CAPACITY] < window / SLOTS) {
            return;
        }
        if (count == CAPACITY) {
            evictFirst();
        }
        insert(at, value);
    }

    private void take(long at, double value, long keptFrom) {
        evict(keptFrom);
        if (count == CAPACITY) {
            evictFirst();
        }
        insert(at, value);
    }

    private void insert(long at, double value) {
        times[(first + count) % CAPACITY] = at;
        values[(first + count) % CAPACITY] = value;
        int place = Arrays.binarySearch(sorted, 0, count, value);
        place = place < 0 ? -place - 1 : place;
        System.arraycopy(sorted, place, sorted, place + 1, count - place);
        sorted[place] = value;
        count++;
    }

    private void evict(long keptFrom) {
        while (count > 0 && times[first] < keptFrom) {
            evictFirst();
        }
        if (older != null) {
            older.evict(keptFrom - window);
        }
    }

    private void evictFirst() {
        double value = values[first];
        int place = Arrays.binarySearch(sorted, 0, count, value);
        System.arraycopy(sorted, place + 1, sorted, place, count - place - 1);
        if (older != null) {
            older.take(times[first], value, times[first] - window);
        }
        first = (first + 1) % CAPACITY;
        count--;
    }

    void clear() {
        count = 0;
        first = 0;
        if (older != null) {
            older.clear();
        }
    }

    /** Whether samples without a gap reach over the window, and {@code times} times as far. */
    boolean complete(long now, int times) {
        return count >= LEAST
                && now - last <= window / 2
                && last - since >= times * window
                && (older == null || times < 2 || older.count >= LEAST);
    }

    /** The middle of the two middle values for an even count; not a number without any. */
    double median() {
        return count == 0 ? Double.NaN : middle(sorted, count);
    }

    /** The median of a number of values; changes their order. */
    static double median(double[] of) {
        Arrays.sort(of);
        return middle(of, of.length);
    }

    /** The median of the absolute distances from {@code centre}. */
    static double deviation(double[] of, double centre) {
        double[] distances = new double[of.length];
        for (int i = 0; i < of.length; i++) {
            distances[i] = Math.abs(of[i] - centre);
        }
        return median(distances);
    }

    private static double middle(double[] ascending, int count) {
        int half = count / 2;
        return count % 2 == 1 ? ascending[half] : (ascending[half - 1] + ascending[half]) / 2;
    }
}
