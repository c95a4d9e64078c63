package oilbird.gateway.command;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.Statement;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.gateway.engine.record.Commit;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class RecordCommandTest {
    private static final Moment NOON = new Moment(0, 1_772_366_400_000L, true);

    private final ByteArrayOutputStream told = new ByteArrayOutputStream();
    private final Path folder;
    private final Path data;
    private final EventRecord record;

    /** A gateway runs and has written a hundred events. */
    RecordCommandTest(@TempDir Path folder) throws Exception {
        this.folder = folder;
        this.data = folder.resolve("data");
        this.record = EventRecord.open(data, NOON).record();
        commit(1, 100);
    }

    @AfterEach
    void itStops() {
        record.close();
    }

    private void commit(long from, long to) throws Exception {
        List<RecordedEvent> events = new ArrayList<>();
        for (long position = from; position <= to; position++) {
            events.add(new RecordedEvent(
                    position,
                    new StationEvent.Notice(
                            new EventId("windlow-gw1", 1, position),
                            StationEvent.Notice.Kind.UNDOCUMENTED_BIT,
                            new SignalId("gas-t1", "status-a"),
                            "bit 12 is set",
                            NOON),
                    true));
        }
        record.commit(new Commit(events, List.of(), List.of(), List.of(), NOON));
    }

    private int run(String... words) {
        told.reset();
        return Main.run(List.of(words), new PrintStream(told, true, StandardCharsets.UTF_8));
    }

    private String told() {
        return told.toString(StandardCharsets.UTF_8);
    }

    private void change(String sql) throws Exception {
        try (Connection connection = DriverManager.getConnection("jdbc:sqlite:" + data.resolve(EventRecord.FILE));
                Statement statement = connection.createStatement()) {
            statement.execute(sql);
        }
    }

    @Test
    void aWholeRecordIsCountedWhileTheGatewayWritesToIt() throws Exception {
        assertThat(run("record", "verify", data.toString())).isZero();
        assertThat(told()).contains("100 events, nothing lost");
        commit(101, 120);
        assertThat(run("record", "verify", data.toString())).isZero();
        assertThat(told()).contains("120 events");
    }

    @Test
    void whatIsMissingIsCountedAndPlacedAndTheStatusIsSix() throws Exception {
        change("DELETE FROM event WHERE position BETWEEN 40 AND 49");
        assertThat(run("record", "verify", data.toString())).isEqualTo(6);
        assertThat(told())
                .contains("10 events after event windlow-gw1.1.39 (positions 40 to 49) are missing")
                .contains("90 events can be read")
                .contains("not whole");
    }

    @Test
    void aChangedRowIsNamed() throws Exception {
        change("UPDATE event SET body = replace(body, 'bit 12', 'bit 13') WHERE position = 7");
        assertThat(run("record", "verify", data.toString())).isEqualTo(6);
        assertThat(told()).contains("position 7").contains("changed after it was written");
    }

    @Test
    void aBackupIsMadeWhileTheGatewayRunsAndIsWholeAndDoesNotOverwrite() throws Exception {
        Path backup = folder.resolve("record-backup.db");
        assertThat(run("record", "backup", data.toString(), backup.toString())).isZero();
        assertThat(told()).contains("copied to").contains("100 events, nothing lost");
        commit(101, 110);
        assertThat(run("record", "verify", backup.toString())).isZero();
        assertThat(told()).contains("100 events");
        assertThat(run("record", "backup", data.toString(), backup.toString())).isEqualTo(1);
        assertThat(told()).contains("exists already");
    }

    @Test
    void aRestoredBackupStartsAndTakesAnotherIncarnation() throws Exception {
        Path restored = Files.createDirectories(folder.resolve("spare"));
        run("record", "backup", data.toString(), restored.resolve(EventRecord.FILE).toString());
        EventRecord.Opened opened = EventRecord.open(restored, NOON);
        opened.record().close();
        assertThat(opened.recovered().copy()).isTrue();
        assertThat(opened.recovered().nextPosition()).isEqualTo(101);
    }

    @Test
    void aDamagedRecordThatWasSetAsideIsMentioned() throws Exception {
        Path old = data.resolve(EventRecord.FILE + ".damaged-2026-11-25T10-00-00Z");
        Files.writeString(old, "damaged");
        assertThat(run("record", "verify", data.toString())).isZero();
        assertThat(told()).contains("set aside as damaged: " + old);
    }

    @Test
    void noRecordOrNoDatabaseIsSaidInWords() throws Exception {
        assertThat(run("record", "verify", folder.resolve("nowhere").toString())).isEqualTo(1);
        assertThat(told()).contains("does not exist");
        Path text = Files.writeString(folder.resolve("text"), "not a database ".repeat(100));
        assertThat(run("record", "verify", text.toString())).isEqualTo(1);
        assertThat(told()).contains("cannot be read");
        assertThat(run("record", "backup", folder.toString(), folder.resolve("x").toString())).isEqualTo(1);
        try (Stream<Path> files = Files.list(folder)) {
            assertThat(files.map(file -> file.getFileName().toString())).doesNotContain("x");
        }
    }
}
