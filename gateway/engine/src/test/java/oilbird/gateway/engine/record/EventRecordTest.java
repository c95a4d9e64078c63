package oilbird.gateway.engine.record;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.io.RandomAccessFile;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.stream.Stream;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.Past;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.EventId;
import oilbird.mapping.signal.Moment;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class EventRecordTest {
    @TempDir
    Path folder;

    private EventRecord.Opened open() throws RecordFormatException {
        return EventRecord.open(folder, Samples.NOON);
    }

    private Path file() {
        return folder.resolve(EventRecord.FILE);
    }

    private void sql(String... statements) throws Exception {
        try (Connection connection = DriverManager.getConnection("jdbc:sqlite:" + file());
                Statement statement = connection.createStatement()) {
            for (String sql : statements) {
                statement.execute(sql);
            }
        }
    }

    @Test
    void aNewFolderBeginsAnEmptyRecord() throws Exception {
        EventRecord.Opened opened = open();
        try (EventRecord record = opened.record()) {
            assertThat(opened.recovered())
                    .isEqualTo(new Recovered(Past.NONE, List.of(), 1, 0, false, null, null, List.of()));
            assertThat(record.after(0, 10)).isEmpty();
        }
    }

    @Test
    void whatWasCommittedIsThereAfterTheNextStart() throws Exception {
        AlarmState state = Samples.fullState(Samples.FAN, "windlow-gw.5.1");
        try (EventRecord record = open().record()) {
            record.commit(new Commit(
                    Samples.events(5, 1, 4),
                    List.of(state),
                    List.of(new LinkPosition("scada", 2)),
                    List.of(),
                    Samples.NOON));
            Moment later = new Moment(9_000, Samples.NOON.wallMillis() + 5, false);
            record.commit(new Commit(Samples.events(5, 5, 5), List.of(), List.of(), List.of(), later));
        }
        EventRecord.Opened again = open();
        try (EventRecord record = again.record()) {
            Recovered recovered = again.recovered();
            assertThat(recovered.states()).containsExactly(state);
            assertThat(recovered.savedAt()).isEqualTo(new Moment(9_000, Samples.NOON.wallMillis() + 5, false));
            assertThat(recovered.links()).containsExactly(new LinkPosition("scada", 2));
            assertThat(recovered.nextPosition()).isEqualTo(6);
            assertThat(recovered.incarnation()).isEqualTo(5);
            assertThat(record.after(0, 100)).isEqualTo(Samples.events(5, 1, 5));
        }
    }

    @Test
    void eventsAreReadByPlaceByAlarmAndById() throws Exception {
        try (EventRecord record = open().record()) {
            List<RecordedEvent> events = Samples.events(2, 1, 9);
            record.commit(Samples.commit(events));
            assertThat(record.after(3, 2)).isEqualTo(events.subList(3, 5));
            assertThat(record.before(Long.MAX_VALUE, 2)).containsExactly(events.get(8), events.get(7));
            assertThat(record.ofAlarm(Samples.FAN, 8, 3)).containsExactly(events.get(6), events.get(4), events.get(3));
            assertThat(record.find(new EventId("windlow-gw", 2, 4))).isEqualTo(events.get(3));
            assertThat(record.find(new EventId("windlow-gw", 2, 10))).isNull();
            assertThat(record.find(new EventId("other-gw", 2, 4))).isNull();
        }
    }

    @Test
    void anEventIdIsNeverTakenTwice() throws Exception {
        try (EventRecord record = open().record()) {
            record.commit(Samples.commit(Samples.events(2, 1, 3)));
            List<RecordedEvent> again = List.of(new RecordedEvent(4, Samples.alarmEvent(2, 3), true));
            assertThatThrownBy(() -> record.commit(Samples.commit(again))).isInstanceOf(CommitFailedException.class);
            assertThat(record.after(3, 10)).isEmpty();
        }
    }

    @Test
    void aFullDiskTakesNothingOfACommitAndTheSameCommitSucceedsLater() throws Exception {
        try (EventRecord record = open().record()) {
            record.commit(Samples.commit(Samples.events(2, 1, 10)));
            record.limitPages(20);
            List<RecordedEvent> many = Samples.events(2, 11, 2_000);
            assertThatThrownBy(() -> record.commit(Samples.commit(many)))
                    .isInstanceOf(CommitFailedException.class)
                    .hasMessageContaining("SQLITE_FULL");
            assertThat(record.before(Long.MAX_VALUE, 1).get(0).position()).isEqualTo(10);
            record.limitPages(0);
            record.commit(Samples.commit(many));
            assertThat(record.before(Long.MAX_VALUE, 1).get(0).position()).isEqualTo(2_000);
        }
        assertThat(RecordVerifier.verify(file()).findings()).isEmpty();
    }

    @Test
    void aFileThatIsNoDatabaseIsSetAsideUnderADatedNameAndANewRecordBegun() throws Exception {
        Files.createDirectories(folder);
        byte[] rubbish = "no database at all".repeat(100).getBytes(StandardCharsets.US_ASCII);
        Files.write(file(), rubbish);
        EventRecord.Opened opened = open();
        try (EventRecord record = opened.record()) {
            SetAside setAside = opened.recovered().setAside();
            assertThat(setAside).isNotNull();
            assertThat(setAside.file().getFileName().toString()).isEqualTo("record.db.damaged-2026-03-01T12-00-00Z");
            assertThat(Files.readAllBytes(setAside.file())).isEqualTo(rubbish);
            record.commit(Samples.commit(Samples.events(2, 1, 1)));
            assertThat(record.after(0, 10)).hasSize(1);
        }
    }

    @Test
    void aRecordWithTornPagesIsSetAside() throws Exception {
        try (EventRecord record = open().record()) {
            record.commit(Samples.commit(Samples.events(2, 1, 3_000)));
        }
        try (RandomAccessFile raw = new RandomAccessFile(file().toFile(), "rw")) {
            byte[] hole = new byte[(int) (raw.length() - 4_096 * 3)];
            raw.seek(4_096 * 3);
            raw.write(hole);
        }
        EventRecord.Opened opened = open();
        try (EventRecord record = opened.record()) {
            assertThat(opened.recovered().setAside()).isNotNull();
            assertThat(record.after(0, 10)).isEmpty();
        }
        assertThat(folder.toFile().list()).contains("record.db", "record.db.damaged-2026-03-01T12-00-00Z");
    }

    @Test
    void aByteFlippedInTheNewestRowsIsFoundAtTheStartThoughTheDatabaseIsSound() throws Exception {
        AlarmState state = Samples.fullState(Samples.FAN, "windlow-gw.2.49");
        try (EventRecord record = open().record()) {
            record.commit(new Commit(Samples.events(2, 1, 50), List.of(state), List.of(), List.of(), Samples.NOON));
        }
        flip("evidence 41", "evidence 14");
        sql("SELECT count(*) FROM event");
        try (Connection connection = DriverManager.getConnection("jdbc:sqlite:" + file());
                Statement statement = connection.createStatement();
                var check = statement.executeQuery("PRAGMA integrity_check")) {
            assertThat(check.getString(1)).as("SQLite's own check").isEqualTo("ok");
        }
        EventRecord.Opened opened = open();
        try (EventRecord record = opened.record()) {
            SetAside setAside = opened.recovered().setAside();
            assertThat(setAside).isNotNull();
            assertThat(setAside.why()).contains("position 41");
            assertThat(opened.recovered().states())
                    .as("memories outlive the damage")
                    .containsExactly(state);
            assertThat(opened.recovered().savedAt()).isEqualTo(Samples.NOON);
            assertThat(opened.recovered().incarnation()).isEqualTo(2);
            assertThat(opened.recovered().nextPosition()).isEqualTo(1);
            assertThat(record.wantsEveryState())
                    .as("the new record has none yet")
                    .isTrue();
        }
    }

    @Test
    void memoriesThatWereChangedAreNotUsedAndNamed() throws Exception {
        AlarmState state = Samples.fullState(Samples.FAN, "");
        try (EventRecord record = open().record()) {
            record.commit(new Commit(List.of(), List.of(state), List.of(), List.of(), Samples.NOON));
        }
        flip("known fault", "knewn fault");
        EventRecord.Opened opened = open();
        opened.record().close();
        assertThat(opened.recovered().states()).isEmpty();
        assertThat(opened.recovered().problems()).singleElement().asString().contains("tx-1/gas-1.fan-stopped");
    }

    private void flip(String from, String to) throws IOException {
        String raw = Files.readString(file(), StandardCharsets.ISO_8859_1);
        assertThat(raw).contains(from);
        Files.writeString(file(), raw.replace(from, to), StandardCharsets.ISO_8859_1);
    }

    @Test
    void aRecordOfANewerVersionIsRefusedAndLeftAlone() throws Exception {
        open().record().close();
        sql("PRAGMA user_version=99");
        byte[] before = Files.readAllBytes(file());
        assertThatThrownBy(this::open)
                .isInstanceOf(RecordFormatException.class)
                .hasMessageContaining("format 99")
                .hasMessageContaining("restore a backup");
        assertThat(Files.readAllBytes(file())).isEqualTo(before);
    }

    @Test
    void rememberedPiecesAreReplacedByTheirKeyAndForgottenWhenNothingIsLeft() throws Exception {
        Remembered other = new Remembered("told gas-1/status-1", List.of("200"), List.of(), List.of(), false);
        Remembered newer = new Remembered(Samples.RATE.key(), List.of("x"), List.of(7L), List.of(0.1), false);
        try (EventRecord record = open().record()) {
            record.commit(Samples.remembering(List.of(), Samples.MAINTENANCE, List.of(Samples.RATE, other)));
            record.commit(Samples.remembering(List.of(), Samples.MAINTENANCE, List.of(newer)));
        }
        EventRecord.Opened second = open();
        try (EventRecord record = second.record()) {
            assertThat(second.recovered().past().remembered()).containsExactly(newer, other);
            record.commit(Samples.remembering(
                    List.of(), Standing.NONE, List.of(Remembered.nothing(Samples.RATE.key(), false))));
        }
        EventRecord.Opened third = open();
        third.record().close();
        assertThat(third.recovered().past().remembered()).containsExactly(other);
    }

    @Test
    void aRememberedPieceThatWasChangedOnTheDiskIsNotUsedAndTheVerifierNamesIt() throws Exception {
        try (EventRecord record = open().record()) {
            record.commit(Samples.remembering(Samples.events(3, 1, 3), Standing.NONE, List.of(Samples.RATE)));
        }
        sql("UPDATE remembered SET body = replace(body, '20.5', '29.5')");
        assertThat(RecordVerifier.verify(file()).findings())
                .singleElement()
                .satisfies(f -> assertThat(f.text()).contains(Samples.RATE.key()));
        EventRecord.Opened opened = open();
        opened.record().close();
        assertThat(opened.recovered().past().remembered()).isEmpty();
        assertThat(opened.recovered().problems()).singleElement().asString().contains(Samples.RATE.key());
    }

    @Test
    void theAlarmEventsOfTheLastTenMinutesAreReadBackForFloodsAndChattering() throws Exception {
        try (EventRecord record = open().record()) {
            record.commit(Samples.commit(Samples.events(3, 1, 6)));
            record.commit(new Commit(
                    List.of(), List.of(), List.of(), List.of(), Samples.NOON.plusNanos(540_000_000_000L)));
        }
        EventRecord.Opened opened = open();
        try (EventRecord record = opened.record()) {
            assertThat(opened.recovered().past().recent())
                    .as("alarm events, no notices")
                    .extracting(e -> e.id().sequence())
                    .containsExactly(1L, 2L, 4L, 5L);
            record.commit(new Commit(
                    List.of(), List.of(), List.of(), List.of(), Samples.NOON.plusNanos(660_000_000_000L)));
        }
        EventRecord.Opened later = open();
        later.record().close();
        assertThat(later.recovered().past().recent()).isEmpty();
    }

    @Test
    void aDatabaseOfSomethingElseIsNotWrittenInto() throws Exception {
        sql("CREATE TABLE cooking (recipe TEXT)");
        EventRecord.Opened opened = open();
        opened.record().close();
        SetAside setAside = opened.recovered().setAside();
        assertThat(setAside).isNotNull();
        assertThat(setAside.why()).contains("something else");
    }

    @Test
    void aMigrationKeepsEveryRow() throws Exception {
        try (EventRecord record = open().record()) {
            record.commit(Samples.commit(Samples.events(2, 1, 9)));
        }
        List<Migration> withNext = new ArrayList<>(Migration.ALL);
        int next = Migration.ALL.size() + 1;
        withNext.add(new Migration(next, List.of("CREATE TABLE note (text TEXT)")));
        EventRecord.Opened migrated = EventRecord.open(folder, Samples.NOON, withNext);
        try (EventRecord record = migrated.record()) {
            assertThat(record.after(0, 100)).isEqualTo(Samples.events(2, 1, 9));
            record.commit(Samples.commit(Samples.events(2, 10, 10)));
        }
        sql("SELECT text FROM note");
        assertThat(RecordVerifier.verify(file()).findings()).isEmpty();
        assertThatThrownBy(this::open).isInstanceOf(RecordFormatException.class);
    }

    @Test
    void aMigrationThatFailsLeavesTheOldFormat() throws Exception {
        open().record().close();
        List<Migration> broken = new ArrayList<>(Migration.ALL);
        broken.add(new Migration(
                Migration.ALL.size() + 1, List.of("CREATE TABLE note (text TEXT)", "no SQL at all")));
        EventRecord.Opened opened = EventRecord.open(folder, Samples.NOON, broken);
        opened.record().close();
        assertThat(opened.recovered().unavailable()).isNotNull();
        EventRecord.Opened again = open();
        again.record().close();
        assertThat(again.recovered().unavailable()).isNull();
    }

    @Test
    void aBackupMadeWhileTheRecordIsWrittenIsWholeAndKnownAsACopy() throws Exception {
        Path other = folder.resolve("spare");
        Files.createDirectories(other);
        try (EventRecord record = open().record()) {
            record.commit(Samples.commit(Samples.events(2, 1, 500)));
            EventRecord.backup(folder, other.resolve(EventRecord.FILE), Instant.EPOCH);
            record.commit(Samples.commit(Samples.events(2, 501, 600)));
        }
        assertThat(RecordVerifier.verify(other.resolve(EventRecord.FILE)).findings())
                .isEmpty();

        EventRecord.Opened restored = EventRecord.open(other, Samples.NOON);
        try (EventRecord record = restored.record()) {
            assertThat(restored.recovered().copy()).isTrue();
            assertThat(restored.recovered().nextPosition()).isEqualTo(501);
            record.commit(Samples.commit(Samples.events(3, 501, 502)));
        }
        EventRecord.Opened again = EventRecord.open(other, Samples.NOON);
        again.record().close();
        assertThat(again.recovered().copy())
                .as("the mark goes with the first commit of the new incarnation")
                .isFalse();
        try (Stream<Path> files = Files.list(other)) {
            assertThat(files).noneMatch(path -> path.toString().contains("unfinished"));
        }
    }

    @Test
    void aBackupDoesNotOverwrite() throws Exception {
        open().record().close();
        Path target = folder.resolve("copy.db");
        Files.writeString(target, "precious");
        assertThatThrownBy(() -> EventRecord.backup(folder, target, Instant.EPOCH))
                .isInstanceOf(IOException.class);
        assertThat(target).hasContent("precious");
    }

    @Test
    void aDiskThatCannotBeUsedAtTheStartIsTriedAgainWithEveryCommit() throws Exception {
        Path data = folder.resolve("data");
        Files.writeString(data, "a file where the folder should be");
        EventRecord.Opened opened = EventRecord.open(data, Samples.NOON);
        try (EventRecord record = opened.record()) {
            Recovered recovered = opened.recovered();
            assertThat(recovered.unavailable()).isNotNull();
            assertThat(record.wantsEveryState()).isTrue();
            long first = recovered.nextPosition();
            assertThatThrownBy(() -> record.commit(Samples.commit(Samples.events(2, first, first))))
                    .isInstanceOf(CommitFailedException.class);
            Files.delete(data);
            Files.createDirectories(data);
            record.commit(Samples.commit(Samples.events(2, first, first + 1)));
            assertThat(record.after(0, 10)).hasSize(2);
            assertThat(record.wantsEveryState()).isFalse();
        }
        assertThat(RecordVerifier.verify(data.resolve(EventRecord.FILE)).findings())
                .isEmpty();
    }

    @Test
    void aRecordDamagedWhileRunningIsSetAsideAndTheNewOneAsksForEveryState() throws Exception {
        EventRecord.Opened opened = open();
        try (EventRecord record = opened.record()) {
            record.commit(Samples.commit(Samples.events(2, 1, 3_000)));
            sql("PRAGMA wal_checkpoint(TRUNCATE)");
            try (RandomAccessFile raw = new RandomAccessFile(file().toFile(), "rw")) {
                byte[] hole = new byte[(int) (raw.length() - 4_096)];
                raw.seek(4_096);
                raw.write(hole);
            }
            // Another connection's change makes the writer read its pages from the file again.
            try {
                sql("PRAGMA user_version=1");
            } catch (SQLException expected) {
                assertThat((Throwable) expected).hasMessageContaining("SQLITE");
            }
            Commit next = Samples.commit(Samples.events(2, 3_001, 3_100));
            int failed = 0;
            while (record.setAside() == null && failed < 5) {
                try {
                    record.commit(next);
                } catch (CommitFailedException e) {
                    failed++;
                }
            }
            assertThat(record.setAside()).isNotNull();
            assertThat(record.wantsEveryState()).isTrue();
            record.commit(new Commit(
                    next.events(), List.of(Samples.fullState(Samples.FAN, "")), List.of(), List.of(), Samples.NOON));
            assertThat(record.after(0, 200)).isEqualTo(next.events());
        }
        assertThat(RecordVerifier.verify(file()).findings()).isEmpty();
    }
}
