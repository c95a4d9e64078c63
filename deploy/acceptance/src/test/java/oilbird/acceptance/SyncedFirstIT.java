package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Each event is on the disk before anybody is told of it: the kernel's calls are counted with strace. */
class SyncedFirstIT {
    private static final Pattern SYNC = Pattern.compile("f(data)?sync\\(\\d+<[^>]*record\\.db-wal>\\) *= 0");

    @TempDir
    Path folder;

    @Test
    void everyAnnouncedEventHasASyncOfTheRecordBeforeIt() throws Exception {
        assumeTrue(
                Files.isExecutable(Path.of("/usr/bin/strace")),
                "LEFT OUT: strace is not installed (Debian: apt install strace), so fdatasync is not counted");
        Path trace = folder.resolve("trace.txt");
        try (Monitor monitor = TestStation.healthyGasMonitor();
                ControlRoom room = new ControlRoom();
                GatewayProcess gateway = GatewayProcess.start(
                        TestStation.write(folder.resolve("station"), room.port(), List.of(monitor.port())),
                        folder.resolve("data"),
                        List.of(
                                "/usr/bin/strace",
                                "-f",
                                "-y",
                                "-e",
                                "trace=fsync,fdatasync",
                                "-o",
                                trace.toString()))) {
            gateway.awaitReady();
            int announced = 0;
            for (int i = 0; i < 6; i++) {
                long before = syncs(trace);
                int events = room.events().size();
                boolean raise = i % 2 == 0;
                monitor.setInputRegister(0, raise ? TestStation.FAN_STOPPED : TestStation.HEALTHY);
                room.awaitEvent(
                        "event " + i,
                        Duration.ofSeconds(60),
                        a -> room.events().size() > events && FirstLineIT.isFan(a));
                assertThat(syncs(trace))
                        .as("syncs of the record's log when event %s arrived", i)
                        .isGreaterThan(before);
                announced++;
            }
            System.out.printf(
                    "%d events announced one by one, %d syncs of the record's write-ahead log%n",
                    announced, syncs(trace));
        }
    }

    private static long syncs(Path trace) throws Exception {
        return Files.readAllLines(trace).stream()
                .filter(line -> SYNC.matcher(line).find())
                .count();
    }
}
