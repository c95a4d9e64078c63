package oilbird.gateway.opcua.server.filter;

import java.util.Map;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.jspecify.annotations.Nullable;

/** Three event types one below the other, and events with the fields that a test gives. */
final class SmallTypes implements EventTypes {
    private static final Map<NodeId, NodeId> ABOVE =
            Map.of(NodeIds.ConditionType, NodeIds.BaseEventType, NodeIds.AlarmConditionType, NodeIds.ConditionType);
    private static final Map<String, Declared> OF_EVENTS = Map.of(
            "EventId", Declared.SCALAR,
            "Severity", Declared.SCALAR,
            "Message", Declared.SCALAR,
            "A", Declared.SCALAR,
            "B", Declared.SCALAR,
            "C", Declared.SCALAR,
            "Names", Declared.ARRAY);
    private static final Map<String, Declared> OF_ALARMS =
            Map.of("ActiveState", Declared.SCALAR, "ActiveState/Id", Declared.SCALAR, "ShelvingState", Declared.OBJECT);

    @Override
    public boolean isEventType(NodeId type) {
        return type.equals(NodeIds.BaseEventType) || ABOVE.containsKey(type);
    }

    @Override
    public boolean isA(NodeId type, NodeId of) {
        return type.equals(of) || (ABOVE.containsKey(type) && isA(ABOVE.get(type), of));
    }

    @Override
    public Declared declared(NodeId type, String path) {
        Declared found = type.equals(NodeIds.AlarmConditionType) ? OF_ALARMS.get(path) : null;
        return found == null ? OF_EVENTS.getOrDefault(path, Declared.NOTHING) : found;
    }

    @Override
    public Declared declaredAnywhere(String path) {
        return declared(NodeIds.AlarmConditionType, path);
    }

    static FilteredEvent event(NodeId type, Map<String, Object> values) {
        return new FilteredEvent() {
            @Override
            public NodeId type() {
                return type;
            }

            @Override
            public @Nullable Object value(String path) {
                return values.get(path);
            }

            @Override
            public @Nullable NodeId node(String path) {
                return new NodeId(1, "condition" + path);
            }
        };
    }
}
