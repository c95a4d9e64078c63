package oilbird.demoplant;

import io.netty.channel.nio.NioEventLoopGroup;
import io.netty.util.concurrent.DefaultThreadFactory;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.SplittableRandom;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.TimeUnit;
import java.util.function.LongSupplier;
import oilbird.demoplant.course.Answering;
import oilbird.demoplant.course.Injection;
import oilbird.demoplant.device.BitForm;
import oilbird.demoplant.device.Monitor;
import oilbird.demoplant.device.NodeMonitor;
import oilbird.demoplant.opcua.NodeServer;
import oilbird.demoplant.plant.Plant;
import oilbird.demoplant.wire.Behaviour;
import oilbird.demoplant.wire.DeviceServer;
import oilbird.demoplant.wire.PortTaken;
import oilbird.demoplant.wire.ServedMonitor;

/**
 * The plant on sockets: each monitor behind its port, those of transformer 3 behind one Modbus gateway.
 *
 * <p>Safe for use by several threads.
 */
public final class LivePlant implements AutoCloseable {
    /** The devices behind one port, by the port's name. */
    private static final Map<String, List<String>> BEHIND = behind();

    /** Whom the OPC UA servers let in; the password is part of the invention. */
    private static final Map<String, NodeServer.Door> DOORS =
            Map.of("bushing-t2", new NodeServer.Door("oilbird", "windlow-demo"));

    private final Plant plant;
    private final LongSupplier now;
    private final NioEventLoopGroup eventLoop =
            new NioEventLoopGroup(1, new DefaultThreadFactory("plant-modbus", true));
    private final ExecutorService workers = Executors.newFixedThreadPool(2, new DefaultThreadFactory("plant", true));
    private final Map<String, DeviceServer> ports = new LinkedHashMap<>();
    private final Map<String, NodeServer> nodeServers = new LinkedHashMap<>();
    private final Map<String, ServedMonitor> served = new LinkedHashMap<>();

    private LivePlant(Plant plant, LongSupplier now) {
        this.plant = plant;
        this.now = now;
        plant.monitors()
                .forEach((name, monitor) ->
                        served.put(name, new ServedMonitor(monitor, now, at -> plant.answering(name, at))));
    }

    private static Map<String, List<String>> behind() {
        Map<String, List<String>> behind = new LinkedHashMap<>();
        behind.put("gas-t1", List.of("gas-t1"));
        behind.put("cooling-t1", List.of("cooling-t1"));
        behind.put("gas-t2", List.of("gas-t2"));
        behind.put("cooling-t2", List.of("cooling-t2"));
        behind.put("gateway-t3", List.of("gas-t3", "cooling-t3", "tap-t3"));
        return behind;
    }

    /**
     * Starts the servers.
     *
     * @param ports number of each port by name; 0, or no entry, for any free one
     * @param seed seed of what the servers answer when they answer nonsense
     * @param now plant time, milliseconds
     */
    public static LivePlant start(Plant plant, Map<String, Integer> ports, long seed, LongSupplier now)
            throws PortTaken {
        LivePlant live = new LivePlant(plant, now);
        SplittableRandom random = new SplittableRandom(seed);
        try {
            for (Map.Entry<String, List<String>> port : BEHIND.entrySet()) {
                List<ServedMonitor> monitors = new ArrayList<>();
                for (String device : port.getValue()) {
                    ServedMonitor monitor = live.served.get(device);
                    if (monitor != null) {
                        monitors.add(monitor);
                    }
                }
                live.ports.put(
                        port.getKey(),
                        DeviceServer.start(
                                port.getKey(),
                                monitors,
                                ports.getOrDefault(port.getKey(), 0),
                                live.eventLoop,
                                live.workers,
                                random.split()));
            }
            for (Monitor monitor : plant.monitors().values()) {
                if (monitor instanceof NodeMonitor speaks) {
                    live.nodeServers.put(
                            monitor.name(),
                            NodeServer.start(
                                    speaks,
                                    ports.getOrDefault(monitor.name(), 0),
                                    DOORS.getOrDefault(monitor.name(), NodeServer.Door.OPEN),
                                    now,
                                    plant.start().toEpochMilli(),
                                    () -> plant.answering(monitor.name(), now.getAsLong()) != Answering.ANSWERS));
                }
            }
        } catch (PortTaken taken) {
            live.close();
            throw taken;
        }
        return live;
    }

    /** Certificates in DER of the OPC UA servers that have one, by device. */
    public Map<String, byte[]> certificates() {
        Map<String, byte[]> certificates = new LinkedHashMap<>();
        nodeServers.forEach((name, server) -> {
            byte[] certificate = server.certificate();
            if (certificate != null) {
                certificates.put(name, certificate);
            }
        });
        return certificates;
    }

    public Plant plant() {
        return plant;
    }

    /** Plant time, milliseconds. */
    public long now() {
        return now.getAsLong();
    }

    /** The monitor, if there is such a device. */
    public Optional<Monitor> monitor(String device) {
        return Optional.ofNullable(plant.monitors().get(device));
    }

    /** Every port by name. */
    public Map<String, Integer> ports() {
        Map<String, Integer> numbers = new LinkedHashMap<>();
        ports.forEach((name, server) -> numbers.put(name, server.port()));
        nodeServers.forEach((name, server) -> numbers.put(name, server.port()));
        return numbers;
    }

    /** The port that a Modbus device is behind; 0 for one that speaks OPC UA. */
    public int portOf(String device) {
        return serverOf(device).map(DeviceServer::port).orElse(0);
    }

    /** Whether a device's clients can be treated ill: only those of a Modbus device can. */
    public boolean canBehave(String device) {
        return serverOf(device).isPresent();
    }

    /** How a device treats its clients now. */
    public Behaviour behaviour(String device) {
        ServedMonitor monitor = served.get(device);
        return monitor == null ? Behaviour.NORMAL : monitor.behaviour();
    }

    /**
     * Changes how a Modbus device treats its clients.
     *
     * @throws PortTaken when its port was taken by another while it refused
     */
    public void behave(String device, Behaviour behaviour) throws PortTaken {
        ServedMonitor monitor = served.get(device);
        Optional<DeviceServer> server = serverOf(device);
        if (monitor != null && server.isPresent()) {
            server.get().behave(monitor, behaviour);
        }
    }

    /** Opens and closes ports as the plant's course wants it. */
    public void follow() throws PortTaken {
        for (DeviceServer server : ports.values()) {
            server.follow();
        }
    }

    private Optional<DeviceServer> serverOf(String device) {
        return ports.values().stream()
                .filter(server -> server.monitors().stream()
                        .anyMatch(one -> one.monitor().name().equals(device)))
                .findFirst();
    }

    /** The plant in plain words, several lines. */
    public String describe() {
        long at = now();
        StringBuilder text = new StringBuilder();
        text.append(String.format(Locale.ROOT, "plant time %d s%n", at / 1_000));
        for (Injection injection : plant.injections()) {
            text.append(String.format(
                    Locale.ROOT,
                    "fault %s at %s from %d s%s%n",
                    injection.fault(),
                    injection.target(),
                    injection.from().toSeconds(),
                    injection.until() == null ? "" : " to " + injection.until().toSeconds() + " s"));
        }
        plant.monitors().values().forEach(monitor -> describe(monitor, at, text));
        return text.toString();
    }

    private String endpointOf(String device) {
        NodeServer server = nodeServers.get(device);
        return server == null ? "OPC UA" : server.endpoint();
    }

    private void describe(Monitor monitor, long at, StringBuilder text) {
        String where = monitor instanceof NodeMonitor
                ? endpointOf(monitor.name())
                : "port " + portOf(monitor.name()) + " unit " + monitor.unit();
        text.append(String.format(Locale.ROOT, "%s: %s, %s%n", monitor.name(), where, behaviour(monitor.name())));
        List<String> readings = new ArrayList<>();
        monitor.readings().forEach((name, form) -> {
            double value = monitor.value(name, at);
            readings.add(
                    Double.isNaN(value)
                            ? name + " (no value)"
                            : String.format(Locale.ROOT, "%s %.2f %s", name, value, form.unit())
                                    .stripTrailing());
        });
        text.append("  readings: ").append(String.join(", ", readings)).append(System.lineSeparator());
        List<String> set = new ArrayList<>();
        for (BitForm bit : monitor.bits()) {
            if (monitor.isSet(bit, at)) {
                set.add(bit.name());
            }
        }
        text.append("  bits set: ").append(String.join(", ", set)).append(System.lineSeparator());
        if (!monitor.held().isEmpty()) {
            text.append("  held by command: ")
                    .append(String.join(", ", monitor.held()))
                    .append(System.lineSeparator());
        }
    }

    @Override
    public void close() {
        ports.values().forEach(DeviceServer::close);
        nodeServers.values().forEach(NodeServer::close);
        workers.shutdown();
        eventLoop.shutdownGracefully(0, 2, TimeUnit.SECONDS).awaitUninterruptibly();
    }
}
