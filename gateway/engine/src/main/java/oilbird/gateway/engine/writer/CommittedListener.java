package oilbird.gateway.engine.writer;

import java.util.List;
import oilbird.gateway.engine.record.RecordedEvent;

/** Is told of events after they are durable. Called on the writer's thread: must be quick and must not block. */
@FunctionalInterface
public interface CommittedListener {
    /** New events in order; {@link RecordedEvent#recorded()} says whether the disk has them. */
    void committed(List<RecordedEvent> events);
}
