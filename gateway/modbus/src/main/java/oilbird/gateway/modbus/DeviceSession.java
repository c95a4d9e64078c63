package oilbird.gateway.modbus;

import java.time.Duration;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import oilbird.gateway.station.Endpoint;
import oilbird.gateway.station.ModbusRtuEndpoint;
import oilbird.gateway.station.ModbusTcpEndpoint;
import oilbird.gateway.station.SerialLine;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.Identification;
import org.jspecify.annotations.Nullable;

/**
 * How one device is polled over Modbus.
 *
 * <p>Devices with the same host and port share one connection, as unit ids behind a Modbus gateway do; devices on one
 * serial line share the line.
 *
 * @param device device id in the station file; unique within a poller.
 * @param endpoint where it answers: host, port and unit id over Modbus TCP (255 or 0 for a device that is addressed
 *     directly: Messaging on TCP/IP Implementation Guide V1.0b, 4.4.1.2), or unit 1 to 247 on a serial line; with the
 *     deadline within which an answer must have come whole, 10 ms to 5 min.
 * @param blocks the read plan; block names are unique.
 * @param periods polling period of each poll class that a block names; 10 ms to 24 h.
 * @param expected which product the device map is for; null when the device is not asked what it is.
 */
public record DeviceSession(
        String device,
        Endpoint endpoint,
        List<ReadBlock> blocks,
        Map<String, Duration> periods,
        BlockDecoder decoder,
        @Nullable Identification expected) {
    private static final Duration SHORTEST = Duration.ofMillis(10);
    private static final Duration LONGEST_PERIOD = Duration.ofHours(24);
    private static final Duration LONGEST_DEADLINE = Duration.ofMinutes(5);

    public DeviceSession {
        blocks = List.copyOf(blocks);
        periods = new LinkedHashMap<>(periods);
        if (endpoint instanceof ModbusTcpEndpoint tcp) {
            checkPort(device, tcp.port());
            checkUnit(device, tcp.unit(), 0, 255);
        } else if (endpoint instanceof ModbusRtuEndpoint rtu) {
            checkUnit(device, rtu.unit(), 1, 247);
            if (rtu.line().way() instanceof SerialLine.Way.Tcp tcp) {
                checkPort(device, tcp.port());
            }
        } else {
            throw new IllegalArgumentException(device + " is not on Modbus: " + endpoint);
        }
        if (outside(endpoint.deadline(), SHORTEST, LONGEST_DEADLINE)) {
            throw new IllegalArgumentException(
                    device + ": request deadline " + endpoint.deadline() + " is not 10 ms to 5 min");
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

    /** A device on Modbus TCP whose connection no more than one of its kind is made to. */
    public DeviceSession(
            String device,
            String host,
            int port,
            int unit,
            List<ReadBlock> blocks,
            Map<String, Duration> periods,
            Duration requestDeadline,
            BlockDecoder decoder,
            @Nullable Identification expected) {
        this(device, new ModbusTcpEndpoint(host, port, unit, requestDeadline, 1), blocks, periods, decoder, expected);
    }

    private static void checkPort(String device, int port) {
        if (port < 1 || port > 65535) {
            throw new IllegalArgumentException(device + ": port " + port + " is not 1 to 65535");
        }
    }

    private static void checkUnit(String device, int unit, int least, int most) {
        if (unit < least || unit > most) {
            throw new IllegalArgumentException(device + ": unit id " + unit + " is not " + least + " to " + most);
        }
    }

    /** Unit id, as it stands in each request. */
    public int unit() {
        return endpoint instanceof ModbusRtuEndpoint rtu
                ? rtu.unit()
                : endpoint instanceof ModbusTcpEndpoint tcp ? tcp.unit() : 0;
    }

    /** Within which an answer must have come whole. */
    public Duration requestDeadline() {
        return endpoint.deadline();
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
