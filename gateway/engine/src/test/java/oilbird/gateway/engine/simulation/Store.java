package oilbird.gateway.engine.simulation;

import java.nio.file.Path;
import java.util.List;
import oilbird.gateway.engine.record.Commit;
import oilbird.gateway.engine.record.CommitFailedException;
import oilbird.gateway.engine.record.CommitPort;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.EventSource;
import oilbird.gateway.engine.record.EventSubject;
import oilbird.gateway.engine.record.MemoryRecord;
import oilbird.gateway.engine.record.RecordFormatException;
import oilbird.gateway.engine.record.RecordGap;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.record.Recovered;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/** Where a simulated gateway keeps its event record: what is stored outlives it. */
interface Store extends CommitPort, EventSource {
    /** The gateway starts. */
    Recovered open(Moment now);

    /** The gateway is gone. */
    void ended();

    /** Everything stored after a position. */
    List<MemoryRecord.Row> rowsAfter(long position);

    List<RecordGap> gaps();

    /** The memory to plant damage in, or null. */
    default @Nullable MemoryRecord memory() {
        return null;
    }

    static Store inMemory() {
        MemoryRecord record = new MemoryRecord();
        return new Store() {
            @Override
            public Recovered open(Moment now) {
                return record.recovered();
            }

            @Override
            public void ended() {}

            @Override
            public List<MemoryRecord.Row> rowsAfter(long position) {
                return record.rowsAfter(position);
            }

            @Override
            public List<RecordGap> gaps() {
                return record.gaps();
            }

            @Override
            public MemoryRecord memory() {
                return record;
            }

            @Override
            public void commit(Commit commit) {
                record.commit(commit);
            }

            @Override
            public List<RecordedEvent> after(long position, int max) {
                return record.after(position, max);
            }

            @Override
            public @Nullable List<RecordedEvent> about(EventSubject subject, long after, long before) {
                return record.about(subject, after, before);
            }
        };
    }

    /** The event record of the gateway itself; its hashes are left to its own verifier. */
    static Store onDisk(Path folder) {
        return new OnDisk(folder);
    }

    /** See {@link #onDisk}. */
    final class OnDisk implements Store {
        private final Path folder;
        private final List<RecordGap> gaps = new java.util.ArrayList<>();
        private @Nullable EventRecord record;

        OnDisk(Path folder) {
            this.folder = folder;
        }

        private EventRecord record() {
            return Windlow.known(record, "open record");
        }

        @Override
        public Recovered open(Moment now) {
            try {
                EventRecord.Opened opened = EventRecord.open(folder, now);
                record = opened.record();
                return opened.recovered();
            } catch (RecordFormatException e) {
                throw new IllegalStateException(e);
            }
        }

        @Override
        public void ended() {
            if (record != null) {
                record.close();
                record = null;
            }
        }

        @Override
        public List<MemoryRecord.Row> rowsAfter(long position) {
            return record == null
                    ? List.of()
                    : record().after(position, Integer.MAX_VALUE).stream()
                            .map(event -> new MemoryRecord.Row(
                                    event.position(), MemoryRecord.bytes(event.event()), new byte[0]))
                            .toList();
        }

        @Override
        public List<RecordGap> gaps() {
            return List.copyOf(gaps);
        }

        @Override
        public boolean wantsEveryState() {
            return record().wantsEveryState();
        }

        @Override
        public void commit(Commit commit) throws CommitFailedException {
            record().commit(commit);
            gaps.addAll(commit.gaps());
        }

        @Override
        public List<RecordedEvent> after(long position, int max) {
            return record().after(position, max);
        }
    }
}
