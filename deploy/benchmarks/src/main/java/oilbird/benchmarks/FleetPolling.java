package oilbird.benchmarks;

import com.digitalpetri.modbus.server.ModbusTcpServer;
import com.digitalpetri.modbus.server.ProcessImage;
import com.digitalpetri.modbus.server.ReadOnlyModbusServices;
import com.digitalpetri.modbus.tcp.server.NettyTcpServerTransport;
import com.sun.management.OperatingSystemMXBean;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.LongAdder;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.modbus.DeviceSession;
import oilbird.gateway.modbus.DeviceStatus;
import oilbird.gateway.modbus.ModbusPoller;
import oilbird.gateway.modbus.PollerSettings;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;

/**
 * The poller alone with many devices, one connection each: CPU, resident memory, threads and missed periods.
 *
 * <p>Arguments: devices (1000), seconds (60). The devices are one server of another library in a process of its own;
 * each has its own loopback address, as Linux gives the whole of 127.0.0.0/8 to one host. Nothing is decoded.
 */
public final class FleetPolling {
    private static final int PORT = 15503;
    private static final int REGISTERS = 60;
    private static final String SERVE = "serve";

    private FleetPolling() {}

    public static void main(String[] arguments) throws Exception {
        if (arguments.length > 0 && arguments[0].equals(SERVE)) {
            serve();
            return;
        }
        int devices = arguments.length > 0 ? Integer.parseInt(arguments[0]) : 1000;
        int seconds = arguments.length > 1 ? Integer.parseInt(arguments[1]) : 60;
        Process server = new ProcessBuilder(
                        Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                        "-cp",
                        System.getProperty("java.class.path"),
                        FleetPolling.class.getName(),
                        SERVE)
                .redirectError(ProcessBuilder.Redirect.DISCARD)
                .start();
        try {
            if (server.getInputStream().read() < 0) {
                throw new IllegalStateException("the devices did not start");
            }
            poll(devices, seconds);
        } finally {
            server.destroy();
        }
    }

    private static void poll(int devices, int seconds) throws Exception {
        ReadBlock block = new ReadBlock("all", ModbusTable.HOLDING_REGISTERS, 0, REGISTERS, "second");
        List<DeviceSession> sessions = new ArrayList<>();
        for (int i = 0; i < devices; i++) {
            String device = "monitor-" + i;
            sessions.add(new DeviceSession(
                    device,
                    "127." + (1 + i / 62_500) + "." + i / 250 % 250 + "." + (1 + i % 250),
                    PORT,
                    1,
                    List.of(block),
                    Map.of("second", Duration.ofSeconds(1)),
                    Duration.ofSeconds(1),
                    (raw, at) -> new Decoded(device, "all", List.of(), List.of(), List.of(), at),
                    null));
        }
        LongAdder observed = new LongAdder();
        LongAdder failed = new LongAdder();
        OperatingSystemMXBean system = ManagementFactory.getPlatformMXBean(OperatingSystemMXBean.class);
        try (ModbusPoller poller = new ModbusPoller(
                sessions,
                input -> {
                    (input instanceof StationInput.Observed ? observed : failed).increment();
                    return true;
                },
                () -> new Moment(System.nanoTime(), System.currentTimeMillis(), true),
                PollerSettings.standard(1),
                notice -> {})) {
            poller.start();
            TimeUnit.SECONDS.sleep(10);
            long cpu = system.getProcessCpuTime();
            long began = System.nanoTime();
            long before = observed.sum();
            long failedBefore = failed.sum();
            long missedBefore = missed(poller);
            TimeUnit.SECONDS.sleep(seconds);
            double took = (System.nanoTime() - began) / 1e9;
            long answers = observed.sum() - before;
            System.out.printf(
                    Locale.ROOT,
                    "%d devices, %d registers, 1 s: %.0f answers a second, %.3f core, %s resident, %d threads,"
                            + " %.4f %% of periods missed, %d failures, %d while starting%n",
                    devices,
                    REGISTERS,
                    answers / took,
                    (system.getProcessCpuTime() - cpu) / 1e9 / took,
                    resident(),
                    ManagementFactory.getThreadMXBean().getThreadCount(),
                    100.0 * (missed(poller) - missedBefore) / (devices * took),
                    failed.sum() - failedBefore,
                    failedBefore);
        }
    }

    private static long missed(ModbusPoller poller) {
        return poller.status().stream()
                .map(DeviceStatus::counts)
                .mapToLong(DeviceStatus.Counts::missedPeriods)
                .sum();
    }

    private static String resident() throws IOException {
        return Files.readAllLines(Path.of("/proc/self/status")).stream()
                .filter(line -> line.startsWith("VmRSS"))
                .map(line -> Long.parseLong(line.replaceAll("\\D", "")) / 1024 + " MiB")
                .findFirst()
                .orElse("unknown");
    }

    private static void serve() throws Exception {
        ProcessImage image = new ProcessImage();
        image.with(transaction -> transaction.writeHoldingRegisters(registers -> {
            for (int i = 0; i < REGISTERS; i++) {
                registers.put(i, new byte[] {1, (byte) i});
            }
        }));
        ModbusTcpServer server = ModbusTcpServer.create(
                NettyTcpServerTransport.create(
                        config -> config.setBindAddress("0.0.0.0").setPort(PORT)),
                new ReadOnlyModbusServices() {
                    @Override
                    protected Optional<ProcessImage> getProcessImage(int unitId) {
                        return Optional.of(image);
                    }
                });
        server.start();
        System.out.println("ready");
        // Ends with the process that started it.
        while (System.in.read() >= 0) {}
        System.exit(0);
    }
}
