package oilbird.gateway.modbus;

import java.time.Duration;
import oilbird.gateway.engine.poll.Waits;

/**
 * What holds for every connection of a poller.
 *
 * @param connectDeadline within which a TCP connection must stand.
 */
public record PollerSettings(Duration connectDeadline, Waits waits) {
    public PollerSettings {
        // A connect deadline of 0 would mean for ever.
        if (connectDeadline.toMillis() < 1) {
            throw new IllegalArgumentException("a deadline must be longer than nothing");
        }
    }

    /** 3 s to connect; back-off 0.5 to 30 s; suspension 1 to 15 min. */
    public static PollerSettings standard(long seed) {
        return new PollerSettings(Duration.ofSeconds(3), Waits.standard(seed));
    }

    /** The same with waits that fit a gateway's time so many times as fast as the machine's. */
    public PollerSettings faster(double rate) {
        return new PollerSettings(connectDeadline, waits.faster(rate));
    }
}
