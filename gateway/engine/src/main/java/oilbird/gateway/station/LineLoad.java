package oilbird.gateway.station;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.mapping.address.ReadBlock;

/**
 * How busy polling makes one line: the devices behind one connection, or on one serial line, are asked one after the
 * other.
 *
 * @param name host and port, or the serial line's id.
 * @param requests of all devices' plans.
 * @param cycle time to send each request once.
 * @param busy part of the time that the line is busy; 1 is all of it.
 * @param estimate what the times were worked out from.
 */
public record LineLoad(
        String name, List<PolledDevice> devices, int requests, Duration cycle, double busy, String estimate) {
    /** What one request over Modbus TCP is taken to last; an estimate (common practice: 5 to 50 ms). */
    public static final Duration TCP_REQUEST = Duration.ofMillis(20);

    /** Above it a slow answer makes the next poll late. */
    private static final double TIGHT = 0.7;

    public LineLoad {
        devices = List.copyOf(devices);
    }

    /** The lines of a station's Modbus devices, in the order of its devices. */
    public static List<LineLoad> of(List<PolledDevice> devices) {
        Map<String, List<PolledDevice>> byConnection = new LinkedHashMap<>();
        for (PolledDevice device : devices) {
            if (device.endpoint() instanceof OpcUaEndpoint) {
                continue;
            }
            byConnection
                    .computeIfAbsent(connection(device), l -> new ArrayList<>())
                    .add(device);
        }
        List<LineLoad> lines = new ArrayList<>();
        byConnection.forEach((name, on) -> {
            int sessions =
                    on.get(0).endpoint() instanceof ModbusTcpEndpoint tcp ? Math.min(tcp.sessions(), on.size()) : 1;
            for (int session = 0; session < sessions; session++) {
                List<PolledDevice> share = new ArrayList<>();
                for (int i = session; i < on.size(); i += sessions) {
                    share.add(on.get(i));
                }
                lines.add(of(sessions == 1 ? name : name + " session " + (session + 1), share));
            }
        });
        return lines;
    }

    private static String connection(PolledDevice device) {
        Endpoint endpoint = device.endpoint();
        if (endpoint instanceof ModbusTcpEndpoint tcp) {
            return tcp.host() + ":" + tcp.port();
        }
        if (endpoint instanceof ModbusRtuEndpoint rtu) {
            return rtu.line().id();
        }
        throw new IllegalStateException("no line is known of " + endpoint);
    }

    private static LineLoad of(String name, List<PolledDevice> devices) {
        int requests = 0;
        Duration cycle = Duration.ZERO;
        double busy = 0;
        for (PolledDevice device : devices) {
            for (ReadBlock block : device.map().readPlan()) {
                Duration request = takes(device, block);
                requests++;
                cycle = cycle.plus(request);
                busy += (double) request.toNanos() / device.period(block).toNanos();
            }
        }
        return new LineLoad(
                name, devices, requests, cycle, busy, estimate(devices.get(0).endpoint()));
    }

    private static Duration takes(PolledDevice device, ReadBlock block) {
        return device.endpoint() instanceof ModbusRtuEndpoint rtu ? rtu.takes(block) : TCP_REQUEST;
    }

    private static String estimate(Endpoint endpoint) {
        if (endpoint instanceof ModbusRtuEndpoint rtu) {
            return rtu.line().baud() + " bits a second, " + rtu.line().format().written();
        }
        return TCP_REQUEST.toMillis() + " ms each";
    }

    /** False where the requests do not fit their periods. */
    public boolean fits() {
        return busy <= 1;
    }

    public boolean isTight() {
        return busy > TIGHT;
    }

    /** Busy time in per cent, rounded up. */
    public String percent() {
        return Integer.toString((int) Math.ceil(busy * 100));
    }

    /** By what the periods must be multiplied to fit, with a digit behind the point. */
    String timesLonger() {
        return BigDecimal.valueOf(busy / TIGHT)
                .setScale(1, RoundingMode.CEILING)
                .toPlainString();
    }
}
