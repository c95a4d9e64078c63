package oilbird.gateway.engine.record;

import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/** Where recorded events are read from. Thread-safe. */
@FunctionalInterface
public interface EventSource {
    /** Events after a position in order, at most {@code max}. */
    List<RecordedEvent> after(long position, int max);

    /** What was removed before a link's other side had it; null for nothing. */
    default @Nullable MissedEvents missed(String link) {
        return null;
    }

    /**
     * Events about a subject that lie between two positions, neither of them among it, in order; null where they cannot be
     * read now.
     */
    default @Nullable List<RecordedEvent> about(EventSubject subject, long after, long before) {
        List<RecordedEvent> found = new ArrayList<>();
        long position = after;
        for (List<RecordedEvent> some = after(position, 256); !some.isEmpty(); some = after(position, 256)) {
            for (RecordedEvent event : some) {
                if (event.position() >= before) {
                    return found;
                }
                if (subject.equals(EventSubject.of(event.event()))) {
                    found.add(event);
                }
                position = event.position();
            }
        }
        return found;
    }
}
