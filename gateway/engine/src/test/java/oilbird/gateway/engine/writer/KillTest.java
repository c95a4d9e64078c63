package oilbird.gateway.engine.writer;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.BufferedReader;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Random;
import java.util.Set;
import oilbird.alarm.station.EventId;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.RecordVerifier;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.Moment;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;

/** Kills a real process while it writes: what it announced is there, and no event id comes twice. */
class KillTest {
    private static final int KILLS = Integer.getInteger("oilbird.kills", 5);

    @TempDir
    Path data;

    @Test
    @Timeout(600)
    void whatAKilledGatewayAnnouncedIsInTheRecordAndNoEventIdComesTwice() throws Exception {
        long seed = 11;
        System.out.println("seed " + seed + ", kills " + KILLS);
        Random random = new Random(seed);
        Set<String> announced = new HashSet<>();
        for (int kill = 0; kill < KILLS; kill++) {
            int until = 200 + random.nextInt(3_000);
            for (String id : announcedUntilKilled(until)) {
                assertThat(announced.add(id))
                        .as("event id %s announced once", id)
                        .isTrue();
            }
        }

        Set<String> recorded = new HashSet<>();
        Set<Long> incarnations = new HashSet<>();
        try (EventRecord record =
                EventRecord.open(data, new Moment(0, 0, false)).record()) {
            long position = 0;
            for (List<RecordedEvent> events = record.after(0, 5_000);
                    !events.isEmpty();
                    events = record.after(position, 5_000)) {
                for (RecordedEvent event : events) {
                    EventId id = event.event().id();
                    assertThat(recorded.add(id.toString()))
                            .as("event id %s recorded once", id)
                            .isTrue();
                    incarnations.add(id.incarnation());
                    position = event.position();
                }
            }
        }
        Set<String> missing = new HashSet<>(announced);
        missing.removeAll(recorded);
        assertThat(missing).as("announced and not in the record").isEmpty();
        assertThat(incarnations).hasSize(KILLS);
        assertThat(RecordVerifier.verify(data.resolve(EventRecord.FILE)).findings())
                .isEmpty();
        System.out.printf("%d kills, %d events announced, %d recorded%n", KILLS, announced.size(), recorded.size());
    }

    private List<String> announcedUntilKilled(int until) throws Exception {
        Process gateway = new ProcessBuilder(
                        Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                        "-cp",
                        System.getProperty("java.class.path"),
                        KilledGateway.class.getName(),
                        data.toString())
                .redirectError(ProcessBuilder.Redirect.INHERIT)
                .start();
        List<String> ids = new ArrayList<>();
        try (BufferedReader lines =
                new BufferedReader(new InputStreamReader(gateway.getInputStream(), StandardCharsets.US_ASCII))) {
            StringBuilder line = new StringBuilder();
            for (int c = lines.read(); c >= 0; c = lines.read()) {
                if (c != '\n') {
                    line.append((char) c);
                    continue;
                }
                ids.add(line.toString());
                line.setLength(0);
                if (ids.size() == until) {
                    // Through the handle, which leaves the pipe open: what was announced before is still in it.
                    gateway.toHandle().destroyForcibly();
                }
            }
        } finally {
            gateway.destroyForcibly();
            gateway.waitFor();
        }
        assertThat(ids).as("the gateway ran").hasSizeGreaterThanOrEqualTo(until);
        return ids;
    }
}
