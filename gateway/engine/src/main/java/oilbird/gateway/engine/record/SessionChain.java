package oilbird.gateway.engine.record;

import java.io.IOException;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import oilbird.alarm.station.StationEvent;

/**
 * Verifies rows of one guided fault-finding that have left the gateway, by their own chain and, where the event record is
 * at hand, against it.
 */
public final class SessionChain {
    private SessionChain() {}

    /**
     * What the rows say.
     *
     * @param events of the rows that can be read, oldest first.
     * @param findings what is wrong, in words; empty where nothing is.
     */
    public record Walked(List<RecordedEvent> events, List<String> findings) {
        public Walked {
            events = List.copyOf(events);
            findings = List.copyOf(findings);
        }
    }

    /** Walks rows from the first to the last. */
    public static Walked walk(List<SessionRow> rows) {
        HashChain chain = new HashChain();
        List<RecordedEvent> events = new ArrayList<>();
        List<String> findings = new ArrayList<>();
        byte[] last = HashChain.START;
        String session = null;
        long version = -1;
        for (SessionRow row : rows) {
            String where = "row at position " + row.position();
            if (!Arrays.equals(chain.next(last, row.body()), row.hash())) {
                findings.add(where + ": its content or its hash was changed, or a row before it is missing");
            }
            if (!Arrays.equals(chain.next(row.recordPrevious(), row.body()), row.recordHash())) {
                findings.add(where + ": its hashes in the event record do not fit its content");
            }
            last = row.hash();
            try {
                if (EventCodec.read(row.body()) instanceof StationEvent.FaultFinding event) {
                    if (session != null && !event.session().equals(session)) {
                        findings.add(where + ": it belongs to another fault-finding, " + event.session());
                    }
                    if (event.of().version() != version + 1) {
                        findings.add(where + ": version " + event.of().version() + " follows version " + version);
                    }
                    session = event.session();
                    version = event.of().version();
                    events.add(new RecordedEvent(row.position(), event, true));
                } else {
                    findings.add(where + ": it is no step of a fault-finding");
                }
            } catch (UnreadableRowException e) {
                findings.add(where + ": " + e.getMessage());
            }
        }
        if (rows.isEmpty()) {
            findings.add("there is no row");
        }
        return new Walked(events, findings);
    }

    /**
     * Compares rows with an event record, which is walked apart from this.
     *
     * @param file an event record, or a backup of it.
     * @return what differs, in words.
     * @throws IOException if the file cannot be read.
     */
    public static List<String> compare(List<SessionRow> rows, Path file) throws IOException {
        List<String> differ = new ArrayList<>();
        try (Connection connection = RecordFile.reading(file);
                PreparedStatement select =
                        connection.prepareStatement("SELECT body, hash FROM event WHERE position = ?")) {
            for (SessionRow row : rows) {
                select.setLong(1, row.position());
                try (ResultSet found = select.executeQuery()) {
                    if (!found.next()) {
                        differ.add("the event record has nothing at position " + row.position());
                    } else if (!Arrays.equals(found.getBytes(1), row.body())
                            || !Arrays.equals(found.getBytes(2), row.recordHash())) {
                        differ.add("the event record has something else at position " + row.position());
                    }
                }
            }
        } catch (SQLException e) {
            throw new IOException(e.getMessage(), e);
        }
        return differ;
    }
}
