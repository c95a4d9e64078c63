package oilbird.gateway.engine.outbox;

import java.util.List;
import oilbird.gateway.engine.record.EventSubject;
import oilbird.gateway.engine.record.LinkPosition;
import oilbird.gateway.engine.record.MissedEvents;
import oilbird.gateway.engine.record.RecordedEvent;
import org.jspecify.annotations.Nullable;

/** One link's place in the event record. Thread-safe. */
public interface LinkCursor {
    String link();

    /** Position of the last confirmed event, with all before it; 0 for none. */
    long confirmed();

    /** Events after a position in order, at most {@code max}; empty if there are none yet. */
    List<RecordedEvent> after(long position, int max);

    /**
     * Announced events about a subject that lie between two positions, neither of them among it, in order; null where they
     * cannot be read now.
     */
    @Nullable
    List<RecordedEvent> about(EventSubject subject, long after, long before);

    /** Position of the newest announced event. */
    long last();

    /** The other side has everything up to this position; never moves backwards. Saved soon, not at once. */
    void confirm(long position);

    /** The day and the bytes sent in it, as last saved; a day of 0 for none. */
    LinkPosition saved();

    /** So many bytes have been sent in a day; saved with the position, or when there are many more. */
    void sent(long day, long bytes);

    /** What was removed from the record before the other side had it; null for nothing. */
    @Nullable
    MissedEvents missed();

    /** Events announced and not yet confirmed. */
    long waiting();
}
