package oilbird.gateway.engine.record;

import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.HashSet;
import java.util.HexFormat;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.Past;
import oilbird.alarm.station.Remembered;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * Removes the oldest events of a record that has reached its bound: first it is said, in an event of the same chain, which
 * they are and on what hash the rest stands; then they go, a few with each commit and in its transaction.
 *
 * <p>Events of a guided fault-finding that is under way stay, as do the last event of each alarm, that by which it was
 * acknowledged, and the first events of an alarm since it became active, while it is not normal; they keep the hash of the
 * row before them beside them. Maintenance, point tests and what else stands is kept apart from the events, as always.
 *
 * <p>Used by the thread that commits, in its transaction.
 */
final class Shortening {
    private static final String OLDEST_LEFT =
            "SELECT wall_ms FROM event" + " WHERE position > (SELECT anchor FROM removed) ORDER BY position LIMIT 1";

    /** Begins so much before the bound, so that the bound itself is kept. */
    private static final double BEGINS_AT = 0.92;

    private static final double ENDS_AT = 0.88;
    private static final int LEAST_AT_ONCE = 100;
    /** An open alarm that many comment on, or that asks again and again, must not fill the record. */
    private static final int MOST_OF_AN_ALARM = 100;

    private static final long MOST_BETWEEN_LOOKS = 2_048;
    private static final long LEAST_BETWEEN_LOOKS = 16;
    /** About a hundredth of the bound lies between two looks, an event taking some 700 bytes. */
    private static final long BYTES_BETWEEN_LOOKS_OF_BOUND = 70_000;

    private static final long LONGEST_BETWEEN_LOOKS_NANOS = 60_000_000_000L;
    private static final long SAID_AGAIN_AFTER_NANOS = 3_600_000_000_000L;

    private final RecordBound bound;
    private final long betweenLooks;

    private long eventsSinceLook;
    private long lookedAt;
    private @Nullable ShorteningPlan planned;
    private long saidAt;
    private boolean underWay = true;
    private @Nullable Set<Long> protectedRows;
    private volatile long capacity = Long.MAX_VALUE;
    private volatile boolean young;

    Shortening(RecordBound bound) {
        this.bound = bound;
        this.betweenLooks = Math.min(
                MOST_BETWEEN_LOOKS, Math.max(LEAST_BETWEEN_LOOKS, bound.atMostBytes() / BYTES_BETWEEN_LOOKS_OF_BOUND));
        this.eventsSinceLook = betweenLooks;
    }

    /** What is to be said in an event before anything more is removed; null for nothing. Given once. */
    @Nullable
    ShorteningPlan takePlan(Moment now) {
        ShorteningPlan plan = planned;
        if (plan == null || (saidAt != 0 && now.monotonicNanos() - saidAt < SAID_AGAIN_AFTER_NANOS)) {
            return null;
        }
        saidAt = Math.max(1, now.monotonicNanos());
        return plan;
    }

    /** Events that the record can hold, estimated. */
    long capacity() {
        return capacity;
    }

    /** Events younger than wanted are being removed: those that went last were, and until the rest is old enough. */
    boolean removesYoung() {
        return young;
    }

    /**
     * Does its part of a transaction.
     *
     * @param events committed in it.
     */
    void with(Connection connection, List<RecordedEvent> events, Moment now) throws SQLException {
        ShorteningPlan plan = planned;
        for (RecordedEvent event : events) {
            if (plan != null && plan.isSaidBy(event.event())) {
                begin(connection, plan, event.position());
                planned = null;
                saidAt = 0;
                underWay = true;
                protectedRows = null;
            }
        }
        if (underWay) {
            slice(connection, Math.max(LEAST_AT_ONCE, 2 * events.size()));
        }
        eventsSinceLook += events.size();
        if (bound.atMostBytes() > 0
                && (eventsSinceLook >= betweenLooks
                        || now.monotonicNanos() - lookedAt >= LONGEST_BETWEEN_LOOKS_NANOS)) {
            eventsSinceLook = 0;
            lookedAt = now.monotonicNanos();
            look(connection, now);
        }
    }

    private void look(Connection connection, Moment now) throws SQLException {
        long page = RecordFile.number(connection, "PRAGMA page_size");
        long used = page
                * (RecordFile.number(connection, "PRAGMA page_count")
                        - RecordFile.number(connection, "PRAGMA freelist_count"));
        long last = RecordFile.number(connection, "SELECT max(position) FROM event");
        long anchor = RecordFile.number(connection, "SELECT anchor FROM removed");
        long first = anchor > 0 ? anchor + 1 : RecordFile.number(connection, "SELECT min(position) FROM event");
        long rows = last - first + 1;
        capacity = used == 0 ? Long.MAX_VALUE : (long) ((double) rows * bound.atMostBytes() / used);
        if (now.wallTrusted()) {
            young = anchor > 0 && younger(RecordFile.number(connection, OLDEST_LEFT), now);
        }
        if (used < BEGINS_AT * bound.atMostBytes()) {
            return;
        }
        if (planned == null && !underWay && rows > bound.leastEvents()) {
            long tooMany = (long) (rows * (1 - ENDS_AT * bound.atMostBytes() / used));
            long count = Math.min(Math.max(tooMany, 2 * betweenLooks), rows - bound.leastEvents());
            planned = plan(connection, first, first + count - 1, now);
        }
    }

    /** Whether an event of this time is still wanted. */
    private boolean younger(long wallMillis, Moment now) {
        return now.wallMillis() - wallMillis < bound.keep().toMillis();
    }

    private @Nullable ShorteningPlan plan(Connection connection, long first, long upTo, Moment now)
            throws SQLException {
        String from = null;
        long fromPosition = first;
        try (Statement statement = connection.createStatement();
                ResultSet before = statement.executeQuery("SELECT first_event, from_position FROM removed")) {
            if (before.next()) {
                from = before.getString(1);
                fromPosition = before.getLong(2);
            }
        }
        if (from == null) {
            from = String.valueOf(id(connection, "position >= " + first + " ORDER BY position LIMIT 1"));
        }
        try (PreparedStatement select = connection.prepareStatement(
                "SELECT position, hash, body, wall_ms FROM event WHERE position <= ? ORDER BY position DESC LIMIT 1")) {
            select.setLong(1, upTo);
            try (ResultSet row = select.executeQuery()) {
                if (!row.next() || row.getLong(1) < first) {
                    return null;
                }
                young |= now.wallTrusted() && younger(row.getLong(4), now);
                return new ShorteningPlan(
                        fromPosition,
                        row.getLong(1),
                        from,
                        EventCodec.read(row.getBytes(3)).id().toString(),
                        HexFormat.of().formatHex(row.getBytes(2)));
            }
        }
    }

    private static @Nullable String id(Connection connection, String where) throws SQLException {
        try (Statement statement = connection.createStatement();
                ResultSet row = statement.executeQuery("SELECT body FROM event WHERE " + where)) {
            return row.next() ? EventCodec.read(row.getBytes(1)).id().toString() : null;
        }
    }

    private static void begin(Connection connection, ShorteningPlan plan, long announcedAt) throws SQLException {
        long anchor = plan.fromPosition() - 1;
        byte[] anchorHash = HashChain.START;
        try (Statement statement = connection.createStatement();
                ResultSet before = statement.executeQuery("SELECT anchor, anchor_hash FROM removed")) {
            if (before.next()) {
                anchor = before.getLong(1);
                anchorHash = before.getBytes(2);
            }
        }
        try (PreparedStatement insert =
                connection.prepareStatement("INSERT OR REPLACE INTO removed VALUES (1,?,?,?,?,?,?,?,?)")) {
            insert.setLong(1, plan.fromPosition());
            insert.setLong(2, plan.toPosition());
            insert.setString(3, plan.first());
            insert.setString(4, plan.last());
            insert.setBytes(5, HexFormat.of().parseHex(plan.hash()));
            insert.setLong(6, announcedAt);
            insert.setLong(7, anchor);
            insert.setBytes(8, anchorHash);
            insert.executeUpdate();
        }
    }

    /** Removes some more of what was said to go. */
    private void slice(Connection connection, int most) throws SQLException {
        long anchor;
        long to;
        byte[] hash;
        try (Statement statement = connection.createStatement();
                ResultSet removed = statement.executeQuery("SELECT anchor, to_position, anchor_hash FROM removed")) {
            if (!removed.next() || removed.getLong(1) >= removed.getLong(2)) {
                underWay = false;
                return;
            }
            anchor = removed.getLong(1);
            to = removed.getLong(2);
            hash = removed.getBytes(3);
        }
        Set<Long> stay = protectedRows;
        if (stay == null) {
            stay = toKeep(connection, to);
            forget(connection, stay);
            protectedRows = stay;
        }
        Map<Long, byte[]> gone = new LinkedHashMap<>();
        try (PreparedStatement select = connection.prepareStatement("SELECT position, hash, body FROM event"
                        + " WHERE position > ? AND position <= ? ORDER BY position LIMIT ?");
                PreparedStatement delete = connection.prepareStatement("DELETE FROM event WHERE position = ?");
                PreparedStatement keep = connection.prepareStatement("INSERT OR REPLACE INTO kept VALUES (?,?)")) {
            select.setLong(1, anchor);
            select.setLong(2, to);
            select.setInt(3, most);
            try (ResultSet rows = select.executeQuery()) {
                while (rows.next()) {
                    long position = rows.getLong(1);
                    if (stay.contains(position)) {
                        keep.setLong(1, position);
                        keep.setBytes(2, hash);
                        keep.executeUpdate();
                    } else {
                        gone.put(position, rows.getBytes(3));
                    }
                    hash = rows.getBytes(2);
                    anchor = position;
                }
            }
            for (long position : gone.keySet()) {
                delete.setLong(1, position);
                delete.executeUpdate();
            }
        }
        noteMissed(connection, gone);
        try (PreparedStatement move = connection.prepareStatement("UPDATE removed SET anchor = ?, anchor_hash = ?")) {
            move.setLong(1, anchor);
            move.setBytes(2, hash);
            move.executeUpdate();
        }
    }

    /** What was kept before and need not be any more. */
    private static void forget(Connection connection, Set<Long> stay) throws SQLException {
        List<Long> let = new ArrayList<>();
        try (Statement statement = connection.createStatement();
                ResultSet kept = statement.executeQuery("SELECT position FROM kept")) {
            while (kept.next()) {
                if (!stay.contains(kept.getLong(1))) {
                    let.add(kept.getLong(1));
                }
            }
        }
        for (long position : let) {
            try (Statement statement = connection.createStatement()) {
                statement.executeUpdate("DELETE FROM event WHERE position = " + position);
                statement.executeUpdate("DELETE FROM kept WHERE position = " + position);
            }
        }
    }

    private static void noteMissed(Connection connection, Map<Long, byte[]> gone) throws SQLException {
        if (gone.isEmpty()) {
            return;
        }
        Map<String, Long> links = new HashMap<>();
        try (Statement statement = connection.createStatement();
                ResultSet rows = statement.executeQuery("SELECT link, position FROM link_cursor")) {
            while (rows.next()) {
                links.put(rows.getString(1), rows.getLong(2));
            }
        }
        for (Map.Entry<String, Long> link : links.entrySet()) {
            List<byte[]> missed = new ArrayList<>();
            gone.forEach((position, body) -> {
                if (position > link.getValue()) {
                    missed.add(body);
                }
            });
            if (!missed.isEmpty()) {
                String first = EventCodec.read(missed.get(0)).id().toString();
                String last =
                        EventCodec.read(missed.get(missed.size() - 1)).id().toString();
                try (PreparedStatement note = connection.prepareStatement("INSERT INTO link_gap VALUES (?,?,?)"
                        + " ON CONFLICT (link) DO UPDATE SET last_event = excluded.last_event")) {
                    note.setString(1, link.getKey());
                    note.setString(2, first);
                    note.setString(3, last);
                    note.executeUpdate();
                }
            }
        }
    }

    /** Positions up to one that stay. */
    private static Set<Long> toKeep(Connection connection, long to) throws SQLException {
        Set<Long> stay = new HashSet<>();
        List<Remembered> remembered = new ArrayList<>();
        try (Statement statement = connection.createStatement();
                ResultSet rows = statement.executeQuery("SELECT piece, body FROM remembered")) {
            while (rows.next()) {
                try {
                    remembered.add(RememberedCodec.read(rows.getString(1), rows.getBytes(2)));
                } catch (UnreadableRowException e) {
                    // Told at the next start, which begins it anew.
                    continue;
                }
            }
        }
        for (String session : Past.faultFindingsUnderWay(remembered)) {
            add(connection, stay, "session = ? AND position <= ?", session, to);
        }
        List<AlarmState> states = new ArrayList<>();
        try (Statement statement = connection.createStatement();
                ResultSet rows = statement.executeQuery("SELECT body FROM alarm_state")) {
            while (rows.next()) {
                try {
                    states.add(StateCodec.read(rows.getBytes(1)));
                } catch (UnreadableRowException e) {
                    continue;
                }
            }
        }
        for (AlarmState state : states) {
            add(connection, stay, state.lastEvent(), to);
            add(connection, stay, String.valueOf(state.acknowledgedEvent()), to);
            Moment since = state.activeSince();
            if (since != null && (state.active() || !state.acknowledged() || state.latched())) {
                add(
                        connection,
                        stay,
                        "asset = ? AND rule = ? AND position <= ? AND wall_ms >= ? ORDER BY position LIMIT "
                                + MOST_OF_AN_ALARM,
                        state.id().asset(),
                        state.id().rule(),
                        to,
                        since.wallMillis());
            }
        }
        return stay;
    }

    private static void add(Connection connection, Set<Long> stay, String event, long to) throws SQLException {
        EventId id;
        try {
            id = EventId.parse(event);
        } catch (IllegalArgumentException none) {
            return;
        }
        add(
                connection,
                stay,
                "incarnation = ? AND sequence = ? AND position <= ?",
                id.incarnation(),
                id.sequence(),
                to);
    }

    private static void add(Connection connection, Set<Long> stay, String where, Object... values) throws SQLException {
        try (PreparedStatement select = connection.prepareStatement("SELECT position FROM event WHERE " + where)) {
            for (int i = 0; i < values.length; i++) {
                select.setObject(i + 1, values[i]);
            }
            try (ResultSet rows = select.executeQuery()) {
                while (rows.next()) {
                    stay.add(rows.getLong(1));
                }
            }
        }
    }
}
