package oilbird.gateway.engine.record;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Instant;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.Past;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.mapping.signal.Moment;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * The append-only record of everything that happened, in the file {@code record.db} of the data folder.
 *
 * <p>One thread commits; any thread reads. A commit returns after SQLite has synced its write-ahead log. Rows are
 * chained by hashes, so that a changed or missing row is found by {@link RecordVerifier}. A file that SQLite calls
 * damaged is set aside under a dated name and a new one begun, at the start as well as while running; the memories of
 * alarms are kept as far as they can be read.
 */
public final class EventRecord implements CommitPort, EventSource, AutoCloseable {
    public static final String FILE = "record.db";

    private static final Logger LOG = Logger.getLogger(EventRecord.class);
    private static final DateTimeFormatter DATED =
            DateTimeFormatter.ofPattern("yyyy-MM-dd'T'HH-mm-ss'Z'").withZone(ZoneOffset.UTC);
    private static final List<String> COMPANIONS = List.of("", "-wal", "-shm");
    private static final int CHECKED_AT_START = 1_000;
    /** Events looked at for floods and chattering; more than a person could tell apart. */
    private static final int MOST_RECENT = 5_000;
    /** First format that has remembered pieces. */
    private static final int REMEMBERS = 2;
    /** First format whose oldest events can be removed. */
    private static final int SHORTENS = 4;

    private final Path file;
    private final List<Migration> migrations;
    private final HashChain chain = new HashChain();
    private final Object reading = new Object();

    private @Nullable RecordWriting writing;
    private byte[] lastHash = HashChain.START;
    private boolean wantsEveryState;
    private boolean suspect;
    private boolean copyMarked;
    private boolean unseen;
    private @Nullable RecordGap skipped;
    private long nextPosition;
    private volatile @Nullable SetAside setAside;
    private @Nullable Connection reader;

    private final Shortening shortening;

    private EventRecord(Path file, List<Migration> migrations, RecordBound bound) {
        this.shortening = new Shortening(bound);
        this.file = file;
        this.migrations = migrations;
    }

    /** An open event record and what it had to say. */
    public record Opened(EventRecord record, Recovered recovered) {}

    /**
     * Opens the record of a data folder, or begins one. Works, without a record for the time being, while the disk
     * cannot be used.
     *
     * @param now gives a damaged file that is set aside its date.
     * @throws RecordFormatException if a newer version of the program wrote it.
     */
    public static Opened open(Path folder, Moment now) throws RecordFormatException {
        return open(folder, now, RecordBound.DEFAULT);
    }

    /**
     * The same with a bound of its own.
     *
     * @throws RecordFormatException if a newer version of the program wrote it.
     */
    public static Opened open(Path folder, Moment now, RecordBound bound) throws RecordFormatException {
        return open(folder, now, Migration.ALL, bound);
    }

    static Opened open(Path folder, Moment now, List<Migration> migrations) throws RecordFormatException {
        return open(folder, now, migrations, RecordBound.DEFAULT);
    }

    private static Opened open(Path folder, Moment now, List<Migration> migrations, RecordBound bound)
            throws RecordFormatException {
        EventRecord record = new EventRecord(folder.resolve(FILE), migrations, bound);
        try {
            Files.createDirectories(folder);
            return new Opened(record, record.open(now));
        } catch (SQLException | IOException e) {
            if (e instanceof RecordFormatException format) {
                throw format;
            }
            LOG.errorf("GW-2020 the event record %s cannot be opened: %s", record.file, e.getMessage());
            return new Opened(record, record.readWithoutOpening(now, String.valueOf(e.getMessage())));
        }
    }

    /** A disk that is full or read-only may still tell how the alarms stood. */
    private Recovered readWithoutOpening(Moment now, String why) {
        Path log = file.resolveSibling(FILE + "-wal");
        if (Files.exists(file) && !Files.exists(log)) {
            try (Connection connection = RecordFile.readingUnchanging(file)) {
                return read(connection, why);
            } catch (SQLException | UnreadableRowException e) {
                LOG.errorf("GW-2025 nor can the event record be read: %s", e.getMessage());
            }
        }
        wantsEveryState = true;
        unseen = true;
        // Above every position that the unseen file can have, and exact in a JSON number.
        long position = Math.max(1, now.wallMillis()) * 1_000;
        return new Recovered(Past.NONE, List.of(), position, 0, true, null, why, List.of());
    }

    /** Opens the file; sets it aside once if it is damaged, and keeps what it still tells of the alarms. */
    private Recovered open(Moment now) throws SQLException, IOException {
        String damage;
        try {
            return openOnce();
        } catch (SQLException e) {
            if (!RecordFile.isDamage(e)) {
                throw e;
            }
            damage = String.valueOf(e.getMessage());
        } catch (UnreadableRowException e) {
            damage = String.valueOf(e.getMessage());
        }
        Recovered old = salvage();
        SetAside aside = setAside(now, damage);
        Recovered fresh = openOnce();
        return new Recovered(
                old.past(),
                List.of(),
                fresh.nextPosition(),
                old.incarnation(),
                old.copy(),
                aside,
                null,
                old.problems());
    }

    /** How the alarms stood, from a file that is damaged elsewhere; as much as can be read. */
    private Recovered salvage() {
        List<String> problems = new ArrayList<>();
        Past past = Past.NONE;
        long incarnation = 0;
        boolean copy = true;
        try (Connection connection = RecordFile.reading(file)) {
            if (RecordFile.number(connection, "PRAGMA application_id") == RecordFile.APPLICATION_ID) {
                past = past(connection, false, problems);
                incarnation = RecordFile.number(connection, "SELECT max(incarnation) FROM event");
                copy = copied(connection);
            }
        } catch (SQLException | UnreadableRowException e) {
            problems.add("the damaged record could not be read to its end: " + e.getMessage());
        }
        problems.forEach(problem -> LOG.warnf("GW-2022 %s", problem));
        return new Recovered(past, List.of(), 1, incarnation, copy, null, null, problems);
    }

    private static boolean copied(Connection connection) throws SQLException {
        return RecordFile.number(connection, "SELECT count(*) FROM about WHERE name='copied'") > 0;
    }

    private Recovered openOnce() throws SQLException, RecordFormatException {
        Connection connection = RecordFile.writing(file);
        try {
            long application = RecordFile.number(connection, "PRAGMA application_id");
            long tables = RecordFile.number(connection, "SELECT count(*) FROM sqlite_schema");
            if (application != RecordFile.APPLICATION_ID && tables > 0) {
                throw new UnreadableRowException("the file is a database of something else");
            }
            RecordFile.migrate(connection, migrations);
            Recovered recovered = read(connection, null);
            copyMarked = recovered.copy();
            writing = new RecordWriting(connection, shortening);
            return recovered;
        } catch (SQLException | RecordFormatException | RuntimeException e) {
            RecordFile.closeAfter(connection, e);
            throw e;
        }
    }

    private Recovered read(Connection connection, @Nullable String unavailable) throws SQLException {
        List<String> problems = new ArrayList<>();
        lastHash = checkedTail(connection);
        Past past = past(connection, true, problems);
        List<LinkPosition> links = links(connection);
        boolean copy = copied(connection);
        long incarnation = RecordFile.number(connection, "SELECT max(incarnation) FROM event");
        long position = Math.max(
                RecordFile.number(connection, "SELECT max(position) FROM event"),
                RecordFile.number(connection, "SELECT max(to_position) FROM gap"));
        nextPosition = position + 1;
        for (String problem : problems) {
            LOG.warnf("GW-2022 %s", problem);
        }
        return new Recovered(past, links, nextPosition, incarnation, copy, null, unavailable, problems);
    }

    /** Checks the newest rows, where an interrupted write would show, and gives the last one's hash. */
    private byte[] checkedTail(Connection connection) throws SQLException {
        byte[] previous = null;
        long anchor = 0;
        if (RecordFile.format(connection) >= SHORTENS) {
            try (Statement statement = connection.createStatement();
                    ResultSet removed = statement.executeQuery("SELECT anchor, anchor_hash FROM removed")) {
                if (removed.next()) {
                    anchor = removed.getLong(1);
                    previous = removed.getBytes(2);
                }
            }
        }
        long from =
                Math.max(anchor, RecordFile.number(connection, "SELECT max(position) FROM event") - CHECKED_AT_START);
        previous = from > anchor ? null : previous;
        try (PreparedStatement select = connection.prepareStatement(
                "SELECT position, body, hash FROM event WHERE position > ? ORDER BY position")) {
            select.setLong(1, from);
            try (ResultSet rows = select.executeQuery()) {
                while (rows.next()) {
                    byte[] hash = rows.getBytes(3);
                    if (previous != null && !Arrays.equals(hash, chain.next(previous, rows.getBytes(2)))) {
                        throw new UnreadableRowException(
                                "the row at position " + rows.getLong(1) + " was changed after it was written");
                    }
                    previous = hash;
                }
            }
        }
        return previous == null ? HashChain.START : previous;
    }

    /**
     * @param events false where the events are damaged.
     */
    private Past past(Connection connection, boolean events, List<String> problems) throws SQLException {
        Moment lived = lived(connection);
        List<Remembered> remembered = remembered(connection, problems);
        return new Past(
                states(connection, problems),
                standing(connection, problems),
                remembered,
                events && lived != null ? recent(connection, lived) : List.of(),
                events ? underWay(connection, remembered) : List.of(),
                lived);
    }

    private List<AlarmState> states(Connection connection, List<String> problems) throws SQLException {
        List<AlarmState> states = new ArrayList<>();
        try (PreparedStatement select = connection.prepareStatement(
                        "SELECT asset, rule, body, hash FROM alarm_state ORDER BY asset, rule");
                ResultSet rows = select.executeQuery()) {
            while (rows.next()) {
                String alarm = rows.getString(1) + "/" + rows.getString(2);
                byte[] body = rows.getBytes(3);
                if (!Arrays.equals(chain.of(body), rows.getBytes(4))) {
                    problems.add("the stored memories of alarm " + alarm + " were changed; it begins anew");
                    continue;
                }
                try {
                    states.add(StateCodec.read(body));
                } catch (UnreadableRowException e) {
                    problems.add("the stored memories of alarm " + alarm + " cannot be used: " + e.getMessage());
                }
            }
        }
        return states;
    }

    private static Standing standing(Connection connection, List<String> problems) throws SQLException {
        try (Statement statement = connection.createStatement();
                ResultSet row = statement.executeQuery("SELECT value FROM about WHERE name='standing'")) {
            if (!row.next()) {
                return Standing.NONE;
            }
            return StandingCodec.read(row.getString(1).getBytes(StandardCharsets.UTF_8));
        } catch (UnreadableRowException e) {
            problems.add("maintenance and point tests as stored cannot be used: " + e.getMessage());
            return Standing.NONE;
        }
    }

    /** Empty from a file of a format that had none. */
    private List<Remembered> remembered(Connection connection, List<String> problems) throws SQLException {
        List<Remembered> pieces = new ArrayList<>();
        if (RecordFile.format(connection) < REMEMBERS) {
            return pieces;
        }
        try (PreparedStatement select =
                        connection.prepareStatement("SELECT piece, body, hash FROM remembered ORDER BY piece");
                ResultSet rows = select.executeQuery()) {
            while (rows.next()) {
                String key = rows.getString(1);
                byte[] body = rows.getBytes(2);
                if (!Arrays.equals(chain.of(body), rows.getBytes(3))) {
                    problems.add("what was kept of \"" + key + "\" was changed; it begins anew");
                    continue;
                }
                try {
                    pieces.add(RememberedCodec.read(key, body));
                } catch (UnreadableRowException e) {
                    problems.add("what was kept of \"" + key + "\" cannot be used: " + e.getMessage());
                }
            }
        }
        return pieces;
    }

    /** The alarm events by which floods and chattering go on being counted. */
    private static List<StationEvent.OfAlarm> recent(Connection connection, Moment lived) throws SQLException {
        List<StationEvent.OfAlarm> recent = new ArrayList<>();
        try (PreparedStatement select = connection.prepareStatement("SELECT body FROM event WHERE position >"
                + " (SELECT max(position) FROM event) - ? AND wall_ms >= ? AND asset IS NOT NULL ORDER BY position")) {
            select.setInt(1, MOST_RECENT);
            select.setLong(2, lived.wallMillis() - Past.RECENT_MILLIS);
            try (ResultSet rows = select.executeQuery()) {
                while (rows.next()) {
                    StationEvent event = EventCodec.read(rows.getBytes(1));
                    if (event instanceof StationEvent.OfAlarm ofAlarm) {
                        recent.add(ofAlarm);
                    }
                }
            }
        }
        return recent;
    }

    /** Every event of the guided fault-findings that were under way. */
    private static List<StationEvent.FaultFinding> underWay(Connection connection, List<Remembered> remembered)
            throws SQLException {
        List<StationEvent.FaultFinding> found = new ArrayList<>();
        for (String session : Past.faultFindingsUnderWay(remembered)) {
            try (PreparedStatement select =
                    connection.prepareStatement("SELECT body FROM event WHERE session = ? ORDER BY position")) {
                select.setString(1, session);
                try (ResultSet rows = select.executeQuery()) {
                    while (rows.next()) {
                        if (EventCodec.read(rows.getBytes(1)) instanceof StationEvent.FaultFinding event) {
                            found.add(event);
                        }
                    }
                }
            }
        }
        return found;
    }

    private static @Nullable Moment lived(Connection connection) throws SQLException {
        try (Statement statement = connection.createStatement();
                ResultSet row = statement.executeQuery("SELECT value FROM about WHERE name='lived'")) {
            if (!row.next()) {
                return null;
            }
            String[] parts = row.getString(1).split(" ");
            return new Moment(Long.parseLong(parts[0]), Long.parseLong(parts[1]), Boolean.parseBoolean(parts[2]));
        } catch (NumberFormatException | ArrayIndexOutOfBoundsException e) {
            throw new UnreadableRowException("the moment of the last commit cannot be read");
        }
    }

    private static List<LinkPosition> links(Connection connection) throws SQLException {
        List<LinkPosition> links = new ArrayList<>();
        boolean counted = RecordFile.format(connection) >= SHORTENS;
        try (PreparedStatement select = connection.prepareStatement("SELECT link, position"
                        + (counted ? ", day, bytes" : ", 0, 0") + " FROM link_cursor ORDER BY link");
                ResultSet rows = select.executeQuery()) {
            while (rows.next()) {
                links.add(new LinkPosition(rows.getString(1), rows.getLong(2), rows.getLong(3), rows.getLong(4)));
            }
        }
        return links;
    }

    private SetAside setAside(Moment now, String why) throws IOException {
        closeReader();
        String suffix = ".damaged-" + DATED.format(Instant.ofEpochMilli(now.wallMillis()));
        Path to = file.resolveSibling(FILE + suffix);
        for (int i = 2; Files.exists(to); i++) {
            to = file.resolveSibling(FILE + suffix + "-" + i);
        }
        for (String companion : COMPANIONS) {
            Path from = file.resolveSibling(FILE + companion);
            if (Files.exists(from)) {
                Files.move(from, to.resolveSibling(to.getFileName() + companion), StandardCopyOption.ATOMIC_MOVE);
            }
        }
        LOG.errorf("GW-2021 the event record is damaged (%s); set aside as %s, a new one is begun", why, to);
        SetAside done = new SetAside(to, why);
        setAside = done;
        wantsEveryState = true;
        return done;
    }

    /** The record that was set aside since the program started, or null. */
    public @Nullable SetAside setAside() {
        return setAside;
    }

    @Override
    public boolean begunAnew() {
        return setAside != null;
    }

    @Override
    public @Nullable ShorteningPlan shortening(Moment now) {
        return shortening.takePlan(now);
    }

    @Override
    public long capacity() {
        return shortening.capacity();
    }

    @Override
    public boolean removesYoung() {
        return shortening.removesYoung();
    }

    @Override
    public @Nullable MissedEvents missed(String link) {
        List<MissedEvents> missed = read(connection -> {
            try (PreparedStatement select =
                    connection.prepareStatement("SELECT first_event, last_event FROM link_gap WHERE link = ?")) {
                select.setString(1, link);
                try (ResultSet row = select.executeQuery()) {
                    return row.next() ? List.of(new MissedEvents(row.getString(1), row.getString(2))) : List.of();
                }
            }
        });
        return missed.isEmpty() ? null : missed.get(0);
    }

    @Override
    public boolean wantsEveryState() {
        return wantsEveryState;
    }

    @Override
    public void commit(Commit commit) throws CommitFailedException {
        try {
            RecordWriting open = writing;
            if (open == null) {
                open = reopen(commit);
            }
            lastHash = open.write(commit, skipped, lastHash, chain, copyMarked);
            skipped = null;
            copyMarked = false;
            wantsEveryState = false;
        } catch (SQLException e) {
            if (!RecordFile.mayPass(e)) {
                suspect |= RecordFile.isDamage(e);
                closeWriting();
            }
            throw new CommitFailedException(String.valueOf(e.getMessage()), e);
        } catch (IOException | UnreadableRowException e) {
            throw new CommitFailedException(String.valueOf(e.getMessage()), e);
        }
    }

    /** After the disk could not be used, or damage was met while running. */
    private RecordWriting reopen(Commit commit) throws SQLException, IOException, CommitFailedException {
        boolean brought = wantsEveryState;
        if (suspect) {
            setAside(commit.at(), "damage met while writing");
            suspect = false;
        }
        open(commit.at());
        RecordWriting open = writing;
        if (open == null) {
            throw new CommitFailedException("the event record is not open");
        }
        if (unseen && !commit.events().isEmpty()) {
            unseen = false;
            long to = firstPosition(commit) - 1;
            skipped = nextPosition > 1 && nextPosition <= to ? new RecordGap(nextPosition, to, null, null) : null;
        }
        if (wantsEveryState && !brought) {
            throw new CommitFailedException("a new event record was begun and wants the state of every alarm");
        }
        return open;
    }

    private static long firstPosition(Commit commit) {
        long first = commit.events().get(0).position();
        return commit.gaps().isEmpty()
                ? first
                : Math.min(first, commit.gaps().get(0).from());
    }

    private void closeWriting() {
        RecordWriting open = writing;
        writing = null;
        if (open != null) {
            open.close();
        }
    }

    @Override
    public List<RecordedEvent> after(long position, int max) {
        return query("WHERE position > ? ORDER BY position LIMIT ?", position, max);
    }

    @Override
    public @Nullable List<RecordedEvent> about(EventSubject subject, long after, long before) {
        AlarmId alarm = subject.alarm();
        List<List<RecordedEvent>> answer = read(connection -> List.of(
                alarm != null
                        ? events(
                                connection,
                                "WHERE asset = ? AND rule = ? AND position > ? AND position < ? ORDER BY position",
                                alarm.asset(),
                                alarm.rule(),
                                after,
                                before)
                        : events(
                                connection,
                                "WHERE asset IS NULL AND position > ? AND position < ? ORDER BY position",
                                after,
                                before)));
        return answer.isEmpty()
                ? null
                : answer.get(0).stream()
                        .filter(event -> subject.equals(EventSubject.of(event.event())))
                        .toList();
    }

    /** The newest events before a position, newest first. {@link Long#MAX_VALUE} for the newest of all. */
    public List<RecordedEvent> before(long position, int max) {
        return query("WHERE position < ? ORDER BY position DESC LIMIT ?", position, max);
    }

    /** The newest events of one alarm before a position, newest first. */
    public List<RecordedEvent> ofAlarm(AlarmId alarm, long before, int max) {
        return query(
                "WHERE asset = ? AND rule = ? AND position < ? ORDER BY position DESC LIMIT ?",
                alarm.asset(),
                alarm.rule(),
                before,
                max);
    }

    /** The events of one guided fault-finding, oldest first; none where the record has none of that id. */
    public List<RecordedEvent> ofSession(String session) {
        return query("WHERE session = ? ORDER BY position", session);
    }

    /** With what guided fault-findings began, newest first. */
    public List<RecordedEvent> sessionsBegun(int max) {
        return query(
                "WHERE session IS NOT NULL AND session LIKE '%.' || incarnation || '.' || sequence"
                        + " ORDER BY position DESC LIMIT ?",
                max);
    }

    /** The rows of one guided fault-finding as they are stored, oldest first. */
    public List<SessionRow> rowsOfSession(String session) {
        return read(connection -> {
            List<SessionRow> found = new ArrayList<>();
            try (PreparedStatement select = connection.prepareStatement("SELECT position, body, session_hash, hash,"
                    + " coalesce((SELECT previous FROM kept WHERE kept.position = e.position),"
                    + " (SELECT p.hash FROM event p WHERE p.position < e.position ORDER BY p.position DESC LIMIT 1))"
                    + " FROM event e WHERE session = ? ORDER BY position")) {
                select.setString(1, session);
                try (ResultSet rows = select.executeQuery()) {
                    while (rows.next()) {
                        byte[] previous = rows.getBytes(5);
                        found.add(new SessionRow(
                                rows.getLong(1),
                                rows.getBytes(2),
                                rows.getBytes(3),
                                previous == null ? HashChain.START : previous,
                                rows.getBytes(4)));
                    }
                }
            }
            return found;
        });
    }

    /** Events between two wall times, oldest first: what happened around a guided fault-finding. */
    public List<RecordedEvent> between(long fromMillis, long toMillis, int max) {
        return query("WHERE wall_ms >= ? AND wall_ms <= ? ORDER BY position LIMIT ?", fromMillis, toMillis, max);
    }

    /** One event, or null if the record does not have it. */
    public @Nullable RecordedEvent find(EventId id) {
        for (RecordedEvent event : query("WHERE incarnation = ? AND sequence = ?", id.incarnation(), id.sequence())) {
            if (event.event().id().equals(id)) {
                return event;
            }
        }
        return null;
    }

    /** Empty as well when the disk cannot be read; then the log says why. */
    private List<RecordedEvent> query(String clause, Object... arguments) {
        return read(connection -> events(connection, clause, arguments));
    }

    private static List<RecordedEvent> events(Connection connection, String clause, Object... arguments)
            throws SQLException {
        try (PreparedStatement select = connection.prepareStatement("SELECT position, body FROM event " + clause)) {
            for (int i = 0; i < arguments.length; i++) {
                select.setObject(i + 1, arguments[i]);
            }
            List<RecordedEvent> events = new ArrayList<>();
            try (ResultSet rows = select.executeQuery()) {
                while (rows.next()) {
                    events.add(new RecordedEvent(rows.getLong(1), EventCodec.read(rows.getBytes(2)), true));
                }
            }
            return events;
        }
    }

    /** What is asked of the file. */
    @FunctionalInterface
    private interface Question<T> {
        List<T> of(Connection connection) throws SQLException;
    }

    /** Empty as well when the disk cannot be read; then the log says why. */
    private <T> List<T> read(Question<T> question) {
        synchronized (reading) {
            try {
                Connection connection = reader;
                if (connection == null) {
                    connection = RecordFile.reading(file);
                    reader = connection;
                }
                return question.of(connection);
            } catch (SQLException e) {
                LOG.errorf("GW-2023 the event record cannot be read: %s", e.getMessage());
                closeReader();
                return List.of();
            }
        }
    }

    private void closeReader() {
        synchronized (reading) {
            Connection connection = reader;
            reader = null;
            if (connection != null) {
                try {
                    connection.close();
                } catch (SQLException e) {
                    LOG.debugf(e, "closing a reader");
                }
            }
        }
    }

    /**
     * Writes a whole copy of the record while it is being written to, and marks it as a copy, so that a gateway that
     * starts on it takes a new incarnation that its origin cannot have reached.
     *
     * @param target must not exist.
     * @throws IOException if the copy could not be made; nothing is left at the target then.
     */
    public static void backup(Path folder, Path target, Instant now) throws IOException {
        if (Files.exists(target)) {
            throw new IOException(target + " exists already");
        }
        Path unfinished = target.resolveSibling(target.getFileName() + ".unfinished");
        Files.deleteIfExists(unfinished);
        try (Connection connection = RecordFile.reading(folder.resolve(FILE));
                PreparedStatement vacuum = connection.prepareStatement("VACUUM INTO ?")) {
            vacuum.setString(1, unfinished.toString());
            vacuum.execute();
        } catch (SQLException e) {
            Files.deleteIfExists(unfinished);
            throw new IOException("no backup made: " + e.getMessage(), e);
        }
        try (Connection copy = RecordFile.writing(unfinished)) {
            try (PreparedStatement mark = copy.prepareStatement("INSERT OR REPLACE INTO about VALUES ('copied', ?)")) {
                mark.setString(1, now.toString());
                mark.executeUpdate();
            }
            try (Statement statement = copy.createStatement()) {
                statement.execute("PRAGMA journal_mode=DELETE");
            }
        } catch (SQLException e) {
            Files.deleteIfExists(unfinished);
            throw new IOException("no backup made: " + e.getMessage(), e);
        }
        Files.move(unfinished, target, StandardCopyOption.ATOMIC_MOVE);
    }

    /** Limits the file's size, as a full disk would; 0 for no limit. */
    void limitPages(long pages) throws SQLException {
        RecordWriting open = writing;
        if (open != null) {
            open.limitPages(pages);
        }
    }

    @Override
    public void close() {
        closeReader();
        closeWriting();
    }
}
