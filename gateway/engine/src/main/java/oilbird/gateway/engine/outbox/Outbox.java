package oilbird.gateway.engine.outbox;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.CopyOnWriteArrayList;
import oilbird.gateway.engine.record.EventSource;
import oilbird.gateway.engine.record.EventSubject;
import oilbird.gateway.engine.record.LinkPosition;
import oilbird.gateway.engine.record.MissedEvents;
import oilbird.gateway.engine.record.RecordedEvent;
import org.jspecify.annotations.Nullable;

/**
 * The announced events and each link's cursor over them. Newest events are kept in memory, older ones come from
 * the event record; an event that the disk does not have yet stays in memory. Thread-safe.
 */
public final class Outbox {
    private static final long BYTES_WORTH_SAVING = 65_536;

    private final EventSource older;
    private final int keep;
    private final Map<String, Cursor> cursors = new LinkedHashMap<>();
    private final Map<String, LinkPosition> saved;
    private final TreeMap<Long, RecordedEvent> newest = new TreeMap<>();
    private final CopyOnWriteArrayList<Runnable> listeners = new CopyOnWriteArrayList<>();
    private long last;
    private long settled;

    /**
     * @param older where events come from that are no longer in memory.
     * @param last position of the newest event at the start.
     * @param saved cursors as the record has them.
     * @param keep events kept in memory for links that are nearly up to date.
     */
    public Outbox(EventSource older, long last, List<LinkPosition> saved, int keep) {
        this.older = older;
        this.keep = keep;
        this.last = last;
        this.settled = last;
        this.saved = new LinkedHashMap<>();
        for (LinkPosition position : saved) {
            this.saved.put(position.link(), position);
        }
    }

    /**
     * The cursor of one link; the same for the same id. A link never seen before begins after the newest event: it
     * is not told the station's whole past.
     */
    public synchronized LinkCursor cursor(String link) {
        return cursors.computeIfAbsent(link, id -> {
            LinkPosition known = saved.get(id);
            return new Cursor(id, known == null ? last : Math.min(last, known.position()));
        });
    }

    /** Calls back, on the writer's thread, after new events were announced; must be quick. */
    public void onNew(Runnable listener) {
        listeners.add(listener);
    }

    /** New events, in order of position; called by the writer. */
    public void announced(List<RecordedEvent> events) {
        if (events.isEmpty()) {
            return;
        }
        synchronized (this) {
            for (RecordedEvent event : events) {
                newest.put(event.position(), event);
                last = event.position();
            }
            trim();
        }
        listeners.forEach(Runnable::run);
    }

    /** These are on the disk now; called by the writer. */
    public synchronized void written(List<RecordedEvent> events) {
        for (RecordedEvent event : events) {
            if (newest.containsKey(event.position())) {
                newest.put(event.position(), new RecordedEvent(event.position(), event.event(), true));
            }
            settled = Math.max(settled, event.position());
        }
        trim();
    }

    /** Everything up to this position is on the disk, or was given up; called by the writer. */
    public synchronized void settled(long position) {
        settled = Math.max(settled, position);
        trim();
    }

    /** Cursors that moved since they were last saved, none beyond what the disk has; called by the writer. */
    public synchronized List<LinkPosition> unsaved() {
        List<LinkPosition> moved = new ArrayList<>();
        for (Cursor cursor : cursors.values()) {
            long position = Math.min(cursor.confirmed, settled);
            LinkPosition known = saved.get(cursor.link);
            if (known == null
                    || position != known.position()
                    || cursor.day != known.day()
                    || cursor.bytes - known.bytes() >= BYTES_WORTH_SAVING) {
                moved.add(new LinkPosition(cursor.link, position, cursor.day, cursor.bytes));
            }
        }
        return moved;
    }

    /** Events that wait for the link that is furthest behind. */
    public synchronized long mostWaiting() {
        long most = 0;
        for (Cursor cursor : cursors.values()) {
            most = Math.max(most, last - cursor.confirmed);
        }
        return most;
    }

    /** The record has these cursors now; called by the writer. */
    public synchronized void saved(List<LinkPosition> positions) {
        for (LinkPosition position : positions) {
            saved.put(position.link(), position);
        }
    }

    private void trim() {
        while (newest.size() > keep && newest.firstKey() <= settled) {
            newest.pollFirstEntry();
        }
    }

    private List<RecordedEvent> after(long position, int max) {
        long announced;
        synchronized (this) {
            announced = last;
            if (position >= last) {
                return List.of();
            }
            if (!newest.isEmpty() && position >= newest.firstKey() - 1) {
                return fromMemory(position, max);
            }
        }
        // The disk may already have events of a commit that is about to be announced.
        List<RecordedEvent> events = older.after(position, max).stream()
                .filter(event -> event.position() <= announced)
                .toList();
        if (!events.isEmpty()) {
            return events;
        }
        synchronized (this) {
            return fromMemory(position, max);
        }
    }

    private List<RecordedEvent> fromMemory(long position, int max) {
        List<RecordedEvent> events = new ArrayList<>();
        for (RecordedEvent event : newest.tailMap(position, false).values()) {
            if (events.size() == max) {
                break;
            }
            events.add(event);
        }
        return events;
    }

    private @Nullable List<RecordedEvent> about(EventSubject subject, long after, long before) {
        long announced;
        TreeMap<Long, RecordedEvent> found = new TreeMap<>();
        synchronized (this) {
            announced = last;
            for (RecordedEvent event :
                    newest.tailMap(Math.max(after, settled), false).values()) {
                if (event.position() < before && subject.equals(EventSubject.of(event.event()))) {
                    found.put(event.position(), event);
                }
            }
        }
        List<RecordedEvent> onDisk = older.about(subject, after, before);
        if (onDisk == null) {
            return null;
        }
        for (RecordedEvent event : onDisk) {
            if (event.position() <= announced) {
                found.putIfAbsent(event.position(), event);
            }
        }
        return List.copyOf(found.values());
    }

    private final class Cursor implements LinkCursor {
        private final String link;
        private long confirmed;
        private long day;
        private long bytes;

        Cursor(String link, long confirmed) {
            this.link = link;
            this.confirmed = confirmed;
            LinkPosition known = saved.get(link);
            this.day = known == null ? 0 : known.day();
            this.bytes = known == null ? 0 : known.bytes();
        }

        @Override
        public String link() {
            return link;
        }

        @Override
        public long confirmed() {
            synchronized (Outbox.this) {
                return confirmed;
            }
        }

        @Override
        public List<RecordedEvent> after(long position, int max) {
            return Outbox.this.after(position, max);
        }

        @Override
        public @Nullable List<RecordedEvent> about(EventSubject subject, long after, long before) {
            return Outbox.this.about(subject, after, before);
        }

        @Override
        public long last() {
            synchronized (Outbox.this) {
                return last;
            }
        }

        @Override
        public void confirm(long position) {
            synchronized (Outbox.this) {
                confirmed = Math.max(confirmed, Math.min(position, last));
            }
        }

        @Override
        public LinkPosition saved() {
            synchronized (Outbox.this) {
                return new LinkPosition(link, confirmed, day, bytes);
            }
        }

        @Override
        public void sent(long inDay, long bytesOfIt) {
            synchronized (Outbox.this) {
                day = inDay;
                bytes = bytesOfIt;
            }
        }

        @Override
        public @Nullable MissedEvents missed() {
            return older.missed(link);
        }

        @Override
        public long waiting() {
            synchronized (Outbox.this) {
                return last - confirmed;
            }
        }
    }
}
