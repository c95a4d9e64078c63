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
 * How busy polling makes one line: the devices behind one host and port are asked one after the other.
 *
 * @param name host and port.
 * @param requests of all devices' plans.
 * @param cycle time to send each request once.
 * @param busy part of the time that the line is busy; 1 is all of it.
 */
public record LineLoad(String name, List<PolledDevice> devices, int requests, Duration cycle, double busy) {
    /** What one request over Modbus TCP is taken to last; an estimate (common practice: 5 to 50 ms). */
    public static final Duration TCP_REQUEST = Duration.ofMillis(20);

    /** Above it a slow answer makes the next poll late. */
    private static final double TIGHT = 0.7;

    public LineLoad {
        devices = List.copyOf(devices);
    }

    /** The lines of a station, in the order of its devices. */
    public static List<LineLoad> of(List<PolledDevice> devices) {
        Map<String, List<PolledDevice>> byLine = new LinkedHashMap<>();
        for (PolledDevice device : devices) {
            ModbusTcpEndpoint at = device.endpoint();
            byLine.computeIfAbsent(at.host() + ":" + at.port(), l -> new ArrayList<>())
                    .add(device);
        }
        List<LineLoad> lines = new ArrayList<>();
        byLine.forEach((name, on) -> lines.add(of(name, on)));
        return lines;
    }

    private static LineLoad of(String name, List<PolledDevice> devices) {
        int requests = 0;
        Duration cycle = Duration.ZERO;
        double busy = 0;
        for (PolledDevice device : devices) {
            for (ReadBlock block : device.map().readPlan()) {
                requests++;
                cycle = cycle.plus(TCP_REQUEST);
                busy += (double) TCP_REQUEST.toNanos() / device.period(block).toNanos();
            }
        }
        return new LineLoad(name, devices, requests, cycle, busy);
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
