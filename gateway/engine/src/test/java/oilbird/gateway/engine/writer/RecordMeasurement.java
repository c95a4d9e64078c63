package oilbird.gateway.engine.writer;

import com.sun.management.OperatingSystemMXBean;
import java.lang.management.ManagementFactory;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import java.util.concurrent.locks.LockSupport;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationModel;
import oilbird.gateway.engine.StationFixture;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.Outbox;
import oilbird.gateway.engine.record.CommitPort;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.RecordedEvent;

/**
 * Measures durable alarm events a second, and the time from an input to the announcement of its events, through queue,
 * fold, disk and listener. A program, not a test: its figures depend on the disk.
 *
 * <p>Arguments: folder on the disk to measure, seconds a run.
 */
final class RecordMeasurement {
    private static final int FANS = 60;

    private final Path folder;
    private final long nanosARun;

    private RecordMeasurement(Path folder, long secondsARun) {
        this.folder = folder;
        this.nanosARun = secondsARun * 1_000_000_000L;
    }

    public static void main(String[] args) throws Exception {
        RecordMeasurement measurement = new RecordMeasurement(Path.of(args[0]), Long.parseLong(args[1]));
        measurement.run("warm-up", 0, FANS);
        measurement.run("as fast as it can", 0, FANS);
        measurement.run("50 inputs a second, 60 events each", 50, FANS);
        measurement.run("100 inputs a second, 1 event each", 100, 1);
    }

    private void run(String name, int inputsASecond, int fans) throws Exception {
        Path data = Files.createTempDirectory(folder, "record");
        GatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());
        EventRecord.Opened opened = EventRecord.open(data, clock.now());
        EventRecord record = opened.record();
        StationModel model = StationFixture.model(fans);
        StationFold fold = StationFold.start(model, List.of(), null, StationFixture.GATEWAY, 1, clock.now());
        Samples commits = new Samples();
        CommitPort timed = commit -> {
            long started = System.nanoTime();
            record.commit(commit);
            if (!commit.events().isEmpty()) {
                commits.add(System.nanoTime() - started);
            }
        };
        Outbox outbox = new Outbox(record, 0, List.of(), 10_000);
        StationWriter writer = new StationWriter(fold, timed, outbox, 1, Set.of(), clock, WriterSettings.DEFAULT);
        Samples delays = new Samples();
        long[] events = {0};
        writer.onCommitted(list -> {
            long now = clock.now().monotonicNanos();
            for (RecordedEvent event : list) {
                delays.add(now - event.event().at().monotonicNanos());
            }
            events[0] += list.size();
        });
        writer.start();
        long cpu = cpuNanos();
        long started = System.nanoTime();
        long offered = 0;
        while (System.nanoTime() - started < nanosARun) {
            if (inputsASecond > 0) {
                long due = started + offered * 1_000_000_000L / inputsASecond;
                while (System.nanoTime() < due) {
                    LockSupport.parkNanos(due - System.nanoTime());
                }
            } else if (writer.status().waiting() > 500) {
                LockSupport.parkNanos(100_000);
                continue;
            }
            writer.inputs().offer(StationFixture.fans(fans, offered % 2 == 0 ? -1L : 0, clock.now()));
            offered++;
        }
        writer.close();
        double seconds = (System.nanoTime() - started) / 1e9;
        record.close();
        long size = Files.size(data.resolve(EventRecord.FILE));
        System.out.printf(
                "%s: %d durable events in %.1f s = %.0f a second; %d commits, ms: %s; input to announcement, ms: %s;"
                        + " %.0f bytes and %.1f us of CPU an event%n",
                name,
                events[0],
                seconds,
                events[0] / seconds,
                commits.count,
                commits,
                delays,
                size / (double) events[0],
                (cpuNanos() - cpu) / 1e3 / events[0]);
        try (var files = Files.list(data)) {
            for (Path file : files.toList()) {
                Files.delete(file);
            }
        }
        Files.delete(data);
    }

    private static long cpuNanos() {
        return ((OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean()).getProcessCpuTime();
    }

    /** Written by one thread, read after it ended. */
    private static final class Samples {
        private long[] values = new long[1 << 16];
        private int count;

        void add(long value) {
            if (count == values.length) {
                values = Arrays.copyOf(values, count * 2);
            }
            values[count++] = value;
        }

        @Override
        public String toString() {
            long[] sorted = Arrays.copyOf(values, count);
            Arrays.sort(sorted);
            return "median %.2f, p99 %.2f, max %.2f".formatted(at(sorted, 0.5), at(sorted, 0.99), at(sorted, 1));
        }

        private static double at(long[] sorted, double share) {
            return sorted.length == 0 ? Double.NaN : sorted[(int) Math.ceil((sorted.length - 1) * share)] / 1e6;
        }
    }
}
