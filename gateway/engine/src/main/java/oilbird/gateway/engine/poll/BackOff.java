package oilbird.gateway.engine.poll;

import java.time.Duration;
import java.util.Random;

/** Waits that double with every failure in a row, each with up to a quarter of jitter on top. */
public final class BackOff {
    private static final double JITTER = 0.25;

    private final long first;
    private final long longest;
    private final Random random;
    private long next;

    /**
     * @param random gives the jitter; the same sequence gives the same waits.
     */
    public BackOff(Duration first, Duration longest, Random random) {
        this.first = first.toNanos();
        this.longest = longest.toNanos();
        this.random = random;
        next = this.first;
    }

    /** The next wait in nanoseconds. */
    public long take() {
        long wait = next;
        next = Math.min(longest, 2 * next);
        return wait + (long) (wait * JITTER * random.nextDouble());
    }

    public void reset() {
        next = first;
    }
}
