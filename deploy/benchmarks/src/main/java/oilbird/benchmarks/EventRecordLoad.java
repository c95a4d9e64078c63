package oilbird.benchmarks;

import com.sun.management.OperatingSystemMXBean;
import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.concurrent.locks.LockSupport;
import java.util.stream.Stream;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationModel;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.Outbox;
import oilbird.gateway.engine.record.Commit;
import oilbird.gateway.engine.record.CommitFailedException;
import oilbird.gateway.engine.record.CommitPort;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.RecordBound;
import oilbird.gateway.engine.record.RecordVerifier;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.record.ShorteningPlan;
import oilbird.gateway.engine.writer.StationWriter;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Loaded;
import org.jspecify.annotations.Nullable;

/**
 * Durable alarm events a second, and the time from an answer of a device to the announcement of its events, beside the time
 * of a commit: through queue, fold, rules, SQLite and listener. Walks the hash chain of each record afterwards.
 *
 * <p>Arguments: a folder on the disk to measure, seconds a run, and a bound of the record in MB that makes it remove its
 * oldest events all the while; without the last the record has its usual bound.
 */
public final class EventRecordLoad {
    private static final int FAULTS = 60;
    private static final int WORD = 16;
    private static final int KEPT_WAITING = 500;
    private static final String DEVICE = "load-1";

    private final Path folder;
    private final RecordBound bound;
    private final long nanosARun;
    private final StationModel model;
    private final String block;

    private EventRecordLoad(Path folder, long secondsARun, RecordBound bound) throws IOException {
        this.bound = bound;
        this.folder = folder;
        this.nanosARun = secondsARun * 1_000_000_000L;
        Path written = Files.createTempDirectory("windlow");
        writeStation(written);
        Loaded<Station> loaded = StationFolder.load(written);
        removeAll(written);
        this.model = loaded.result()
                .orElseThrow(() -> new IllegalStateException(loaded.problems().toString()))
                .model();
        this.block = model.facts().devices().get(0).kind().blocks().get(0).name();
    }

    public static void main(String[] arguments) throws Exception {
        EventRecordLoad load = new EventRecordLoad(
                Path.of(arguments[0]),
                Long.parseLong(arguments[1]),
                arguments.length < 3
                        ? RecordBound.DEFAULT
                        : new RecordBound(Long.parseLong(arguments[2]) * 1_000_000, Duration.ZERO));
        load.run("warm-up", 0, FAULTS);
        load.run("as fast as it can", 0, FAULTS);
        load.run("50 answers a second, 60 events each", 50, FAULTS);
        load.run("100 answers a second, 1 event each", 100, 1);
    }

    private void run(String name, int answersASecond, int changing) throws Exception {
        Path data = Files.createTempDirectory(folder, "record");
        GatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());
        EventRecord record = EventRecord.open(data, clock.now(), bound).record();
        Samples commits = new Samples();
        CommitPort timed = new CommitPort() {
            @Override
            public void commit(Commit commit) throws CommitFailedException {
                long started = System.nanoTime();
                record.commit(commit);
                if (!commit.events().isEmpty()) {
                    commits.add(System.nanoTime() - started);
                }
            }

            @Override
            public @Nullable ShorteningPlan shortening(Moment now) {
                return record.shortening(now);
            }
        };
        StationWriter writer = new StationWriter(
                StationFold.start(model, List.of(), null, "windlow-gw1", 1, clock.now()),
                timed,
                new Outbox(record, 0, List.of(), 10_000),
                1,
                Set.of(),
                clock,
                WriterSettings.DEFAULT);
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
        for (long offered = 0; System.nanoTime() - started < nanosARun; ) {
            if (answersASecond > 0) {
                long due = started + offered * 1_000_000_000L / answersASecond;
                while (System.nanoTime() < due) {
                    LockSupport.parkNanos(due - System.nanoTime());
                }
            } else if (writer.status().waiting() > KEPT_WAITING) {
                LockSupport.parkNanos(100_000);
                continue;
            }
            writer.inputs().offer(answer(offered % 2 == 0, changing, clock));
            offered++;
        }
        writer.close();
        double seconds = (System.nanoTime() - started) / 1e9;
        double cpuMicros = (cpuNanos() - cpu) / 1e3;
        record.close();
        Path file = data.resolve(EventRecord.FILE);
        RecordVerifier.Verification verification = RecordVerifier.verify(file);
        System.out.printf(
                Locale.ROOT,
                "%s: %d durable events in %.1f s = %.0f a second, %.1f us of CPU and %.0f bytes each; %d commits, ms: %s;"
                        + " answer to announcement, ms: %s = %.1f commits of p99; inputs lost %s; record %s, %d rows%n",
                name,
                events[0],
                seconds,
                events[0] / seconds,
                cpuMicros / events[0],
                Files.size(file) / (double) events[0],
                commits.count,
                commits,
                delays,
                delays.at(0.99) / commits.at(0.99),
                writer.status().losses().any(),
                verification.whole() ? "whole" : "NOT WHOLE",
                verification.rows());
        removeAll(data);
    }

    private StationInput answer(boolean faulty, int changing, GatewayClock clock) {
        var at = clock.now();
        List<Indication> told = new ArrayList<>(FAULTS);
        for (int i = 0; i < FAULTS; i++) {
            told.add(Indication.of(new SignalId(DEVICE, fault(i)), faulty && i < changing, at));
        }
        return new StationInput.Observed(new Decoded(DEVICE, block, List.of(), told, List.of(), at));
    }

    private static String fault(int index) {
        return "fault-%02d".formatted(index);
    }

    private static void writeStation(Path to) throws IOException {
        Files.createDirectories(to.resolve("maps"));
        Files.createDirectories(to.resolve("rules"));
        Files.writeString(to.resolve("station.yaml"), """
                station: 1
                id: windlow
                name: Windlow substation
                gateway: {id: windlow-gw1, name: gateway}
                acknowledgement: here
                assets:
                  - {id: t1, name: Transformer 1, kind: transformer}
                devices:
                  - id: load-1
                    name: load
                    asset: t1
                    map: load
                    modbus_tcp: {host: 127.0.0.1, port: 1502, unit: 1, deadline: 900 ms}
                links: []
                """);
        StringBuilder map = new StringBuilder("""
                device_map: 1
                name: load
                text: sixty faults (invented)
                addresses: zero-based
                poll_classes: {status: 1 s}
                verified: {by: the benchmark, on: 2026-11-25}
                words:
                """);
        StringBuilder indications = new StringBuilder("indications:\n");
        StringBuilder rules = new StringBuilder("""
                alarm_rules: 1
                text: Sixty faults
                owner: the benchmark
                rationalized: {by: the benchmark, on: 2026-11-25, revision: "1"}
                rules:
                """);
        for (int word = 0; word * WORD < FAULTS; word++) {
            map.append("  word-%d:\n    text: word\n    input_register: %d\n    width: 16\n    bits:\n"
                    .formatted(word, word));
            for (int bit = 0; bit < WORD; bit++) {
                int index = word * WORD + bit;
                map.append("      %d: %s\n".formatted(bit, index < FAULTS ? fault(index) : "spare"));
            }
        }
        for (int i = 0; i < FAULTS; i++) {
            indications.append("  %s: {text: fault}\n".formatted(fault(i)));
            rules.append("""
                      %1$s:
                        for: {map: load}
                        when: {indication: %1$s}
                        says: "a fault"
                        class: instrument-diagnostic
                        priority: minor
                        causes: [the benchmark]
                        consequence: None.
                        response: None.
                        respond_within: 1 d
                        call: nobody
                        on_samples: 1
                        off_samples: 1
                    """.formatted(fault(i)));
        }
        Files.writeString(to.resolve("maps/load.yaml"), map.append(indications));
        Files.writeString(to.resolve("rules/load.yaml"), rules);
    }

    private static void removeAll(Path folder) throws IOException {
        try (Stream<Path> files = Files.walk(folder)) {
            for (Path file : files.sorted((a, b) -> b.compareTo(a)).toList()) {
                Files.delete(file);
            }
        }
    }

    private static long cpuNanos() {
        return ((OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean()).getProcessCpuTime();
    }

    /** Milliseconds; written by one thread, read after it ended. */
    private static final class Samples {
        private long[] values = new long[1 << 16];
        private int count;

        void add(long nanos) {
            if (count == values.length) {
                values = Arrays.copyOf(values, count * 2);
            }
            values[count++] = nanos;
        }

        double at(double share) {
            long[] sorted = Arrays.copyOf(values, count);
            Arrays.sort(sorted);
            return count == 0 ? Double.NaN : sorted[(int) Math.ceil((count - 1) * share)] / 1e6;
        }

        @Override
        public String toString() {
            return String.format(Locale.ROOT, "median %.2f, p99 %.2f, max %.2f", at(0.5), at(0.99), at(1));
        }
    }
}
