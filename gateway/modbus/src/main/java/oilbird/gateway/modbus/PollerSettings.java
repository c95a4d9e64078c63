package oilbird.gateway.modbus;

import java.time.Duration;

/**
 * What holds for every connection of a poller.
 *
 * @param connectDeadline within which a TCP connection must stand.
 * @param firstBackOff wait after a first failure; it doubles with every further one.
 * @param longestBackOff where the doubling ends.
 * @param firstSuspension wait after a device refused a request as faulty (exceptions 01 to 03) or answered as
 *     another product; it doubles too.
 * @param longestSuspension where that doubling ends.
 * @param seed of the jitter, up to a quarter of each wait; the same seed gives the same waits.
 */
public record PollerSettings(
        Duration connectDeadline,
        Duration firstBackOff,
        Duration longestBackOff,
        Duration firstSuspension,
        Duration longestSuspension,
        long seed) {
    private static final Duration LEAST_WAIT = Duration.ofMillis(500);

    public PollerSettings {
        // A connect deadline of 0 would mean for ever.
        if (connectDeadline.toMillis() < 1 || firstBackOff.toNanos() < 1 || firstSuspension.toNanos() < 1) {
            throw new IllegalArgumentException("a deadline and the first waits must be longer than nothing");
        }
        if (longestBackOff.compareTo(firstBackOff) < 0 || longestSuspension.compareTo(firstSuspension) < 0) {
            throw new IllegalArgumentException("the longest wait is shorter than the first");
        }
    }

    /** 3 s to connect; back-off 0.5 to 30 s; suspension 1 to 15 min. */
    public static PollerSettings standard(long seed) {
        return new PollerSettings(
                Duration.ofSeconds(3),
                Duration.ofMillis(500),
                Duration.ofSeconds(30),
                Duration.ofMinutes(1),
                Duration.ofMinutes(15),
                seed);
    }

    /** The same with waits that fit a gateway's time so many times as fast as the machine's, yet long enough to be waits. */
    public PollerSettings faster(double rate) {
        return new PollerSettings(
                connectDeadline,
                part(firstBackOff, rate),
                part(longestBackOff, rate),
                part(firstSuspension, rate),
                part(longestSuspension, rate),
                seed);
    }

    private static Duration part(Duration wait, double rate) {
        Duration part = Duration.ofNanos((long) (wait.toNanos() / rate));
        Duration least = wait.compareTo(LEAST_WAIT) < 0 ? wait : LEAST_WAIT;
        return part.compareTo(least) < 0 ? least : part;
    }
}
