package oilbird.gateway.opcua.server.filter;

import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;

/** What is known of event types: all that a filter needs before there is an event. Thread-safe. */
public interface EventTypes {
    /** True for BaseEventType and its subtypes. */
    boolean isEventType(NodeId type);

    /** True if {@code type} is {@code of} or below it. */
    boolean isA(NodeId type, NodeId of);

    /** What the type, or one that it inherits from, declares at a path. */
    Declared declared(NodeId type, String path);

    /** What any event type declares at a path. */
    Declared declaredAnywhere(String path);

    /** What a path leads to. */
    enum Declared {
        NOTHING,
        /** One value. */
        SCALAR,
        ARRAY,
        OBJECT
    }
}
