package oilbird.gateway.opcua.server.filter;

import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.jspecify.annotations.Nullable;

/** One event as a filter sees it; there need be no node of it. */
public interface FilteredEvent {
    /** Its event type, a concrete one. */
    NodeId type();

    /**
     * Value of a field.
     *
     * @param path browse names from the event on, joined by {@code /}; those of another namespace than 0 have its index
     *     before a colon.
     * @return null where this event has no such field, or it has no value.
     */
    @Nullable
    Object value(String path);

    /**
     * Node of an object of the event, the event itself with an empty path: of a condition its ConditionId.
     *
     * @return null where there is none.
     */
    @Nullable
    NodeId node(String path);
}
