package oilbird.gateway.engine.record;

import java.nio.charset.StandardCharsets;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.Arrays;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.mapping.signal.Moment;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/** The one connection that writes, in transactions of its own making. Used by one thread. */
final class RecordWriting implements AutoCloseable {
    private static final Logger LOG = Logger.getLogger(RecordWriting.class);

    private final Connection connection;
    private @Nullable Statements statements;

    private final Shortening shortening;

    RecordWriting(Connection connection, Shortening shortening) throws SQLException {
        this.connection = connection;
        this.shortening = shortening;
        connection.setAutoCommit(false);
    }

    /**
     * Writes one commit durably.
     *
     * @param skipped positions that no event ever had, or null.
     * @param previous hash of the last row; returns that of the new last row.
     * @param unmark takes the mark of a restored copy away.
     */
    byte[] write(Commit commit, @Nullable RecordGap skipped, byte[] previous, HashChain chain, boolean unmark)
            throws SQLException {
        try {
            Statements prepared = statements;
            if (prepared == null) {
                prepared = new Statements(connection);
                statements = prepared;
            }
            if (unmark) {
                // Not before: the new incarnation that the mark asks for is in these events.
                execute("DELETE FROM about WHERE name='copied'");
            }
            if (Arrays.equals(previous, HashChain.START) && !commit.events().isEmpty()) {
                execute("INSERT OR REPLACE INTO about VALUES ('first_position', '"
                        + commit.events().get(0).position() + "')");
            }
            if (skipped != null) {
                prepared.put(skipped);
            }
            for (RecordGap gap : commit.gaps()) {
                prepared.put(gap);
            }
            byte[] hash = previous;
            for (RecordedEvent event : commit.events()) {
                byte[] body = EventCodec.write(event.event());
                hash = chain.next(hash, body);
                prepared.put(event, body, hash, chain);
                if (event.event() instanceof StationEvent.Notice notice
                        && notice.kind() == StationEvent.Notice.Kind.EVENTS_MISSED) {
                    prepared.missedTold(notice.subject().name());
                }
            }
            for (AlarmState state : commit.changed()) {
                byte[] body = StateCodec.write(state);
                prepared.put(state, body, chain.of(body));
            }
            for (LinkPosition link : commit.links()) {
                prepared.put(link);
            }
            if (commit.standing() != null) {
                prepared.put(commit.standing());
            }
            for (Remembered piece : commit.remembered()) {
                prepared.put(piece, chain);
            }
            prepared.putLived(commit.at());
            shortening.with(connection, commit.events(), commit.at());
            connection.commit();
            return hash;
        } catch (SQLException | RuntimeException e) {
            abandon(e);
            throw e;
        }
    }

    private void abandon(Exception cause) {
        Statements prepared = statements;
        statements = null;
        try {
            if (prepared != null) {
                prepared.close();
            }
        } catch (SQLException e) {
            cause.addSuppressed(e);
        }
        try {
            connection.rollback();
        } catch (SQLException noTransaction) {
            // SQLite ends a transaction by itself when the disk is full; the driver does not know and never begins
            // the next one.
            try {
                execute("BEGIN");
            } catch (SQLException e) {
                cause.addSuppressed(e);
            }
        }
    }

    void limitPages(long pages) throws SQLException {
        execute("PRAGMA max_page_count=" + (pages == 0 ? 1_073_741_823L : pages));
    }

    private void execute(String sql) throws SQLException {
        try (Statement statement = connection.createStatement()) {
            statement.execute(sql);
        }
    }

    @Override
    public void close() {
        try {
            if (statements != null) {
                statements.close();
            }
            connection.close();
        } catch (SQLException e) {
            LOG.warnf("GW-2024 closing the event record: %s", e.getMessage());
        }
    }

    private static final class Statements implements AutoCloseable {
        private final PreparedStatement event;
        private final PreparedStatement state;
        private final PreparedStatement link;
        private final PreparedStatement gap;
        private final PreparedStatement standing;
        private final PreparedStatement remembered;
        private final PreparedStatement forgotten;
        private final PreparedStatement lived;
        private final PreparedStatement ofSession;
        private final PreparedStatement told;

        Statements(Connection connection) throws SQLException {
            event = connection.prepareStatement("INSERT INTO event VALUES (?,?,?,?,?,?,?,?,?,?)");
            state = connection.prepareStatement("INSERT OR REPLACE INTO alarm_state VALUES (?,?,?,?)");
            link = connection.prepareStatement("INSERT OR REPLACE INTO link_cursor VALUES (?,?,?,?)");
            gap = connection.prepareStatement("INSERT INTO gap VALUES (?,?,?,?)");
            standing = connection.prepareStatement("INSERT OR REPLACE INTO about VALUES ('standing', ?)");
            remembered = connection.prepareStatement("INSERT OR REPLACE INTO remembered VALUES (?,?,?)");
            forgotten = connection.prepareStatement("DELETE FROM remembered WHERE piece = ?");
            lived = connection.prepareStatement("INSERT OR REPLACE INTO about VALUES ('lived', ?)");
            told = connection.prepareStatement("DELETE FROM link_gap WHERE link = ?");
            ofSession = connection.prepareStatement(
                    "SELECT session_hash FROM event WHERE session = ? ORDER BY position DESC LIMIT 1");
        }

        void put(RecordedEvent recorded, byte[] body, byte[] hash, HashChain chain) throws SQLException {
            StationEvent what = recorded.event();
            event.setLong(1, recorded.position());
            event.setLong(2, what.id().incarnation());
            event.setLong(3, what.id().sequence());
            event.setLong(4, what.at().wallMillis());
            if (what instanceof StationEvent.OfAlarm ofAlarm) {
                event.setString(5, ofAlarm.event().alarm().asset());
                event.setString(6, ofAlarm.event().alarm().rule());
            } else {
                event.setString(5, null);
                event.setString(6, null);
            }
            event.setBytes(7, body);
            event.setBytes(8, hash);
            if (what instanceof StationEvent.FaultFinding finding) {
                event.setString(9, finding.session());
                event.setBytes(10, chain.next(lastOf(finding.session()), body));
            } else {
                event.setString(9, null);
                event.setBytes(10, null);
            }
            event.executeUpdate();
        }

        private byte[] lastOf(String session) throws SQLException {
            ofSession.setString(1, session);
            try (ResultSet row = ofSession.executeQuery()) {
                return row.next() ? row.getBytes(1) : HashChain.START;
            }
        }

        void put(AlarmState memories, byte[] body, byte[] hash) throws SQLException {
            state.setString(1, memories.id().asset());
            state.setString(2, memories.id().rule());
            state.setBytes(3, body);
            state.setBytes(4, hash);
            state.executeUpdate();
        }

        void put(LinkPosition position) throws SQLException {
            link.setString(1, position.link());
            link.setLong(2, position.position());
            link.setLong(3, position.day());
            link.setLong(4, position.bytes());
            link.executeUpdate();
        }

        void missedTold(String ofLink) throws SQLException {
            told.setString(1, ofLink);
            told.executeUpdate();
        }

        void put(RecordGap missing) throws SQLException {
            gap.setLong(1, missing.from());
            gap.setLong(2, missing.to());
            gap.setString(3, missing.first() == null ? null : missing.first().toString());
            gap.setString(4, missing.last() == null ? null : missing.last().toString());
            gap.executeUpdate();
        }

        void put(Standing set) throws SQLException {
            standing.setString(1, new String(StandingCodec.write(set), StandardCharsets.UTF_8));
            standing.executeUpdate();
        }

        void put(Remembered piece, HashChain chain) throws SQLException {
            if (piece.isNothing()) {
                forgotten.setString(1, piece.key());
                forgotten.executeUpdate();
                return;
            }
            byte[] body = RememberedCodec.write(piece);
            remembered.setString(1, piece.key());
            remembered.setBytes(2, body);
            remembered.setBytes(3, chain.of(body));
            remembered.executeUpdate();
        }

        void putLived(Moment at) throws SQLException {
            lived.setString(1, at.monotonicNanos() + " " + at.wallMillis() + " " + at.wallTrusted());
            lived.executeUpdate();
        }

        @Override
        public void close() throws SQLException {
            event.close();
            state.close();
            link.close();
            gap.close();
            standing.close();
            remembered.close();
            forgotten.close();
            lived.close();
            ofSession.close();
            told.close();
        }
    }
}
