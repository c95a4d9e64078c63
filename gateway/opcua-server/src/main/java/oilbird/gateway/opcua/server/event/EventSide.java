package oilbird.gateway.opcua.server.event;

import java.util.concurrent.CompletionStage;
import java.util.function.Function;
import oilbird.gateway.engine.record.RecordedEvent;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodResult;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.jspecify.annotations.Nullable;

/**
 * Whoever raises the server's events and answers for its conditions. Called from threads of the server and of the
 * link; no call may block.
 */
public interface EventSide {
    /** Judges the event filter of a client before anything is watched with it; OPC UA Part 4, 7.22.3. */
    FilterAnswer check(EventFilter filter);

    /** A client watches a notifier from now on, or with another filter or mode than before. */
    void watched(EventWatch watch);

    /** A client watches no longer. */
    void unwatched(EventWatch watch);

    /**
     * Carries out a method.
     *
     * @return null where the method is none of its own, which the server then looks for itself.
     */
    @Nullable
    CompletionStage<CallMethodResult> call(MethodCall call);

    /** An event of the record, in the order of the record; returns when it has been handed to all watches. */
    void happened(RecordedEvent event);

    /**
     * Shows past events as a client's filter selects their fields.
     *
     * @param filter one that {@link #check} has found good.
     * @param notifier of which they are asked for.
     * @return for an event of the record its fields; null where the filter does not pass it, or it is none of that
     *     notifier.
     */
    default Function<RecordedEvent, Variant @Nullable []> past(EventFilter filter, NodeId notifier) {
        return event -> null;
    }

    /** The server stops; comes first. */
    default void close() {}

    /** An event side that raises nothing: nobody sees an event. */
    EventSide NONE = new EventSide() {
        @Override
        public FilterAnswer check(EventFilter filter) {
            return FilterAnswer.allGood(filter);
        }

        @Override
        public void watched(EventWatch watch) {}

        @Override
        public void unwatched(EventWatch watch) {}

        @Override
        public @Nullable CompletionStage<CallMethodResult> call(MethodCall call) {
            return null;
        }

        @Override
        public void happened(RecordedEvent event) {}
    };
}
