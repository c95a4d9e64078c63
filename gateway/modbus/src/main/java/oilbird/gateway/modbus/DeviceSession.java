package oilbird.gateway.modbus;

import java.time.Duration;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.Identification;
import org.jspecify.annotations.Nullable;

/**
 * How one device is polled over Modbus TCP.
 *
 * <p>Devices with the same host and port share one connection, as unit ids behind a Modbus gateway do.
 *
 * @param device device id in the station file; unique within a poller.
 * @param host name or address of the device or of the Modbus gateway before it.
 * @param port TCP port, 1 to 65535; 502 by the standard.
 * @param unit unit id, 0 to 255; 255 or 0 for a device that is addressed directly (Messaging on TCP/IP
 *     Implementation Guide V1.0b, 4.4.1.2).
 * @param blocks the read plan; block names are unique.
 * @param periods polling period of each poll class that a block names; 10 ms to 24 h.
 * @param requestDeadline within which an answer must have come whole; 10 ms to 5 min.
 * @param expected which product the device map is for; null when the device is not asked what it is.
 */
public record DeviceSession(
        String device,
        String host,
        int port,
        int unit,
        List<ReadBlock> blocks,
        Map<String, Duration> periods,
        Duration requestDeadline,
        BlockDecoder decoder,
        @Nullable Identification expected) {
    private static final Duration SHORTEST = Duration.ofMillis(10);
    private static final Duration LONGEST_PERIOD = Duration.ofHours(24);
    private static final Duration LONGEST_DEADLINE = Duration.ofMinutes(5);

    public DeviceSession {
        blocks = List.copyOf(blocks);
        periods = new LinkedHashMap<>(periods);
        if (port < 1 || port > 65535) {
            throw new IllegalArgumentException(device + ": port " + port + " is not 1 to 65535");
        }
        if (unit < 0 || unit > 255) {
            throw new IllegalArgumentException(device + ": unit id " + unit + " is not 0 to 255");
        }
        if (outside(requestDeadline, SHORTEST, LONGEST_DEADLINE)) {
            throw new IllegalArgumentException(
                    device + ": request deadline " + requestDeadline + " is not 10 ms to 5 min");
        }
        Set<String> names = new HashSet<>();
        for (ReadBlock block : blocks) {
            if (!names.add(block.name())) {
                throw new IllegalArgumentException(device + ": two blocks are named " + block.name());
            }
            Duration period = periods.get(block.pollClass());
            if (period == null || outside(period, SHORTEST, LONGEST_PERIOD)) {
                throw new IllegalArgumentException(device + ": poll class " + block.pollClass() + " of block "
                        + block.name() + " needs a period of 10 ms to 24 h, not " + period);
            }
        }
    }

    /** Polling period of one of this device's blocks. */
    public Duration period(ReadBlock block) {
        Duration period = periods.get(block.pollClass());
        if (period == null) {
            throw new IllegalArgumentException(device + " has no block " + block.name());
        }
        return period;
    }

    private static boolean outside(Duration value, Duration least, Duration most) {
        return value.compareTo(least) < 0 || value.compareTo(most) > 0;
    }
}
