package oilbird.gateway.modbus;

import java.util.ArrayList;
import java.util.Collection;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.poll.Notice;
import oilbird.gateway.engine.queue.InputSink;
import oilbird.gateway.station.ModbusRtuEndpoint;
import oilbird.gateway.station.ModbusTcpEndpoint;

/**
 * Polls the Modbus devices of one station and offers every outcome to the engine.
 *
 * <p>Devices with the same host and port share a connection and its thread, or as many as their station file allows;
 * devices on a serial line share the line; every other device has its own, so that a slow one delays no other.
 */
public final class ModbusPoller implements AutoCloseable {
    private static final long CLOSE_WITHIN = TimeUnit.SECONDS.toNanos(2);

    private final List<PollLine> lines = new ArrayList<>();
    private final Map<String, DeviceLedger> ledgers = new LinkedHashMap<>();

    /**
     * @param sink takes every outcome; called from the poller's threads.
     * @param clock stamps outcomes only: periods and deadlines run on the machine's own monotonic clock, so that
     *     a demo's clock rate does not change them.
     * @param notices is told once of what an engineer should know; called from the poller's threads, must not
     *     block.
     */
    public ModbusPoller(
            List<DeviceSession> sessions,
            InputSink sink,
            GatewayClock clock,
            PollerSettings settings,
            Consumer<Notice> notices) {
        Set<String> names = new HashSet<>();
        Map<String, List<DeviceSession>> byConnection = new LinkedHashMap<>();
        for (DeviceSession session : sessions) {
            if (!names.add(session.device())) {
                throw new IllegalArgumentException("two devices are named " + session.device());
            }
            byConnection
                    .computeIfAbsent(connection(session), connection -> new ArrayList<>())
                    .add(session);
        }
        Map<String, DeviceLedger> found = new LinkedHashMap<>();
        byConnection.forEach((connection, sharing) -> {
            for (List<DeviceSession> shared : spread(sharing)) {
                PollLine line = new PollLine(connection, shared, sink, clock, settings, notices);
                lines.add(line);
                line.devices().forEach(device -> found.put(device.name(), device.ledger));
            }
        });
        for (DeviceSession session : sessions) {
            DeviceLedger ledger = found.get(session.device());
            if (ledger != null) {
                ledgers.put(session.device(), ledger);
            }
        }
    }

    private static String connection(DeviceSession session) {
        if (session.endpoint() instanceof ModbusTcpEndpoint tcp) {
            return tcp.host() + ":" + tcp.port();
        }
        if (session.endpoint() instanceof ModbusRtuEndpoint rtu) {
            return rtu.line().id();
        }
        throw new IllegalArgumentException(session.device() + " is not on Modbus");
    }

    /** Devices behind one host and port in as many groups as it takes sessions; one group a serial line. */
    private static List<List<DeviceSession>> spread(List<DeviceSession> sharing) {
        int most = sharing.get(0).endpoint() instanceof ModbusTcpEndpoint tcp ? tcp.sessions() : 1;
        List<List<DeviceSession>> groups = new ArrayList<>();
        for (int i = 0; i < sharing.size(); i++) {
            if (i < most) {
                groups.add(new ArrayList<>());
            }
            groups.get(i % most).add(sharing.get(i));
        }
        return groups;
    }

    /**
     * Lets go of the connections of these devices and of no others, so that somebody else can have them. Devices that
     * share a connection are released together: it is let go while any of them is named.
     */
    public void release(Collection<String> released) {
        for (PollLine line : lines) {
            line.release(line.devices().stream().anyMatch(device -> released.contains(device.name())));
        }
    }

    /** One entry a serial line, in the order of the sessions. */
    public List<LineStatus> lines() {
        return lines.stream()
                .map(PollLine::ledger)
                .filter(Objects::nonNull)
                .map(LineLedger::status)
                .toList();
    }

    /** Starts one daemon thread a connection; returns at once. Call it once. */
    public void start() {
        lines.forEach(PollLine::start);
    }

    /** One entry a device, in the order of the sessions. */
    public List<DeviceStatus> status() {
        return ledgers.values().stream().map(DeviceLedger::status).toList();
    }

    /** Stops polling and closes every connection; waits at most two seconds for the threads to end. */
    @Override
    public void close() {
        lines.forEach(PollLine::stop);
        long deadline = System.nanoTime() + CLOSE_WITHIN;
        try {
            for (PollLine line : lines) {
                line.join(Math.max(1, TimeUnit.NANOSECONDS.toMillis(deadline - System.nanoTime())));
            }
        } catch (InterruptedException interrupted) {
            Thread.currentThread().interrupt();
        }
    }
}
