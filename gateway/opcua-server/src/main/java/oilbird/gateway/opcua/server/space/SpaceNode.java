package oilbird.gateway.opcua.server.space;

import java.util.List;
import java.util.function.Function;
import java.util.function.Supplier;
import oilbird.alarm.station.StationView;
import org.eclipse.milo.opcua.sdk.core.Reference;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.enumerated.NodeClass;
import org.jspecify.annotations.Nullable;

/**
 * A node of the station. Made when somebody asks for it and forgotten afterwards: a station of 60,000 variables keeps
 * none.
 *
 * @param content what a variable shows; null for an object.
 * @param notifier whether clients can watch its events.
 * @param references forward and inverse ones.
 */
record SpaceNode(
        NodeId id,
        QualifiedName browseName,
        LocalizedText displayName,
        LocalizedText description,
        NodeId typeDefinition,
        boolean notifier,
        @Nullable Content content,
        Supplier<List<Reference>> references) {

    NodeClass nodeClass() {
        return content == null ? NodeClass.Object : NodeClass.Variable;
    }

    /**
     * What a variable shows.
     *
     * @param seen what of a picture the value is made of; the same object as long as nothing has changed.
     * @param shown the value made of it, with status and source time.
     */
    record Content(
            NodeId dataType,
            Function<StationView, @Nullable Object> seen,
            Function<@Nullable Object, DataValue> shown) {
        DataValue value(StationView view) {
            return shown.apply(seen.apply(view));
        }
    }
}
