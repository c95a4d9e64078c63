package oilbird.gateway.modbus;

import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import oilbird.gateway.station.ModbusRtuEndpoint;
import oilbird.gateway.station.ModbusTcpEndpoint;
import oilbird.gateway.station.SerialLine;
import org.jspecify.annotations.Nullable;

/**
 * How a connection to a group of devices is made, again and again.
 *
 * @param name for threads and notices.
 * @param ledger null where there is no serial line.
 */
record LineWay(String name, Opener opener, @Nullable LineLedger ledger) {
    /** Makes a connection, or says why not. */
    @FunctionalInterface
    interface Opener {
        ModbusConnection.Opening open(Duration deadline);
    }

    /** The way to devices that share one. */
    static LineWay to(List<DeviceSession> sessions, Random random) {
        if (sessions.get(0).endpoint() instanceof ModbusRtuEndpoint rtu) {
            return toLine(rtu.line(), sessions);
        }
        if (sessions.get(0).endpoint() instanceof ModbusTcpEndpoint tcp) {
            TransactionIds transactions = new TransactionIds(random.nextInt(0x10000));
            return new LineWay(
                    tcp.host() + ":" + tcp.port(),
                    deadline -> ModbusTcpConnection.open(tcp.host(), tcp.port(), deadline, transactions),
                    null);
        }
        throw new IllegalStateException("no way to " + sessions.get(0));
    }

    private static LineWay toLine(SerialLine line, List<DeviceSession> sessions) {
        Map<Integer, RtuConnection.Pauses> pauses = new LinkedHashMap<>();
        for (DeviceSession session : sessions) {
            if (session.endpoint() instanceof ModbusRtuEndpoint unit) {
                pauses.put(
                        unit.unit(),
                        new RtuConnection.Pauses(
                                unit.gap().toNanos(), unit.turnaround().toNanos()));
            }
        }
        LineLedger ledger = new LineLedger(
                line.id(),
                line.name(),
                line.way().written(),
                sessions.stream().map(DeviceSession::device).toList());
        return new LineWay(line.id(), deadline -> RtuConnection.open(line, pauses, ledger, deadline), ledger);
    }
}
