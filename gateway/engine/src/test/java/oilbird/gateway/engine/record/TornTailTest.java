package oilbird.gateway.engine.record;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The newest part of the write-ahead log is cut off at many places, as when the power goes while a disk writes. */
class TornTailTest {
    private static final int COMMITS = 20;
    private static final int EVENTS_EACH = 5;
    private static final int CUTS = 60;
    private static final String LOG = EventRecord.FILE + "-wal";

    @TempDir
    Path folder;

    @Test
    void whereverTheTailIsTornWholeCommitsAreLeftAndTheRecordGoesOnAfterThem() throws Exception {
        Path data = folder.resolve("data");
        try (EventRecord record = EventRecord.open(data, Samples.NOON).record()) {
            for (int commit = 0; commit < COMMITS; commit++) {
                long from = 1L + commit * EVENTS_EACH;
                record.commit(Samples.commit(Samples.events(1, from, from + EVENTS_EACH - 1)));
            }
            long size = Files.size(data.resolve(LOG));
            long fewest = Long.MAX_VALUE;
            for (int cut = 0; cut <= CUTS; cut++) {
                Path torn = Files.createDirectories(folder.resolve("torn-" + cut));
                Files.copy(data.resolve(EventRecord.FILE), torn.resolve(EventRecord.FILE));
                Files.copy(data.resolve(LOG), torn.resolve(LOG));
                try (FileChannel log = FileChannel.open(torn.resolve(LOG), StandardOpenOption.WRITE)) {
                    log.truncate(size - size * cut / CUTS);
                }
                fewest = Math.min(fewest, expectWholeCommits(torn));
            }
            assertThat(fewest).as("the cuts reached the first commit").isZero();
        }
    }

    private static long expectWholeCommits(Path torn) throws Exception {
        EventRecord.Opened opened = EventRecord.open(torn, Samples.NOON);
        try (EventRecord record = opened.record()) {
            assertThat(opened.recovered().setAside()).isNull();
            List<RecordedEvent> left = record.after(0, 1_000);
            assertThat(left.size() % EVENTS_EACH).as("no part of a commit").isZero();
            assertThat(left.stream().map(RecordedEvent::position).toList())
                    .isEqualTo(Samples.events(1, 1, left.size()).stream()
                            .map(RecordedEvent::position)
                            .toList());
            long next = opened.recovered().nextPosition();
            assertThat(next).isEqualTo(left.size() + 1);
            record.commit(Samples.commit(Samples.events(2, next, next + 1)));
            assertThat(RecordVerifier.verify(torn.resolve(EventRecord.FILE)).whole())
                    .isTrue();
            return left.size();
        }
    }
}
