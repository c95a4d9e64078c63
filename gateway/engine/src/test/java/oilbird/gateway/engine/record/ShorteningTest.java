package oilbird.gateway.engine.record;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.Statement;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.gateway.engine.record.RecordVerifier.Finding;
import oilbird.gateway.engine.record.RecordVerifier.Kind;
import oilbird.gateway.engine.record.RecordVerifier.Verification;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** A record that has reached its bound loses its oldest events, says so, and still verifies. */
class ShorteningTest {
    private static final long BOUND = 4_000_000;

    @TempDir
    Path folder = Path.of("");

    private long position;
    private Moment now = Samples.NOON;

    private EventRecord open(Duration keep) throws Exception {
        return EventRecord.open(folder, now, new RecordBound(BOUND, keep, 500)).record();
    }

    private void commit(EventRecord record, int count, List<LinkPosition> links) throws Exception {
        now = now.plusNanos(1_000_000_000L);
        List<RecordedEvent> events = new ArrayList<>();
        ShorteningPlan plan = record.shortening(now);
        if (plan != null) {
            position++;
            events.add(new RecordedEvent(
                    position,
                    new StationEvent.Notice(
                            new EventId("windlow-gw", 4, position),
                            StationEvent.Notice.Kind.RECORD_SHORTENED,
                            ShorteningPlan.SUBJECT,
                            plan.text(),
                            now),
                    true));
        }
        events.addAll(Samples.events(4, position + 1, position + count));
        position += count;
        record.commit(new Commit(events, List.of(), links, List.of(), now));
    }

    private void fill(EventRecord record, int events) throws Exception {
        for (int written = 0; written < events; written += 100) {
            commit(record, 100, List.of());
        }
    }

    private Verification verify() throws Exception {
        return RecordVerifier.verify(folder.resolve(EventRecord.FILE));
    }

    private void sql(String... statements) throws Exception {
        try (Connection connection = DriverManager.getConnection("jdbc:sqlite:" + folder.resolve(EventRecord.FILE));
                Statement statement = connection.createStatement()) {
            for (String sql : statements) {
                statement.execute(sql);
            }
        }
    }

    @Test
    void theFileKeepsToItsBoundAndTheRestVerifiesFromAStatedAnchor() throws Exception {
        try (EventRecord record = open(Duration.ZERO)) {
            fill(record, 30_000);
            assertThat(record.removesYoung()).isFalse();
            assertThat(record.after(0, 1).get(0).position()).as("oldest left").isGreaterThan(20_000);
        }
        assertThat(Files.size(folder.resolve(EventRecord.FILE))).isLessThan(BOUND);
        Verification verification = verify();
        assertThat(verification.findings()).extracting(Finding::kind).containsOnly(Kind.REMOVED);
        assertThat(verification.findings().get(0).text())
                .contains("windlow-gw.4.1 to windlow-gw.4.", "as the event at position");
        assertThat(verification.whole()).isTrue();

        try (EventRecord again = open(Duration.ZERO)) {
            fill(again, 5_000);
        }
        assertThat(verify().whole()).isTrue();
    }

    @Test
    void belowTheBoundNothingIsRemoved() throws Exception {
        try (EventRecord record = open(Duration.ZERO)) {
            fill(record, 2_000);
            assertThat(record.after(0, 1).get(0).position()).isEqualTo(1);
        }
        assertThat(verify().findings()).isEmpty();
    }

    @Test
    void removingEventsThatAreStillWantedIsTold() throws Exception {
        try (EventRecord record = open(Duration.ofDays(365))) {
            fill(record, 2_000);
            assertThat(record.removesYoung()).isFalse();
            fill(record, 20_000);
            assertThat(record.removesYoung()).isTrue();
        }
    }

    @Test
    void whoeverRemovesMoreThanWasSaidIsFoundOut() throws Exception {
        try (EventRecord record = open(Duration.ZERO)) {
            fill(record, 30_000);
        }
        assertThat(verify().whole()).isTrue();
        sql(
                "CREATE TABLE before AS SELECT max(position) AS p FROM (SELECT position FROM event ORDER BY position"
                        + " LIMIT 50)",
                "UPDATE removed SET to_position = (SELECT p FROM before), anchor = (SELECT p FROM before),"
                        + " hash = (SELECT hash FROM event WHERE position = (SELECT p FROM before)),"
                        + " anchor_hash = (SELECT hash FROM event WHERE position = (SELECT p FROM before))",
                "DELETE FROM event WHERE position <= (SELECT p FROM before)");
        assertThat(verify().whole()).isFalse();
        assertThat(verify().findings())
                .anySatisfy(finding -> assertThat(finding.text()).contains("no event of the chain says so"));
    }

    @Test
    void aForgedAnchorIsFoundOut() throws Exception {
        try (EventRecord record = open(Duration.ZERO)) {
            fill(record, 30_000);
        }
        sql("UPDATE removed SET anchor_hash = zeroblob(32)");
        assertThat(verify().whole()).isFalse();
    }

    @Test
    void whatAnOpenAlarmAndAFaultFindingUnderWayRestOnStays() throws Exception {
        try (EventRecord record = open(Duration.ZERO)) {
            position = 10;
            record.commit(new Commit(
                    Samples.events(4, 1, 10),
                    List.of(Samples.fullState(Samples.FAN, "windlow-gw.4.7")),
                    List.of(),
                    List.of(),
                    now));
            fill(record, 30_000);
            assertThat(record.find(new EventId("windlow-gw", 4, 7)))
                    .as("the last event of an alarm")
                    .isNotNull();
            assertThat(record.find(new EventId("windlow-gw", 4, 2)))
                    .as("one of the first since it became active")
                    .isNotNull();
            assertThat(record.find(new EventId("windlow-gw", 4, 150))).isNull();
        }
        assertThat(verify().whole()).isTrue();
        sql("UPDATE event SET body = replace(body, 'fan', 'fun') WHERE position = 7");
        assertThat(verify().whole()).isFalse();
    }

    @Test
    void aLinkThatIsFurtherBehindLearnsWhatItMissed() throws Exception {
        try (EventRecord record = open(Duration.ZERO)) {
            commit(record, 100, List.of(new LinkPosition("near", 0), new LinkPosition("far", 42)));
            for (int i = 0; i < 300; i++) {
                commit(record, 100, List.of(new LinkPosition("near", position)));
            }
            assertThat(record.missed("near")).isNull();
            MissedEvents missed = missed(record, "far");
            assertThat(missed.first()).isEqualTo("windlow-gw.4.43");
            long oldest = record.after(0, 1).get(0).position();
            assertThat(EventId.parse(missed.last()).sequence()).isEqualTo(oldest - 1);

            position++;
            RecordedEvent told = new RecordedEvent(
                    position,
                    new StationEvent.Notice(
                            new EventId("windlow-gw", 4, position),
                            StationEvent.Notice.Kind.EVENTS_MISSED,
                            new SignalId("gateway", "far"),
                            "",
                            now),
                    true);
            // The link has gone on behind the gap, and is up to date.
            record.commit(
                    new Commit(List.of(told), List.of(), List.of(new LinkPosition("far", position)), List.of(), now));
            assertThat(record.missed("far")).as("it has been told").isNull();
        }
    }

    private static MissedEvents missed(EventRecord record, String link) {
        @Nullable MissedEvents missed = record.missed(link);
        return Objects.requireNonNull(missed);
    }
}
