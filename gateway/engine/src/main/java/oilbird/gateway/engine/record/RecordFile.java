package oilbird.gateway.engine.record;

import java.nio.file.Path;
import java.sql.Connection;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.List;
import java.util.Properties;
import org.sqlite.JDBC;
import org.sqlite.SQLiteErrorCode;
import org.sqlite.SQLiteException;

/** How the event record's SQLite file is opened. */
final class RecordFile {
    /** "OILB" in the file's header, so that another SQLite file is not taken for a record. */
    static final int APPLICATION_ID = 0x4F494C42;

    // sqlite3_open_v2 flags.
    private static final int READ_ONLY = 0x1;
    private static final int READ_WRITE = 0x2;
    private static final int CREATE = 0x4;
    private static final int URI = 0x40;

    private RecordFile() {}

    /** A connection that waits for no lock longer than five seconds and may write. */
    static Connection writing(Path file) throws SQLException {
        Connection connection = open(file.toString(), READ_WRITE | CREATE);
        try (Statement statement = connection.createStatement()) {
            statement.execute("PRAGMA journal_mode=WAL");
            statement.execute("PRAGMA synchronous=FULL");
            statement.execute("PRAGMA wal_autocheckpoint=2000");
            statement.execute("PRAGMA cache_size=-8000");
            statement.execute("PRAGMA journal_size_limit=16777216");
        } catch (SQLException e) {
            closeAfter(connection, e);
            throw e;
        }
        return connection;
    }

    static Connection reading(Path file) throws SQLException {
        return open(file.toString(), READ_ONLY);
    }

    /** For a file that nobody writes to and that has no log beside it; needs no room on the disk. */
    static Connection readingUnchanging(Path file) throws SQLException {
        return open("file:" + file.toUri().getRawPath() + "?immutable=1", READ_ONLY | URI);
    }

    private static Connection open(String name, int flags) throws SQLException {
        Properties properties = new Properties();
        properties.setProperty("busy_timeout", "5000");
        properties.setProperty("open_mode", Integer.toString(flags));
        return JDBC.createConnection("jdbc:sqlite:" + name, properties);
    }

    static void closeAfter(Connection connection, Exception cause) {
        try {
            connection.close();
        } catch (SQLException e) {
            cause.addSuppressed(e);
        }
    }

    static int format(Connection connection) throws SQLException {
        return (int) number(connection, "PRAGMA user_version");
    }

    /**
     * Brings the file to the newest of the given formats, in one transaction.
     *
     * @throws RecordFormatException if it has a newer one already.
     */
    static void migrate(Connection connection, List<Migration> migrations) throws SQLException, RecordFormatException {
        int newest = migrations.get(migrations.size() - 1).to();
        int format = format(connection);
        if (format > newest) {
            throw new RecordFormatException(
                    "the event record has format " + format + ", this version knows formats up to " + newest
                            + "; start the newer version, or restore a backup made by this one");
        }
        if (format == newest) {
            return;
        }
        connection.setAutoCommit(false);
        try (Statement statement = connection.createStatement()) {
            if (format == 0) {
                statement.execute("PRAGMA application_id=" + APPLICATION_ID);
            }
            for (Migration migration : migrations) {
                if (migration.to() > format) {
                    for (String sql : migration.statements()) {
                        statement.execute(sql);
                    }
                }
            }
            statement.execute("PRAGMA user_version=" + newest);
            connection.commit();
        } catch (SQLException e) {
            connection.rollback();
            throw e;
        } finally {
            connection.setAutoCommit(true);
        }
    }

    static long number(Connection connection, String sql) throws SQLException {
        try (Statement statement = connection.createStatement();
                ResultSet result = statement.executeQuery(sql)) {
            return result.next() ? result.getLong(1) : 0;
        }
    }

    /** Whether the disk is only full or the file only busy, so that the same connection may well succeed later. */
    static boolean mayPass(SQLException e) {
        int code = primaryCode(e);
        return code == SQLiteErrorCode.SQLITE_FULL.code
                || code == SQLiteErrorCode.SQLITE_BUSY.code
                || code == SQLiteErrorCode.SQLITE_LOCKED.code;
    }

    /** Whether SQLite itself found the file damaged, or no SQLite file at all. */
    static boolean isDamage(SQLException e) {
        int code = primaryCode(e);
        return code == SQLiteErrorCode.SQLITE_CORRUPT.code || code == SQLiteErrorCode.SQLITE_NOTADB.code;
    }

    private static int primaryCode(SQLException e) {
        return e instanceof SQLiteException sqlite ? sqlite.getResultCode().code & 0xFF : -1;
    }
}
