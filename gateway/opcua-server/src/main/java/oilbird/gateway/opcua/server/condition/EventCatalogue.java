package oilbird.gateway.opcua.server.condition;

import java.util.HashMap;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Set;
import oilbird.gateway.opcua.server.filter.EventTypes;
import org.eclipse.milo.opcua.sdk.core.Reference;
import org.eclipse.milo.opcua.sdk.server.AddressSpaceManager;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.nodes.UaNode;
import org.eclipse.milo.opcua.sdk.server.nodes.UaVariableNode;
import org.eclipse.milo.opcua.stack.core.NamespaceTable;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.enumerated.NodeClass;

/** The server's event types, read once from its type nodes, ours included. Immutable, thread-safe. */
final class EventCatalogue implements EventTypes {
    private static final int DEEPEST = 3;

    private final AddressSpaceManager space;
    private final NamespaceTable namespaces;
    private final Map<NodeId, NodeId> above = new HashMap<>();
    private final Map<NodeId, Map<String, Declared>> declared = new HashMap<>();
    private final Map<NodeId, Map<String, NodeId>> declaring = new HashMap<>();
    private final Map<String, Declared> anywhere = new HashMap<>();

    private EventCatalogue(OpcUaServer server) {
        space = server.getAddressSpaceManager();
        namespaces = server.getNamespaceTable();
    }

    static EventCatalogue of(OpcUaServer server) {
        EventCatalogue catalogue = new EventCatalogue(server);
        catalogue.add(NodeIds.BaseEventType);
        return catalogue;
    }

    private void add(NodeId type) {
        Map<String, Declared> parts = new HashMap<>();
        Map<String, NodeId> nodes = new LinkedHashMap<>();
        children(type, "", 1, parts, nodes, new HashSet<>());
        declared.put(type, parts);
        declaring.put(type, nodes);
        anywhere.putAll(parts);
        for (Reference reference : space.getManagedReferences(type)) {
            if (reference.isForward() && reference.getReferenceTypeId().equals(NodeIds.HasSubtype)) {
                reference.getTargetNodeId().toNodeId(namespaces).ifPresent(subtype -> {
                    if (above.putIfAbsent(subtype, type) == null) {
                        add(subtype);
                    }
                });
            }
        }
    }

    private void children(
            NodeId of,
            String prefix,
            int depth,
            Map<String, Declared> into,
            Map<String, NodeId> nodes,
            Set<NodeId> seen) {
        if (depth > DEEPEST || !seen.add(of)) {
            return;
        }
        for (Reference reference : space.getManagedReferences(of)) {
            NodeId kind = reference.getReferenceTypeId();
            if (reference.isForward()
                    && (kind.equals(NodeIds.HasProperty)
                            || kind.equals(NodeIds.HasComponent)
                            || kind.equals(NodeIds.HasOrderedComponent))) {
                reference
                        .getTargetNodeId()
                        .toNodeId(namespaces)
                        .flatMap(space::getManagedNode)
                        .ifPresent(child -> child(child, prefix, depth, into, nodes, seen));
            }
        }
    }

    private void child(
            UaNode child,
            String prefix,
            int depth,
            Map<String, Declared> into,
            Map<String, NodeId> nodes,
            Set<NodeId> seen) {
        if (child.getNodeClass() != NodeClass.Variable && child.getNodeClass() != NodeClass.Object) {
            return;
        }
        QualifiedName name = child.getBrowseName();
        String path = prefix
                + (name.namespaceIndex().intValue() == 0 ? name.name() : name.namespaceIndex() + ":" + name.name());
        nodes.putIfAbsent(path, child.getNodeId());
        into.put(
                path,
                child instanceof UaVariableNode variable
                        ? variable.getValueRank() == null || variable.getValueRank() < 0
                                ? Declared.SCALAR
                                : Declared.ARRAY
                        : Declared.OBJECT);
        children(child.getNodeId(), path + "/", depth + 1, into, nodes, seen);
        // What the type of an object declares, its instance declarations need not repeat.
        child.getReferences().stream()
                .filter(r -> r.isForward() && r.getReferenceTypeId().equals(NodeIds.HasTypeDefinition))
                .findFirst()
                .flatMap(r -> r.getTargetNodeId().toNodeId(namespaces))
                .filter(type -> !type.equals(NodeIds.PropertyType) && !type.equals(NodeIds.BaseDataVariableType))
                .ifPresent(type -> children(type, path + "/", depth + 1, into, nodes, new HashSet<>()));
    }

    @Override
    public boolean isEventType(NodeId type) {
        return declared.containsKey(type);
    }

    @Override
    public boolean isA(NodeId type, NodeId of) {
        for (NodeId at = type; at != null; at = above.get(at)) {
            if (at.equals(of)) {
                return true;
            }
        }
        return false;
    }

    @Override
    public Declared declared(NodeId type, String path) {
        for (NodeId at = type; at != null; at = above.get(at)) {
            Declared found = declared.getOrDefault(at, Map.of()).get(path);
            if (found != null) {
                return found;
            }
        }
        return Declared.NOTHING;
    }

    /** Everything that the type and those above it declare, with the node that does; the type's own first. */
    Map<String, NodeId> parts(NodeId type) {
        Map<String, NodeId> all = new LinkedHashMap<>();
        for (NodeId at = type; at != null; at = above.get(at)) {
            declaring.getOrDefault(at, Map.of()).forEach(all::putIfAbsent);
        }
        return all;
    }

    @Override
    public Declared declaredAnywhere(String path) {
        return anywhere.getOrDefault(path, Declared.NOTHING);
    }
}
