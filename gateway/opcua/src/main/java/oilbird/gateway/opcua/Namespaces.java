package oilbird.gateway.opcua;

import java.util.Base64;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.UUID;
import oilbird.mapping.address.NodeName;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;

/** The namespaces of a server as one session sees them; the next session may see others. */
final class Namespaces {
    private final String[] uris;
    private final Set<String> missed = new LinkedHashSet<>();

    /**
     * @param uris by index; the server's NamespaceArray.
     */
    Namespaces(String[] uris) {
        this.uris = uris.clone();
    }

    /** The node's id in this session; empty where the server has no such namespace. */
    Optional<NodeId> id(NodeName name) {
        for (int index = 0; index < uris.length; index++) {
            if (name.namespace().equals(uris[index])) {
                return Optional.of(id(index, name));
            }
        }
        if (name.namespace().equals(NodeName.STANDARD)) {
            return Optional.of(id(0, name));
        }
        missed.add(name.namespace());
        return Optional.empty();
    }

    private static NodeId id(int index, NodeName name) {
        return switch (name.kind()) {
            case NUMBER -> new NodeId(index, UInteger.valueOf(Long.parseLong(name.identifier())));
            case TEXT -> new NodeId(index, name.identifier());
            case GUID -> new NodeId(index, UUID.fromString(name.identifier()));
            case OPAQUE -> new NodeId(index, ByteString.of(Base64.getDecoder().decode(name.identifier())));
        };
    }

    List<String> uris() {
        return List.of(uris);
    }

    /** Namespaces that were asked for and are not there. */
    Set<String> missed() {
        return missed;
    }
}
