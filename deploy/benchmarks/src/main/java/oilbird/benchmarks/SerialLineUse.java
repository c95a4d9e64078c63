package oilbird.benchmarks;

import com.sun.management.OperatingSystemMXBean;
import java.io.DataInputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.lang.management.ManagementFactory;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.LongAdder;
import java.util.concurrent.locks.LockSupport;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.modbus.DeviceSession;
import oilbird.gateway.modbus.ModbusPoller;
import oilbird.gateway.modbus.PollerSettings;
import oilbird.gateway.station.ModbusRtuEndpoint;
import oilbird.gateway.station.SerialLine;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;

/**
 * How much of a serial line's time the poller uses, against the most that the specification allows.
 *
 * <p>Arguments: bits a second (19200), registers (60), seconds (20). The line is a pair of pseudo-terminals made by
 * {@code socat}, which know neither bit rate nor parity, hence 8N2 with as many bits as 8E1; the units in this program keep it: a request is taken as arrived when its
 * characters would have been on the wires, the answer begins 3.5 characters later, which is the soonest that the
 * specification allows, and is given out 16 characters at a time, as a UART's buffer does, none before its time. The
 * limit is worked out from the characters of request and answer and the two silences of 3.5 characters (1.75 ms above
 * 19200 bits a second; MODBUS over Serial Line V1.02, 2.5.1.1).
 */
public final class SerialLineUse {
    private static final int UNITS = 3;
    private static final int REQUEST = 8;
    private static final int AT_ONCE = 16;

    private SerialLineUse() {}

    public static void main(String[] arguments) throws Exception {
        int baud = arguments.length > 0 ? Integer.parseInt(arguments[0]) : 19_200;
        int registers = arguments.length > 1 ? Integer.parseInt(arguments[1]) : 60;
        int seconds = arguments.length > 2 ? Integer.parseInt(arguments[2]) : 20;
        Path folder = Files.createTempDirectory("serial-line");
        Path ours = folder.resolve("ours");
        Path theirs = folder.resolve("theirs");
        Process socat = new ProcessBuilder("socat", "pty,raw,echo=0,link=" + ours, "pty,raw,echo=0,link=" + theirs)
                .inheritIO()
                .start();
        try {
            while (!Files.exists(ours) || !Files.exists(theirs)) {
                TimeUnit.MILLISECONDS.sleep(10);
            }
            SerialLine line = new SerialLine(
                    "line", "line", new SerialLine.Way.Port(ours.toString()), baud, SerialLine.Format.NONE_2, false);
            Thread units = new Thread(() -> answer(theirs, line), "units");
            units.setDaemon(true);
            units.start();
            poll(line, registers, seconds);
        } finally {
            socat.destroy();
        }
        System.exit(0);
    }

    private static void poll(SerialLine line, int registers, int seconds) throws InterruptedException {
        ReadBlock block = new ReadBlock("all", ModbusTable.HOLDING_REGISTERS, 0, registers, "always");
        List<DeviceSession> sessions = new ArrayList<>();
        for (int unit = 1; unit <= UNITS; unit++) {
            String device = "unit-" + unit;
            sessions.add(new DeviceSession(
                    device,
                    new ModbusRtuEndpoint(
                            line, unit, Duration.ofSeconds(2), Duration.ZERO, Duration.ZERO, Duration.ZERO),
                    List.of(block),
                    Map.of("always", Duration.ofMillis(10)),
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
                System.err::println)) {
            poller.start();
            TimeUnit.SECONDS.sleep(3);
            long began = System.nanoTime();
            long cpu = system.getProcessCpuTime();
            long before = observed.sum();
            TimeUnit.SECONDS.sleep(seconds);
            double took = (System.nanoTime() - began) / 1e9;
            double rate = (observed.sum() - before) / took;
            double wires = line.characters(REQUEST + 5 + 2 * registers).toNanos() / 1e9;
            double limit = 1 / (wires + 2 * line.frameGap().toNanos() / 1e9);
            System.out.printf(
                    Locale.ROOT,
                    "%d bits a second 8N2, %d registers, %d units: %.2f answers a second of at most %.2f, %.1f %% of the"
                            + " limit; characters on the wires %.1f %% of the time; %.3f core, units of the benchmark"
                            + " included; %d failures%n",
                    line.baud(),
                    registers,
                    UNITS,
                    rate,
                    limit,
                    100 * rate / limit,
                    100 * rate * wires,
                    (system.getProcessCpuTime() - cpu) / 1e9 / took,
                    failed.sum());
        }
    }

    private static void answer(Path port, SerialLine line) {
        try (InputStream from = Files.newInputStream(port);
                OutputStream to = Files.newOutputStream(port)) {
            DataInputStream in = new DataInputStream(from);
            byte[] request = new byte[REQUEST];
            while (true) {
                request[0] = in.readByte();
                long first = System.nanoTime();
                in.readFully(request, 1, REQUEST - 1);
                byte[] answer = answerTo(request);
                long begins = first
                        + line.characters(REQUEST).toNanos()
                        + line.frameGap().toNanos();
                for (int at = 0; at < answer.length; at += AT_ONCE) {
                    int count = Math.min(AT_ONCE, answer.length - at);
                    waitUntil(begins + line.characters(at + count).toNanos());
                    to.write(answer, at, count);
                }
            }
        } catch (IOException over) {
            // The benchmark has ended.
        }
    }

    private static void waitUntil(long nanos) {
        for (long left = nanos - System.nanoTime(); left > 0; left = nanos - System.nanoTime()) {
            LockSupport.parkNanos(left);
        }
    }

    private static byte[] answerTo(byte[] request) {
        int data = 2 * ((request[4] & 0xFF) << 8 | request[5] & 0xFF);
        byte[] answer = new byte[5 + data];
        answer[0] = request[0];
        answer[1] = request[1];
        answer[2] = (byte) data;
        int crc = 0xFFFF;
        for (int i = 0; i < 3 + data; i++) {
            crc ^= answer[i] & 0xFF;
            for (int shift = 0; shift < 8; shift++) {
                crc = (crc & 1) == 0 ? crc >> 1 : crc >> 1 ^ 0xA001;
            }
        }
        answer[3 + data] = (byte) crc;
        answer[4 + data] = (byte) (crc >> 8);
        return answer;
    }
}
