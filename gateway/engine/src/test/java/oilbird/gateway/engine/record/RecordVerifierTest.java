package oilbird.gateway.engine.record;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.ResultSet;
import java.sql.Statement;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.List;
import oilbird.alarm.station.EventId;
import oilbird.gateway.engine.record.RecordVerifier.Finding;
import oilbird.gateway.engine.record.RecordVerifier.Kind;
import oilbird.gateway.engine.record.RecordVerifier.Verification;
import org.assertj.core.api.Assertions;
import org.assertj.core.groups.Tuple;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

class RecordVerifierTest {
    @TempDir
    Path folder;

    private Path file;

    @BeforeEach
    void writeARecord() throws Exception {
        file = folder.resolve(EventRecord.FILE);
        try (EventRecord record = EventRecord.open(folder, Samples.NOON).record()) {
            record.commit(new Commit(
                    Samples.events(4, 1, 1_500),
                    List.of(Samples.fullState(Samples.FAN, "windlow-gw.4.1500")),
                    List.of(new LinkPosition("scada", 1_500)),
                    List.of(),
                    Samples.NOON));
            record.commit(Samples.commit(Samples.events(4, 1_501, 2_500)));
        }
    }

    private void sql(String... statements) throws Exception {
        try (Connection connection = DriverManager.getConnection("jdbc:sqlite:" + file);
                Statement statement = connection.createStatement()) {
            for (String sql : statements) {
                statement.execute(sql);
            }
        }
    }

    private Verification verify() throws Exception {
        return RecordVerifier.verify(file);
    }

    @Test
    void anUntouchedRecordIsWhole() throws Exception {
        assertThat(verify()).isEqualTo(new Verification(2_500, List.of()));
        assertThat(verify().whole()).isTrue();
    }

    /** SHA-256 of 32 zero bytes and the row's bytes, computed with Python's hashlib from the text in CodecTest. */
    @Test
    void theFirstHashIsWhatAnotherImplementationComputes() throws Exception {
        Path own = folder.resolve("own");
        try (EventRecord record = EventRecord.open(own, Samples.NOON).record()) {
            record.commit(Samples.commit(List.of(
                    new RecordedEvent(1, Samples.alarmEvent(3, 9), true),
                    new RecordedEvent(2, Samples.notice(3, 10), true))));
        }
        try (Connection connection = DriverManager.getConnection("jdbc:sqlite:" + own.resolve(EventRecord.FILE));
                Statement statement = connection.createStatement();
                ResultSet rows = statement.executeQuery("SELECT hash FROM event ORDER BY position")) {
            rows.next();
            assertThat(HexFormat.of().formatHex(rows.getBytes(1)))
                    .isEqualTo("92e4452a60b32c323fd0f70d3dfa5fe59a301bdb867a16d2430f0c03f50d7858");
            rows.next();
            assertThat(HexFormat.of().formatHex(rows.getBytes(1)))
                    .isEqualTo("f1d17db69c21dce3cb0847ed74d6c71bf972f700ce6ac42203485b60f5d47041");
        }
    }

    @Test
    void aByteFlippedInTheFileIsFoundAndOnlyItsRowIsNamed() throws Exception {
        String raw = Files.readString(file, StandardCharsets.ISO_8859_1);
        assertThat(raw).contains("evidence 1234\"");
        Files.writeString(file, raw.replace("evidence 1234\"", "evidence 1235\""), StandardCharsets.ISO_8859_1);
        assertThat(verify().findings())
                .containsExactly(new Finding(
                        Kind.CHANGED,
                        1_234,
                        1_234,
                        "event windlow-gw.4.1234 at position 1234: its content or its hash was changed after it was"
                                + " written"));
        assertThat(verify().whole()).isFalse();
    }

    @Test
    void aChangedHashIsFoundAndTheNextRowIsNotBlamed() throws Exception {
        sql("UPDATE event SET hash = zeroblob(32) WHERE position = 77");
        assertThat(verify().findings())
                .extracting(Finding::kind, Finding::from)
                .containsExactly(tuple(Kind.CHANGED, 77));
    }

    @Test
    void missingRowsAreCountedAndPlaced() throws Exception {
        sql("DELETE FROM event WHERE position BETWEEN 100 AND 149");
        assertThat(verify())
                .isEqualTo(new Verification(
                        2_450,
                        List.of(new Finding(
                                Kind.LOST,
                                100,
                                149,
                                "50 events after event windlow-gw.4.99 (positions 100 to 149) are missing"))));
    }

    @Test
    void aRowReplacedWithAMatchingHashIsFoundByTheRowAfterIt() throws Exception {
        // A forger who recomputes one row's hash still breaks the chain at the next.
        byte[] forged = EventCodec.write(Samples.alarmEvent(4, 10, "all is well"));
        HashChain chain = new HashChain();
        try (Connection connection = DriverManager.getConnection("jdbc:sqlite:" + file);
                Statement statement = connection.createStatement()) {
            byte[] previous;
            try (ResultSet row = statement.executeQuery("SELECT hash FROM event WHERE position = 9")) {
                previous = row.getBytes(1);
            }
            try (var update = connection.prepareStatement("UPDATE event SET body=?, hash=? WHERE position=10")) {
                update.setBytes(1, forged);
                update.setBytes(2, chain.next(previous, forged));
                update.executeUpdate();
            }
        }
        assertThat(verify().findings())
                .extracting(Finding::kind, Finding::from)
                .containsExactly(tuple(Kind.CHANGED, 11));
    }

    @Test
    void aTornTailIsBetrayedByWhatPointsAtIt() throws Exception {
        sql("DELETE FROM event WHERE position > 1400");
        assertThat(verify().findings())
                .extracting(Finding::text)
                .containsExactly(
                        "link scada confirmed position 1500, the record ends at 1400",
                        "alarm tx-1/gas-1.fan-stopped remembers event windlow-gw.4.1500, which the record does not"
                                + " have");
    }

    @Test
    void aChangedSearchColumnIsFound() throws Exception {
        sql("UPDATE event SET rule = 'gas-1.pump-stopped' WHERE position = 500");
        assertThat(verify().findings())
                .extracting(Finding::kind, Finding::from)
                .containsExactly(tuple(Kind.CHANGED, 500));
    }

    @Test
    void changedMemoriesAreFound() throws Exception {
        sql("UPDATE alarm_state SET body = CAST(replace(CAST(body AS TEXT), 'known', 'other') AS BLOB)");
        assertThat(verify().findings()).extracting(Finding::kind).containsExactly(Kind.STATE_CHANGED);
    }

    @Test
    void eventsThatWereNeverWrittenAreToldApartFromLostOnes() throws Exception {
        try (EventRecord record = EventRecord.open(folder, Samples.NOON).record()) {
            record.commit(new Commit(
                    Samples.events(4, 2_511, 2_520),
                    List.of(Samples.fullState(Samples.FAN, "windlow-gw.4.2505")),
                    List.of(new LinkPosition("scada", 2_510)),
                    List.of(new RecordGap(
                            2_501, 2_510, new EventId("windlow-gw", 4, 2_501), new EventId("windlow-gw", 4, 2_510))),
                    Samples.NOON));
        }
        Verification verification = verify();
        assertThat(verification.whole()).isTrue();
        assertThat(verification.findings())
                .extracting(Finding::kind, Finding::from, Finding::to)
                .containsExactly(Assertions.tuple(Kind.NEVER_WRITTEN, 2_501L, 2_510L));
    }

    @Test
    void aDamagedPageCostsOnlyTheRowsThatLieOnIt() throws Exception {
        byte[] raw = Files.readAllBytes(file);
        int at = Files.readString(file, StandardCharsets.ISO_8859_1).indexOf("evidence 2000\"");
        assertThat(at).isPositive();
        int page = at / 4_096 * 4_096;
        Arrays.fill(raw, page, page + 4_096, (byte) 0xFF);
        Files.write(file, raw);
        Verification verification = verify();
        assertThat(verification.findings()).extracting(Finding::kind).contains(Kind.LOST, Kind.DATABASE);
        Finding lost = verification.findings().stream()
                .filter(finding -> finding.kind() == Kind.LOST)
                .findFirst()
                .orElseThrow();
        assertThat(lost.from()).isLessThanOrEqualTo(2_000);
        assertThat(lost.to()).isGreaterThanOrEqualTo(2_000);
        assertThat(verification.rows()).isEqualTo(2_500 - (lost.to() - lost.from() + 1));
        assertThat(lost.to() - lost.from()).as("rows on one page").isLessThan(40);
    }

    private static Tuple tuple(Kind kind, long from) {
        return Assertions.tuple(kind, from);
    }
}
