package oilbird.gateway.engine.record;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.InputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Objects;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.Priority;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.Standing;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * Every format that was ever released is kept as a file and must go on opening, whole and with the same content.
 *
 * <p>A new format gets a file of its own, written by the version that releases it: {@link #main}.
 */
class ReleasedFormatTest {
    @TempDir
    Path folder;

    @ParameterizedTest
    @ValueSource(ints = {1, 2, 3})
    void aRecordOfAReleasedFormatOpensWholeAndGoesOn(int format) throws Exception {
        Path file = folder.resolve(EventRecord.FILE);
        try (InputStream kept = Objects.requireNonNull(
                ReleasedFormatTest.class.getResourceAsStream("record-format-" + format + ".db"))) {
            Files.copy(kept, file);
        }
        EventRecord.Opened opened = EventRecord.open(folder, Samples.NOON);
        try (EventRecord record = opened.record()) {
            Recovered recovered = opened.recovered();
            assertThat(recovered.setAside()).isNull();
            assertThat(recovered.unavailable()).isNull();
            assertThat(recovered.problems()).isEmpty();
            assertThat(recovered.incarnation()).isEqualTo(4);
            assertThat(recovered.nextPosition()).isEqualTo(16);
            assertThat(recovered.savedAt()).isEqualTo(Samples.NOON);
            assertThat(recovered.states()).containsExactly(Samples.fullState(Samples.FAN, "windlow-gw.4.14"));
            assertThat(recovered.links()).containsExactly(new LinkPosition("scada", 9));
            if (format >= 2) {
                // Rows of then do not say how the alarms were before: nothing that the maintenance made is void.
                assertThat(recovered.past().standing())
                        .isEqualTo(Samples.maintenance(new AlarmInput.Before(true, true, true, Priority.CRITICAL)));
                assertThat(recovered.past().remembered()).containsExactly(Samples.RATE);
            } else {
                assertThat(recovered.past().standing()).isEqualTo(Standing.NONE);
                assertThat(recovered.past().remembered()).isEmpty();
            }
            assertThat(record.after(0, 10)).isEqualTo(Samples.events(4, 1, 10));
            assertThat(record.after(10, 10)).isEqualTo(Samples.events(4, 13, 15));
            record.commit(Samples.commit(Samples.events(5, 16, 20)));
        }
        RecordVerifier.Verification verification = RecordVerifier.verify(file);
        assertThat(verification.rows()).isEqualTo(18);
        assertThat(verification.findings())
                .extracting(RecordVerifier.Finding::kind)
                .containsExactly(RecordVerifier.Kind.NEVER_WRITTEN);
    }

    /** Writes the file of the present format into the folder given. */
    public static void main(String[] args) throws Exception {
        Path folder = Path.of(args[0]);
        try (EventRecord record = EventRecord.open(folder, Samples.NOON).record()) {
            record.commit(new Commit(
                    Samples.events(4, 1, 10),
                    List.of(),
                    List.of(new LinkPosition("scada", 9)),
                    List.of(),
                    Samples.NOON));
            record.commit(new Commit(
                    Samples.events(4, 13, 15),
                    List.of(Samples.fullState(Samples.FAN, "windlow-gw.4.14")),
                    List.of(),
                    List.of(new RecordGap(11, 12, new EventId("windlow-gw", 4, 11), new EventId("windlow-gw", 4, 12))),
                    Samples.MAINTENANCE,
                    List.of(Samples.RATE),
                    Samples.NOON));
        }
    }
}
