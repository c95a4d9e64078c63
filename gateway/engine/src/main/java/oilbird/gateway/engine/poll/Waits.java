package oilbird.gateway.engine.poll;

import java.time.Duration;
import java.util.Random;

/**
 * How long a poller waits after failures, whatever the protocol.
 *
 * @param firstBackOff wait after a first failure; it doubles with every further one.
 * @param longestBackOff where the doubling ends.
 * @param firstSuspension wait after a refusal that is not likely to end by itself: a request refused as faulty, another
 *     product, a user or password; it doubles too. Long, since a server may lock a user out after a few wrong passwords.
 * @param longestSuspension where that doubling ends.
 * @param seed of the jitter, up to a quarter of each wait; the same seed gives the same waits.
 */
public record Waits(
        Duration firstBackOff,
        Duration longestBackOff,
        Duration firstSuspension,
        Duration longestSuspension,
        long seed) {
    private static final Duration LEAST = Duration.ofMillis(500);

    public Waits {
        if (firstBackOff.toNanos() < 1 || firstSuspension.toNanos() < 1) {
            throw new IllegalArgumentException("the first waits must be longer than nothing");
        }
        if (longestBackOff.compareTo(firstBackOff) < 0 || longestSuspension.compareTo(firstSuspension) < 0) {
            throw new IllegalArgumentException("the longest wait is shorter than the first");
        }
    }

    /** Back-off 0.5 to 30 s; suspension 1 to 15 min. */
    public static Waits standard(long seed) {
        return new Waits(
                Duration.ofMillis(500), Duration.ofSeconds(30), Duration.ofMinutes(1), Duration.ofMinutes(15), seed);
    }

    /** The same for a gateway's time so many times as fast as the machine's, yet long enough to be waits. */
    public Waits faster(double rate) {
        return new Waits(
                onTheMachine(firstBackOff, rate, LEAST),
                onTheMachine(longestBackOff, rate, LEAST),
                onTheMachine(firstSuspension, rate, LEAST),
                onTheMachine(longestSuspension, rate, LEAST),
                seed);
    }

    /**
     * A time of the gateway's clock on the machine's.
     *
     * @param rate how many times as fast the gateway's clock runs.
     * @param least it is not made shorter than this.
     */
    public static Duration onTheMachine(Duration time, double rate, Duration least) {
        Duration part = Duration.ofNanos((long) (time.toNanos() / rate));
        Duration shortest = time.compareTo(least) < 0 ? time : least;
        return part.compareTo(shortest) < 0 ? shortest : part;
    }

    public BackOff backOff(Random random) {
        return new BackOff(firstBackOff, longestBackOff, random);
    }

    public BackOff suspension(Random random) {
        return new BackOff(firstSuspension, longestSuspension, random);
    }
}
