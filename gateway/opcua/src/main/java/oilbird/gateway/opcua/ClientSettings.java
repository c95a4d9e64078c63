package oilbird.gateway.opcua;

import java.time.Duration;

/**
 * What holds for every server of a poller.
 *
 * @param firstBackOff wait after a first failure; it doubles with every further one.
 * @param longestBackOff where the doubling ends.
 * @param firstSuspension wait after the server refused who the gateway says it is, or after another product answered;
 *     it doubles too. Long, since a server may lock a user out after a few wrong passwords.
 * @param longestSuspension where that doubling ends.
 * @param seed of the jitter; the same seed gives the same waits.
 */
public record ClientSettings(
        Duration firstBackOff,
        Duration longestBackOff,
        Duration firstSuspension,
        Duration longestSuspension,
        long seed) {
    private static final Duration LEAST_WAIT = Duration.ofMillis(500);

    /** Back-off 0.5 to 30 s; suspension 1 to 15 min. */
    public static ClientSettings standard(long seed) {
        return new ClientSettings(
                Duration.ofMillis(500), Duration.ofSeconds(30), Duration.ofMinutes(1), Duration.ofMinutes(15), seed);
    }

    /** The same with waits that fit a gateway's time so many times as fast as the machine's, yet long enough to be waits. */
    public ClientSettings faster(double rate) {
        return new ClientSettings(
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
