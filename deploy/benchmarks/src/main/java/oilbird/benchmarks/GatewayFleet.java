package oilbird.benchmarks;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.SplittableRandom;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import oilbird.demoplant.room.Broker;
import oilbird.demoplant.wire.FleetServer;
import org.eclipse.paho.client.mqttv3.MqttClient;
import org.eclipse.paho.client.mqttv3.MqttConnectOptions;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;

/**
 * The whole packaged gateway with many devices: CPU, resident memory, threads, and how long it takes from the device's
 * answer that carries a bit to the raised event at an MQTT subscriber (on-delay 0).
 *
 * <p>Arguments: devices (1000), seconds (60), path of quarkus-run.jar. Devices, broker and subscriber are this process;
 * the gateway is its own. Each device has a loopback address and so a connection of its own.
 */
public final class GatewayFleet {
    private static final int PORT = 15600;
    private static final int FLIPS_A_SECOND = 10;

    private GatewayFleet() {}

    public static void main(String[] arguments) throws Exception {
        int devices = arguments.length > 0 ? Integer.parseInt(arguments[0]) : 1000;
        int seconds = arguments.length > 1 ? Integer.parseInt(arguments[1]) : 60;
        Path jar = Path.of(arguments.length > 2 ? arguments[2] : "gateway/app/target/quarkus-app/quarkus-run.jar");
        Path folder = Files.createTempDirectory("oilbird-fleet");
        ConcurrentHashMap<String, CompletableFuture<Long>> raised = new ConcurrentHashMap<>();
        try (FleetServer fleet = FleetServer.start(devices, PORT, "0.0.0.0");
                Broker broker = Broker.start(0)) {
            writeStation(folder.resolve("station"), fleet, devices, broker.port());
            MqttClient subscriber = subscribe(broker.port(), raised);
            Process gateway = new ProcessBuilder(
                            Path.of(System.getProperty("java.home"), "bin", "java")
                                    .toString(),
                            "@deploy/jvm.options",
                            "-Xmx" + (devices > 1000 ? "448m" : "160m"),
                            "-Doilbird.station=" + folder.resolve("station"),
                            "-Doilbird.data=" + folder.resolve("data"),
                            "-Dquarkus.http.port=15699",
                            "-jar",
                            jar.toString())
                    .redirectErrorStream(true)
                    .redirectOutput(folder.resolve("gateway.log").toFile())
                    .start();
            try {
                measure(fleet, devices, seconds, gateway, raised);
            } finally {
                gateway.destroy();
                gateway.waitFor(20, TimeUnit.SECONDS);
                subscriber.disconnectForcibly(1, 1, false);
                subscriber.close(true);
                Stream<String> log = Files.lines(folder.resolve("gateway.log"));
                try (log) {
                    System.out.printf(
                            Locale.ROOT,
                            "log lines of warnings and errors: %d (%s)%n",
                            log.filter(l -> l.contains(" WARN ") || l.contains(" ERROR "))
                                    .count(),
                            folder);
                }
            }
        }
    }

    private static void measure(
            FleetServer fleet,
            int devices,
            int seconds,
            Process gateway,
            ConcurrentHashMap<String, CompletableFuture<Long>> raised)
            throws Exception {
        long limit = System.nanoTime() + TimeUnit.SECONDS.toNanos(120);
        long settled = 0;
        while (fleet.answers() < 10L * devices) {
            if (System.nanoTime() > limit || !gateway.isAlive()) {
                throw new IllegalStateException("the gateway does not poll");
            }
            TimeUnit.MILLISECONDS.sleep(200);
            settled = fleet.answers();
        }
        SplittableRandom random = new SplittableRandom(1);
        long cpuBefore = cpuMillis(gateway.pid());
        long began = System.nanoTime();
        List<Long> latencies = new ArrayList<>();
        int lost = 0;
        List<Integer> free = new ArrayList<>();
        for (int device = 0; device < devices; device++) {
            free.add(device);
        }
        List<CompletableFuture<Long>> left = new ArrayList<>();
        List<CompletableFuture<Long>> arrived = new ArrayList<>();
        for (int i = 0; i < seconds * FLIPS_A_SECOND; i++) {
            // A small fleet has all its bits set before the time is up; its CPU is measured to the end all the same.
            if (!free.isEmpty()) {
                int device = free.remove(random.nextInt(free.size()));
                CompletableFuture<Long> arrival = new CompletableFuture<>();
                raised.put("fleet/m" + device + ".fault", arrival);
                left.add(fleet.flip(device, 0, true));
                arrived.add(arrival);
            }
            TimeUnit.MILLISECONDS.sleep(1000 / FLIPS_A_SECOND);
        }
        double took = (System.nanoTime() - began) / 1e9;
        long cpu = cpuMillis(gateway.pid()) - cpuBefore;
        double answers = (fleet.answers() - settled) / took;
        String memory = status(gateway.pid(), "VmRSS");
        String threads = status(gateway.pid(), "Threads");
        for (int i = 0; i < left.size(); i++) {
            try {
                latencies.add(
                        arrived.get(i).get(10, TimeUnit.SECONDS) - left.get(i).get(10, TimeUnit.SECONDS));
            } catch (java.util.concurrent.TimeoutException e) {
                lost++;
            }
        }
        long[] sorted = latencies.stream().mapToLong(Long::longValue).sorted().toArray();
        System.out.printf(
                Locale.ROOT,
                "%d devices, 61 registers, 1 s, %.0f s: %.0f answers a second, %.3f core, %s resident, %s threads;"
                        + " detection of %d bits: median %.1f ms, p99 %.1f ms, longest %.1f ms, %d not seen%n",
                devices,
                took,
                answers,
                cpu / 1000.0 / took,
                memory,
                threads,
                sorted.length,
                at(sorted, 0.5),
                at(sorted, 0.99),
                at(sorted, 1),
                lost);
    }

    private static double at(long[] sorted, double share) {
        return sorted.length == 0
                ? Double.NaN
                : sorted[Math.min(sorted.length - 1, (int) (share * sorted.length))] / 1e6;
    }

    private static MqttClient subscribe(int port, ConcurrentHashMap<String, CompletableFuture<Long>> raised)
            throws Exception {
        MqttClient client = new MqttClient("tcp://127.0.0.1:" + port, "fleet-room", new MemoryPersistence());
        MqttConnectOptions options = new MqttConnectOptions();
        options.setCleanSession(true);
        client.connect(options);
        client.subscribe("oilbird/fleet/event", 1, (topic, message) -> {
            long now = System.nanoTime();
            String json = new String(message.getPayload(), StandardCharsets.UTF_8);
            if (json.contains("\"kind\":\"raised\"")) {
                String alarm = json.replaceFirst("(?s).*?\"alarm\":\"([^\"]*)\".*", "$1");
                CompletableFuture<Long> waiting = raised.get(alarm);
                if (waiting != null) {
                    waiting.complete(now);
                }
            }
        });
        return client;
    }

    private static void writeStation(Path station, FleetServer fleet, int devices, int brokerPort) throws IOException {
        Files.createDirectories(station.resolve("maps"));
        Files.createDirectories(station.resolve("rules"));
        StringBuilder map = new StringBuilder("""
                device_map: 1
                name: fleet
                text: monitor of the fleet (invented)
                poll_classes: {second: 1 s}
                verified: {by: nobody (invented), on: 2026-01-01}
                words:
                  status: {text: status word, holding_register: 0, width: 16, bits: {0: fault, 1-15: spare}}
                indications:
                  fault: {text: fault}
                points:
                """);
        for (int i = 1; i <= FleetServer.READINGS; i++) {
            map.append("  r%d: {text: reading %d, holding_register: %d, type: uint16}%n".formatted(i, i, i));
        }
        Files.writeString(station.resolve("maps/fleet.yaml"), map);
        Files.writeString(station.resolve("rules/fleet.yaml"), """
                alarm_rules: 1
                text: the fleet
                rules:
                  fault:
                    for: {map: fleet}
                    when: {indication: fault}
                    says: "the {device} reports a fault"
                    class: auxiliary
                    priority: minor
                    response: none, it is a measurement
                    respond_within: 1 d
                    call: nobody
                    on_samples: 1
                    off_samples: 1
                """);
        StringBuilder file = new StringBuilder("""
                station: 1
                id: fleet
                name: Fleet (invented)
                gateway: {id: fleet-gw}
                assets:
                  - {id: fleet, name: The fleet, kind: auxiliary}
                devices:
                """);
        for (int i = 0; i < devices; i++) {
            String host = "127." + (1 + i / 62_500) + "." + i / 250 % 250 + "." + (1 + i % 250);
            file.append(("  - {id: m%d, name: monitor %d, asset: fleet, map: fleet,"
                            + " modbus_tcp: {host: %s, port: %d, unit: %d, deadline: 1 s}}%n")
                    .formatted(i, i, host, fleet.port(i), fleet.unit(i)));
        }
        file.append("links:\n  - {id: room, mqtt: {host: 127.0.0.1, port: %d, topic: oilbird/fleet}}\n"
                .formatted(brokerPort));
        Files.writeString(station.resolve("station.yaml"), file);
    }

    /** User and system time of a process so far; proc(5), fields 14 and 15, in hundredths of a second. */
    private static long cpuMillis(long pid) throws IOException {
        String stat = Files.readString(Path.of("/proc/" + pid + "/stat"));
        String[] fields = stat.substring(stat.lastIndexOf(')') + 2).split(" ", -1);
        return Arrays.stream(new int[] {11, 12})
                        .mapToLong(i -> Long.parseLong(fields[i]))
                        .sum()
                * 10;
    }

    private static String status(long pid, String key) throws IOException {
        return Files.readAllLines(Path.of("/proc/" + pid + "/status")).stream()
                .filter(line -> line.startsWith(key + ":"))
                .map(line -> line.substring(key.length() + 1).strip())
                .findFirst()
                .orElse("unknown");
    }
}
