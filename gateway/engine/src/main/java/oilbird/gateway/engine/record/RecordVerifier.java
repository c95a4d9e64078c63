package oilbird.gateway.engine.record;

import java.io.IOException;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.HexFormat;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.TreeMap;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import org.jspecify.annotations.Nullable;

/**
 * Walks an event record from its first row to its last and says what was lost or changed. Only reads; works on a
 * record that is being written to.
 */
public final class RecordVerifier {
    private static final int STRIDE = 1_000;
    /** First format in which guided fault-findings have a chain of their own. */
    private static final int SESSIONS = 3;
    /** First format whose oldest events can be removed. */
    private static final int SHORTENS = 4;

    private final Connection connection;
    private final HashChain chain = new HashChain();
    private final List<Finding> findings = new ArrayList<>();
    private final TreeMap<Long, RecordGap> gaps = new TreeMap<>();

    private long rows;
    private long lastPosition;
    private byte[] lastHash = HashChain.START;
    /** Hash that the row before should have by its body, where its stored one differs. */
    private byte @Nullable [] lastComputed;

    /** Position whose hash an event of the chain states, where rows before it were removed. */
    private long signedAt;

    private String signed = "";

    private boolean broken;
    private @Nullable EventId lastId;
    private boolean sessions;
    private final Map<String, byte[]> lastOfSession = new HashMap<>();

    private RecordVerifier(Connection connection) {
        this.connection = connection;
    }

    /**
     * @param rows events that could be read.
     * @param findings what is wrong, in order of position; empty if nothing is.
     */
    public record Verification(long rows, List<Finding> findings) {
        public Verification {
            findings = List.copyOf(findings);
        }

        /**
         * Nothing lost and nothing changed; events that were never written, or removed beyond its bound, are
         * no fault of the record. */
        public boolean whole() {
            return findings.stream()
                    .allMatch(finding -> finding.kind() == Kind.NEVER_WRITTEN || finding.kind() == Kind.REMOVED);
        }
    }

    /**
     * @param from first position concerned; 0 where it is not about events.
     * @param to last position concerned.
     */
    public record Finding(Kind kind, long from, long to, String text) {}

    public enum Kind {
        /** A row's body, hash or search columns do not fit together. */
        CHANGED,
        /** Rows are missing or cannot be read. */
        LOST,
        /** Events that were announced from memory while the disk could not be written, and say so. */
        NEVER_WRITTEN,
        /** The oldest rows, which were removed beyond the bound of the record; an event of the chain says so. */
        REMOVED,
        /** The stored memories of an alarm were changed. */
        STATE_CHANGED,
        /** SQLite's own check complains. */
        DATABASE
    }

    /**
     * @throws IOException if the file is no database or nothing of it can be read.
     */
    public static Verification verify(Path file) throws IOException {
        try (Connection connection = RecordFile.reading(file)) {
            connection.setAutoCommit(false);
            RecordVerifier verifier = new RecordVerifier(connection);
            verifier.walk();
            return new Verification(verifier.rows, verifier.findings);
        } catch (SQLException e) {
            throw new IOException(e.getMessage(), e);
        }
    }

    private void walk() throws SQLException {
        sessions = RecordFile.format(connection) >= SESSIONS;
        readGaps();
        long highest = RecordFile.number(connection, "SELECT max(position) FROM event");
        lastPosition =
                RecordFile.number(connection, "SELECT CAST(value AS INTEGER) FROM about WHERE name='first_position'")
                        - 1;
        if (lastPosition < 0) {
            lastPosition = 0;
        }
        if (RecordFile.format(connection) >= SHORTENS) {
            standOnWhatIsLeft();
        }
        for (long position = lastPosition; position < highest; ) {
            List<Row> stride;
            try {
                stride = rows("SELECT * FROM event WHERE position > ? ORDER BY position LIMIT " + STRIDE, position);
            } catch (SQLException e) {
                stride = oneByOne(position);
            }
            for (Row row : stride) {
                check(row);
            }
            position = stride.isEmpty() ? Math.min(highest, position + STRIDE) : stride.get(stride.size() - 1).position;
        }
        if (lastPosition < highest) {
            lost(lastPosition + 1, highest);
        }
        checkTail(highest);
        checkStates();
        checkRemembered();
        checkDatabase();
    }

    /** Where the oldest rows were removed the chain begins on the hash that an event further on states. */
    private void standOnWhatIsLeft() throws SQLException {
        long anchor;
        try (Statement statement = connection.createStatement();
                ResultSet removed = statement.executeQuery("SELECT * FROM removed")) {
            if (!removed.next()) {
                return;
            }
            ShorteningPlan said = new ShorteningPlan(
                    removed.getLong(2),
                    removed.getLong(3),
                    removed.getString(4),
                    removed.getString(5),
                    HexFormat.of().formatHex(removed.getBytes(6)));
            anchor = removed.getLong(8);
            byte[] hash = removed.getBytes(9);
            if (!isSaid(said, removed.getLong(7))
                    || anchor > said.toPosition()
                    || (anchor == said.toPosition() && !Arrays.equals(hash, removed.getBytes(6)))) {
                findings.add(new Finding(
                        Kind.LOST,
                        said.fromPosition(),
                        anchor,
                        "the rows up to position " + anchor
                                + " were removed, and no event of the chain says so: they are missing"));
            } else {
                findings.add(new Finding(
                        Kind.REMOVED,
                        said.fromPosition(),
                        anchor,
                        "the oldest events, up to position " + anchor + " of " + said.first() + " to " + said.last()
                                + ", were removed beyond the bound of the record, as the event at position "
                                + removed.getLong(7) + " says"));
                signedAt = said.toPosition();
                signed = said.hash();
            }
            lastPosition = anchor;
            lastHash = hash;
        }
        try (PreparedStatement select = connection.prepareStatement("SELECT event.position, body, hash, previous"
                + " FROM event LEFT JOIN kept ON kept.position = event.position WHERE event.position <= ?")) {
            select.setLong(1, anchor);
            try (ResultSet kept = select.executeQuery()) {
                while (kept.next()) {
                    rows++;
                    byte[] previous = kept.getBytes(4);
                    if (previous == null || !Arrays.equals(chain.next(previous, kept.getBytes(2)), kept.getBytes(3))) {
                        findings.add(new Finding(
                                Kind.CHANGED,
                                kept.getLong(1),
                                kept.getLong(1),
                                "position " + kept.getLong(1)
                                        + ", which was kept while those around it were removed: its content or its"
                                        + " hash was changed"));
                    }
                }
            }
        }
    }

    private boolean isSaid(ShorteningPlan plan, long at) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement("SELECT body FROM event WHERE position = ?")) {
            select.setLong(1, at);
            try (ResultSet row = select.executeQuery()) {
                return row.next() && plan.isSaidBy(EventCodec.read(row.getBytes(1)));
            }
        } catch (UnreadableRowException e) {
            return false;
        }
    }

    private void readGaps() throws SQLException {
        try (PreparedStatement select = connection.prepareStatement("SELECT * FROM gap ORDER BY from_position");
                ResultSet result = select.executeQuery()) {
            while (result.next()) {
                RecordGap gap = new RecordGap(
                        result.getLong(1),
                        result.getLong(2),
                        eventId(result.getString(3)),
                        eventId(result.getString(4)));
                gaps.put(gap.from(), gap);
            }
        }
    }

    private static @Nullable EventId eventId(@Nullable String text) {
        return text == null ? null : EventId.parse(text);
    }

    /** A damaged page makes a whole range unreadable; what lies around it is not. */
    private List<Row> oneByOne(long after) {
        List<Row> found = new ArrayList<>();
        for (long position = after + 1; position <= after + STRIDE; position++) {
            try {
                found.addAll(rows("SELECT * FROM event WHERE position = ?", position));
            } catch (SQLException e) {
                // Reported as lost when the next readable row shows the gap.
                broken = true;
            }
        }
        return found;
    }

    private List<Row> rows(String sql, long position) throws SQLException {
        List<Row> found = new ArrayList<>();
        try (PreparedStatement select = connection.prepareStatement(sql)) {
            select.setLong(1, position);
            try (ResultSet result = select.executeQuery()) {
                while (result.next()) {
                    found.add(new Row(
                            result.getLong(1),
                            result.getLong(2),
                            result.getLong(3),
                            result.getLong(4),
                            result.getString(5),
                            result.getString(6),
                            result.getBytes(7),
                            result.getBytes(8),
                            sessions ? result.getString(9) : null,
                            sessions ? result.getBytes(10) : null));
                }
            }
        }
        return found;
    }

    private void check(Row row) {
        rows++;
        boolean neighbours = row.position == lastPosition + 1;
        if (!neighbours) {
            neighbours = missing(lastPosition + 1, row.position - 1);
        }
        byte[] body = row.body == null ? new byte[0] : row.body;
        byte[] computed = chain.next(lastHash, body);
        boolean fits = Arrays.equals(computed, row.hash);
        checkSession(row, body);
        if (!fits && lastComputed != null && Arrays.equals(chain.next(lastComputed, body), row.hash)) {
            // The row before has a sound body: its stored hash alone was changed.
            fits = true;
        }
        String id = "position " + row.position;
        try {
            StationEvent event = EventCodec.read(body);
            id = event.id() + " at position " + row.position;
            if (fits || !neighbours) {
                checkColumns(row, event);
            }
            lastId = event.id();
        } catch (UnreadableRowException e) {
            if (fits) {
                findings.add(
                        new Finding(Kind.CHANGED, row.position, row.position, "event " + id + ": " + e.getMessage()));
            }
        }
        if (!fits && neighbours) {
            findings.add(new Finding(
                    Kind.CHANGED,
                    row.position,
                    row.position,
                    "event " + id + ": its content or its hash was changed after it was written"));
        }
        if (row.position == signedAt && !HexFormat.of().formatHex(computed).equals(signed)) {
            findings.add(new Finding(
                    Kind.CHANGED,
                    row.position,
                    row.position,
                    "event " + id + ": another hash than the event states that says up to where events are removed"));
        }
        lastComputed = fits || !neighbours ? null : computed;
        lastHash = row.hash == null ? HashChain.START : row.hash;
        lastPosition = row.position;
    }

    private void checkColumns(Row row, StationEvent event) {
        String asset = null;
        String rule = null;
        if (event instanceof StationEvent.OfAlarm ofAlarm) {
            asset = ofAlarm.event().alarm().asset();
            rule = ofAlarm.event().alarm().rule();
        }
        String session = event instanceof StationEvent.FaultFinding finding ? finding.session() : null;
        if (row.incarnation != event.id().incarnation()
                || row.sequence != event.id().sequence()
                || row.wallMillis != event.at().wallMillis()
                || !Objects.equals(row.asset, asset)
                || !Objects.equals(row.rule, rule)
                || sessions && !Objects.equals(row.session, session)) {
            findings.add(new Finding(
                    Kind.CHANGED,
                    row.position,
                    row.position,
                    "event " + event.id() + " at position " + row.position
                            + ": the columns by which it is found do not say what it says"));
        }
    }

    /** The chain of a guided fault-finding of its own, by which its record is verified where the rest is not at hand. */
    private void checkSession(Row row, byte[] body) {
        if (row.session == null) {
            return;
        }
        byte[] computed = chain.next(lastOfSession.getOrDefault(row.session, HashChain.START), body);
        if (!Arrays.equals(computed, row.sessionHash)) {
            findings.add(new Finding(
                    Kind.CHANGED,
                    row.position,
                    row.position,
                    "position " + row.position + ": the chain of fault-finding " + row.session + " is broken here"));
        }
        lastOfSession.put(row.session, row.sessionHash == null ? HashChain.START : row.sessionHash);
    }

    /** True if the missing rows were never written, so that the chain goes on across them. */
    private boolean missing(long from, long to) {
        RecordGap gap = gaps.get(from);
        if (gap == null || gap.to() != to) {
            lost(from, to);
            return false;
        }
        findings.add(new Finding(
                Kind.NEVER_WRITTEN,
                from,
                to,
                gap.first() == null
                        ? "positions " + from + " to " + to
                                + " were never used: the record could not be read at a start"
                        : "events " + gap.first() + " to " + gap.last()
                                + " were announced from memory while the disk could not be written, and never"
                                + " recorded"));
        return true;
    }

    private void lost(long from, long to) {
        String after = lastId == null ? "the beginning" : "event " + lastId;
        findings.add(new Finding(
                Kind.LOST,
                from,
                to,
                (to - from + 1) + " events after " + after + " (positions " + from + " to " + to + ") are "
                        + (broken ? "unreadable" : "missing")));
        broken = false;
    }

    /** Rows cut off at the end leave the chain whole; what points at them betrays them. */
    private void checkTail(long highest) throws SQLException {
        long end = gaps.isEmpty()
                ? highest
                : Math.max(highest, gaps.lastEntry().getValue().to());
        try (Statement statement = connection.createStatement();
                ResultSet links = statement.executeQuery("SELECT link, position FROM link_cursor")) {
            while (links.next()) {
                if (links.getLong(2) > end) {
                    findings.add(new Finding(
                            Kind.LOST,
                            end + 1,
                            links.getLong(2),
                            "link " + links.getString(1) + " confirmed position " + links.getLong(2)
                                    + ", the record ends at " + end));
                }
            }
        }
    }

    private void checkStates() throws SQLException {
        try (Statement statement = connection.createStatement();
                ResultSet states = statement.executeQuery("SELECT asset, rule, body, hash FROM alarm_state")) {
            while (states.next()) {
                String alarm = states.getString(1) + "/" + states.getString(2);
                byte[] body = states.getBytes(3);
                if (!Arrays.equals(chain.of(body), states.getBytes(4))) {
                    findings.add(
                            new Finding(Kind.STATE_CHANGED, 0, 0, "the memories of alarm " + alarm + " were changed"));
                    continue;
                }
                checkLastEvent(alarm, body);
            }
        }
    }

    private void checkRemembered() throws SQLException {
        if (RecordFile.format(connection) < 2) {
            return;
        }
        try (Statement statement = connection.createStatement();
                ResultSet pieces = statement.executeQuery("SELECT piece, body, hash FROM remembered")) {
            while (pieces.next()) {
                if (!Arrays.equals(chain.of(pieces.getBytes(2)), pieces.getBytes(3))) {
                    findings.add(new Finding(
                            Kind.STATE_CHANGED, 0, 0, "what was kept of \"" + pieces.getString(1) + "\" was changed"));
                }
            }
        }
    }

    private void checkLastEvent(String alarm, byte[] body) throws SQLException {
        AlarmState state = StateCodec.read(body);
        if (state.lastEvent().isEmpty()) {
            return;
        }
        EventId last = EventId.parse(state.lastEvent());
        try (PreparedStatement select =
                connection.prepareStatement("SELECT count(*) FROM event WHERE incarnation=? AND sequence=?")) {
            select.setLong(1, last.incarnation());
            select.setLong(2, last.sequence());
            try (ResultSet found = select.executeQuery()) {
                if (found.next() && found.getLong(1) == 0 && !neverWritten(last)) {
                    findings.add(new Finding(
                            Kind.LOST,
                            0,
                            0,
                            "alarm " + alarm + " remembers event " + last + ", which the record does not have"));
                }
            }
        }
    }

    private boolean neverWritten(EventId id) {
        for (RecordGap gap : gaps.values()) {
            EventId first = gap.first();
            EventId end = gap.last();
            if (first != null
                    && end != null
                    && first.incarnation() == id.incarnation()
                    && first.sequence() <= id.sequence()
                    && end.sequence() >= id.sequence()) {
                return true;
            }
        }
        return false;
    }

    private void checkDatabase() throws SQLException {
        try (Statement statement = connection.createStatement();
                ResultSet lines = statement.executeQuery("PRAGMA integrity_check(20)")) {
            while (lines.next()) {
                if (!"ok".equals(lines.getString(1))) {
                    findings.add(new Finding(Kind.DATABASE, 0, 0, lines.getString(1)));
                }
            }
        } catch (SQLException e) {
            findings.add(new Finding(Kind.DATABASE, 0, 0, String.valueOf(e.getMessage())));
        }
    }

    private record Row(
            long position,
            long incarnation,
            long sequence,
            long wallMillis,
            @Nullable String asset,
            @Nullable String rule,
            byte @Nullable [] body,
            byte @Nullable [] hash,
            @Nullable String session,
            byte @Nullable [] sessionHash) {}
}
