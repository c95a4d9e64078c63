package oilbird.gateway.engine.record;

import java.util.List;

/** Where recorded events are read from. Thread-safe. */
@FunctionalInterface
public interface EventSource {
    /** Events after a position in order, at most {@code max}. */
    List<RecordedEvent> after(long position, int max);
}
