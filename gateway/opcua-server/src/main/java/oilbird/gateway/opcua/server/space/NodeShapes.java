package oilbird.gateway.opcua.server.space;

import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.function.Supplier;
import oilbird.mapping.signal.Moment;
import org.eclipse.milo.opcua.sdk.core.Reference;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.encoding.EncodingContext;
import org.eclipse.milo.opcua.stack.core.types.UaStructuredType;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.ExtensionObject;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;

/** Makes nodes of the shapes that all parts of the station share. */
record NodeShapes(EncodingContext encoding) {
    SpaceNode object(
            NodeId id,
            QualifiedName browseName,
            String name,
            String description,
            NodeId type,
            boolean notifier,
            Supplier<List<Reference>> references) {
        return new SpaceNode(
                id,
                browseName,
                LocalizedText.english(name),
                LocalizedText.english(description),
                type,
                notifier,
                null,
                withType(id, type, references));
    }

    /** A property whose value never changes. */
    SpaceNode property(NodeId id, NodeId of, String name, NodeId dataType, Variant value) {
        DataValue shown = new DataValue(value, StatusCode.GOOD, null, null);
        return property(id, of, name, new SpaceNode.Content(dataType, view -> value, seen -> shown));
    }

    SpaceNode property(NodeId id, NodeId of, String name, SpaceNode.Content content) {
        return new SpaceNode(
                id,
                new QualifiedName(0, name),
                LocalizedText.english(name),
                LocalizedText.NULL_VALUE,
                NodeIds.PropertyType,
                false,
                content,
                withType(id, NodeIds.PropertyType, () -> List.of(to(id, NodeIds.HasProperty, of, false))));
    }

    Variant structure(UaStructuredType value) {
        return new Variant(ExtensionObject.encode(encoding, value));
    }

    static Supplier<List<Reference>> withType(NodeId id, NodeId type, Supplier<List<Reference>> others) {
        return () -> {
            List<Reference> all = new ArrayList<>(others.get());
            all.add(to(id, NodeIds.HasTypeDefinition, type, true));
            return all;
        };
    }

    static Reference to(NodeId from, NodeId type, NodeId target, boolean forward) {
        return new Reference(from, type, target.expanded(), forward);
    }

    static DateTime time(Moment at) {
        return new DateTime(Instant.ofEpochMilli(at.wallMillis()));
    }
}
