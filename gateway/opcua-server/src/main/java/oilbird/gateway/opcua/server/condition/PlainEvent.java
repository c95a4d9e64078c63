package oilbird.gateway.opcua.server.condition;

import java.util.LinkedHashMap;
import java.util.Map;
import oilbird.gateway.opcua.server.filter.FilteredEvent;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.jspecify.annotations.Nullable;

/** An event that is no condition's: an audit event, or one of a refresh. */
final class PlainEvent implements FilteredEvent {
    private final NodeId type;
    private final Map<String, Object> values = new LinkedHashMap<>();

    PlainEvent(NodeId type) {
        this.type = type;
        values.put("EventType", type);
    }

    PlainEvent with(String path, @Nullable Object value) {
        if (value != null) {
            values.put(path, value);
        }
        return this;
    }

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
        return null;
    }
}
