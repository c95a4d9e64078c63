package oilbird.gateway.engine.record;

import java.util.List;

/**
 * One step from a format of the event record to the next.
 *
 * @param to format that the statements lead to; the one before it is {@code to - 1}, and 0 is an empty file.
 */
record Migration(int to, List<String> statements) {
    /** Every step there has been. A released step is never changed: add another. */
    static final List<Migration> ALL = List.of(
            new Migration(
                    1,
                    List.of(
                            """
                    CREATE TABLE event (
                      position INTEGER PRIMARY KEY,
                      incarnation INTEGER NOT NULL,
                      sequence INTEGER NOT NULL,
                      wall_ms INTEGER NOT NULL,
                      asset TEXT,
                      rule TEXT,
                      body BLOB NOT NULL,
                      hash BLOB NOT NULL,
                      UNIQUE (incarnation, sequence)
                    )""",
                            "CREATE INDEX event_of_alarm ON event (asset, rule, position) WHERE asset IS NOT NULL",
                            """
                    CREATE TABLE gap (
                      from_position INTEGER PRIMARY KEY,
                      to_position INTEGER NOT NULL,
                      first_event TEXT,
                      last_event TEXT
                    )""",
                            """
                    CREATE TABLE alarm_state (
                      asset TEXT NOT NULL,
                      rule TEXT NOT NULL,
                      body BLOB NOT NULL,
                      hash BLOB NOT NULL,
                      PRIMARY KEY (asset, rule)
                    ) WITHOUT ROWID""",
                            """
                    CREATE TABLE link_cursor (
                      link TEXT PRIMARY KEY,
                      position INTEGER NOT NULL
                    ) WITHOUT ROWID""",
                            """
                    CREATE TABLE rule_set (
                      digest TEXT PRIMARY KEY,
                      first_loaded_ms INTEGER NOT NULL,
                      loaded_by TEXT NOT NULL
                    ) WITHOUT ROWID""",
                            """
                    CREATE TABLE about (
                      name TEXT PRIMARY KEY,
                      value TEXT NOT NULL
                    ) WITHOUT ROWID""")),
            new Migration(
                    2,
                    List.of(
                            // Who loaded which rules is in the events, the rules themselves are files beside the
                            // record.
                            "DROP TABLE rule_set", """
                    CREATE TABLE remembered (
                      piece TEXT PRIMARY KEY,
                      body BLOB NOT NULL,
                      hash BLOB NOT NULL
                    ) WITHOUT ROWID""")),
            new Migration(
                    3,
                    List.of(
                            // Guided fault-findings are found by their session, and have a chain of their own.
                            "ALTER TABLE event ADD COLUMN session TEXT",
                            "ALTER TABLE event ADD COLUMN session_hash BLOB",
                            "CREATE INDEX event_of_session ON event (session, position) WHERE session IS NOT NULL")),
            new Migration(
                    4,
                    List.of(
                            // What a link has sent today, and what was removed beyond the bound of the record.
                            "ALTER TABLE link_cursor ADD COLUMN day INTEGER NOT NULL DEFAULT 0",
                            "ALTER TABLE link_cursor ADD COLUMN bytes INTEGER NOT NULL DEFAULT 0",
                            """
                    CREATE TABLE removed (
                      one INTEGER PRIMARY KEY CHECK (one = 1),
                      from_position INTEGER NOT NULL,
                      to_position INTEGER NOT NULL,
                      first_event TEXT NOT NULL,
                      last_event TEXT NOT NULL,
                      hash BLOB NOT NULL,
                      announced_at INTEGER NOT NULL,
                      anchor INTEGER NOT NULL,
                      anchor_hash BLOB NOT NULL
                    )""",
                            """
                    CREATE TABLE kept (
                      position INTEGER PRIMARY KEY,
                      previous BLOB NOT NULL
                    )""",
                            """
                    CREATE TABLE link_gap (
                      link TEXT PRIMARY KEY,
                      first_event TEXT NOT NULL,
                      last_event TEXT NOT NULL
                    ) WITHOUT ROWID""")));
}
