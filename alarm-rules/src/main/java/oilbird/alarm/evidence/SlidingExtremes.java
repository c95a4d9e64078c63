package oilbird.alarm.evidence;

/**
 * The lowest and the highest sample of a window that moves with time, in steps of a sixtieth of the window: the
 * window reaches back by its length and by less than one step more. A sample costs a constant on average.
 *
 * <p>A silence of more than half the window begins it anew.
 */
final class SlidingExtremes {
    static final int STEPS = 60;

    private final long window;
    private final long step;
    private final Front lows = new Front(-1);
    private final Front highs = new Front(1);
    private long since;
    private long last;
    private boolean any;

    SlidingExtremes(long windowNanos) {
        this.window = windowNanos;
        this.step = Math.max(1, windowNanos / STEPS);
    }

    void add(long at, double value) {
        if (any && at < last) {
            return;
        }
        if (!any || at - last > window / 2) {
            clear();
            since = at;
        }
        any = true;
        last = at;
        long now = Math.floorDiv(at, step);
        long oldest = Math.floorDiv(at - window, step);
        lows.add(now, value, oldest);
        highs.add(now, value, oldest);
    }

    void clear() {
        any = false;
        lows.count = 0;
        highs.count = 0;
    }

    boolean complete(long now) {
        return any && now - last <= window / 2 && last - since >= window;
    }

    /** Highest less lowest; not a number without a sample. */
    double range() {
        return any ? highs.best() - lows.best() : Double.NaN;
    }

    /** The best sample of each step that no later one betters, the best first. */
    private static final class Front {
        private static final int CAPACITY = STEPS + 4;

        private final int sign;
        private final long[] steps = new long[CAPACITY];
        private final double[] values = new double[CAPACITY];
        private int first;
        private int count;

        Front(int sign) {
            this.sign = sign;
        }

        void add(long step, double value, long oldest) {
            while (count > 0 && steps[first] < oldest) {
                first = (first + 1) % CAPACITY;
                count--;
            }
            while (count > 0 && sign * values[place(count - 1)] <= sign * value) {
                count--;
            }
            if (count > 0 && steps[place(count - 1)] == step) {
                return;
            }
            steps[place(count)] = step;
            values[place(count)] = value;
            count++;
        }

        double best() {
            return values[first];
        }

        private int place(int index) {
            return (first + index) % CAPACITY;
        }
    }
}
