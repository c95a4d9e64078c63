package oilbird.gateway.opcua;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Base64;
import java.util.List;
import java.util.Optional;
import java.util.UUID;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeoutException;
import oilbird.gateway.opcua.trust.OwnCertificate;
import oilbird.gateway.opcua.trust.ServerCheck;
import oilbird.gateway.opcua.trust.TrustFolder;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.mapping.address.NodeName;
import oilbird.mapping.address.NodeValue;
import oilbird.mapping.draft.FoundVariable;
import org.eclipse.milo.opcua.sdk.core.AccessLevel;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.OpcUaDataType;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.ExtensionObject;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UByte;
import org.eclipse.milo.opcua.stack.core.types.enumerated.BrowseDirection;
import org.eclipse.milo.opcua.stack.core.types.enumerated.BrowseResultMask;
import org.eclipse.milo.opcua.stack.core.types.enumerated.NodeClass;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.BrowseDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.BrowseNextResponse;
import org.eclipse.milo.opcua.stack.core.types.structured.BrowseResult;
import org.eclipse.milo.opcua.stack.core.types.structured.EUInformation;
import org.eclipse.milo.opcua.stack.core.types.structured.EndpointDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.Range;
import org.eclipse.milo.opcua.stack.core.types.structured.ReadValueId;
import org.eclipse.milo.opcua.stack.core.types.structured.ReferenceDescription;
import org.jspecify.annotations.Nullable;

/** One server, asked by hand. */
public final class Probe implements AutoCloseable {
    private static final Duration GOOD_BYE = Duration.ofSeconds(1);

    private final ServerConnection connection;
    private final Duration deadline;

    /** What came of an attempt to open a session. */
    public sealed interface Opening {
        record Opened(Probe probe) implements Opening {}

        record NotOpened(String why) implements Opening {}
    }

    /** A node that was found while walking. */
    public static final class Found {
        private final NodeId id;
        private final String browseName;
        private final String displayName;
        private final NodeClass nodeClass;

        private Found(NodeId id, String browseName, String displayName, NodeClass nodeClass) {
            this.id = id;
            this.browseName = browseName;
            this.displayName = displayName;
            this.nodeClass = nodeClass;
        }

        public String browseName() {
            return browseName;
        }

        public boolean isVariable() {
            return nodeClass == NodeClass.Variable;
        }

        /** True for the object in which every server describes itself (OPC UA Part 5, 8.3.2). */
        public boolean isServer() {
            return id.equals(NodeIds.Server);
        }

        @Override
        public boolean equals(Object other) {
            return other instanceof Found found && id.equals(found.id);
        }

        @Override
        public int hashCode() {
            return id.hashCode();
        }
    }

    private Probe(ServerConnection connection, Duration deadline) {
        this.connection = connection;
        this.deadline = deadline;
    }

    /** Security and modes that the server offers, for people. */
    public static List<String> offers(String url, Duration deadline) throws IOException, InterruptedException {
        try {
            List<String> offers = new ArrayList<>();
            for (EndpointDescription endpoint : ServerConnection.endpoints(url, deadline)) {
                offers.add(ServerConnection.shown(endpoint));
            }
            return offers.stream().distinct().sorted().toList();
        } catch (ExecutionException | TimeoutException e) {
            throw new IOException(ServerConnection.detail(e), e);
        }
    }

    /**
     * Opens a session.
     *
     * @param data folder with the certificates in {@code opc-ua} and the secrets in {@code secrets}. A secured session
     *     makes the gateway's certificate there if it is not there yet; one without security leaves nothing.
     * @param gateway id of the gateway, for a certificate that is made.
     * @throws IOException if the gateway's own certificate cannot be used.
     */
    public static Opening open(OpcUaEndpoint at, Path data, String gateway) throws IOException, InterruptedException {
        Path folder = data.resolve("opc-ua");
        boolean keep = at.security() != OpcUaEndpoint.Security.NONE;
        OwnCertificate own = keep || OwnCertificate.isIn(folder)
                ? OwnCertificate.of(folder, gateway, Instant.now())
                : OwnCertificate.notKept(gateway, Instant.now());
        ServerConnection.Opening opening = ServerConnection.open(
                at, own, new ServerCheck(new TrustFolder(folder), () -> true), data.resolve("secrets"), lost -> {});
        if (opening instanceof ServerConnection.Opening.NotOpened notOpened) {
            return new Opening.NotOpened(notOpened.detail());
        }
        return new Opening.Opened(new Probe(((ServerConnection.Opening.Opened) opening).connection(), at.deadline()));
    }

    public List<NodeValue> read(List<NodeName> names) throws IOException, InterruptedException {
        try {
            return connection.read(names);
        } catch (ExecutionException | TimeoutException e) {
            throw new IOException(ServerConnection.detail(e), e);
        }
    }

    /** What the server says of itself in these nodes. */
    public ServerStatus.FoundProduct product(NodeName vendor, NodeName product, NodeName firmware)
            throws IOException, InterruptedException {
        return ServerStatus.FoundProduct.of(read(List.of(vendor, product, firmware)));
    }

    /** URIs of the namespaces, by their indexes of now. */
    public List<String> namespaces() {
        return connection.namespaces().uris();
    }

    /** The folder from which a walk begins. */
    public Found objects() {
        return new Found(NodeIds.ObjectsFolder, "Objects", "Objects", NodeClass.Object);
    }

    /** Objects and variables below a node. */
    public List<Found> children(Found parent) throws IOException, InterruptedException {
        BrowseDescription wanted = new BrowseDescription(
                parent.id,
                BrowseDirection.Forward,
                NodeIds.HierarchicalReferences,
                true,
                uint(NodeClass.Object.getValue() | NodeClass.Variable.getValue()),
                uint(BrowseResultMask.All.getValue()));
        List<Found> children = new ArrayList<>();
        try {
            BrowseResult result = within(connection.client().browseAsync(wanted));
            while (true) {
                add(children, result.getReferences());
                ByteString more = result.getContinuationPoint();
                if (more == null || more.isNullOrEmpty()) {
                    return children;
                }
                BrowseNextResponse next = within(connection.client().browseNextAsync(false, List.of(more)));
                BrowseResult[] results = next.getResults();
                if (results == null || results.length != 1) {
                    return children;
                }
                result = results[0];
            }
        } catch (ExecutionException | TimeoutException e) {
            throw new IOException(ServerConnection.detail(e), e);
        }
    }

    private void add(List<Found> children, ReferenceDescription @Nullable [] references) {
        if (references == null) {
            return;
        }
        for (ReferenceDescription reference : references) {
            if (NodeIds.HasProperty.equals(reference.getReferenceTypeId())) {
                continue;
            }
            Optional<NodeId> id =
                    reference.getNodeId().toNodeId(connection.client().getNamespaceTable());
            id.ifPresent(nodeId -> children.add(new Found(
                    nodeId,
                    String.valueOf(reference.getBrowseName().name()),
                    text(reference.getDisplayName()),
                    reference.getNodeClass())));
        }
    }

    /** All that a draft needs of a variable. */
    public FoundVariable variable(Found found, List<String> path) throws IOException, InterruptedException {
        List<ReadValueId> asked = new ArrayList<>();
        for (AttributeId attribute : List.of(
                AttributeId.DataType, AttributeId.ValueRank, AttributeId.UserAccessLevel, AttributeId.Description)) {
            asked.add(new ReadValueId(found.id, attribute.uid(), null, QualifiedName.NULL_VALUE));
        }
        try {
            DataValue[] attributes = within(connection.client().readAsync(0, TimestampsToReturn.Neither, asked))
                    .getResults();
            if (attributes == null || attributes.length != asked.size()) {
                throw new IOException("another number of values than was asked for");
            }
            NodeId type = attributes[0].value().value() instanceof NodeId id ? id : NodeIds.BaseDataType;
            int rank = attributes[1].value().value() instanceof Integer number ? number : -1;
            boolean readable = !(attributes[2].value().value() instanceof UByte level)
                    || AccessLevel.fromValue(level).contains(AccessLevel.CurrentRead);
            String description = attributes[3].value().value() instanceof LocalizedText text ? text(text) : "";
            Object unit = property(found, "EngineeringUnits");
            Object range = property(found, "EURange");
            FoundVariable.Kind kind = kind(type);
            return new FoundVariable(
                    path,
                    name(found.id),
                    description.isBlank() ? found.displayName : description,
                    kind,
                    typeName(type),
                    rank < 0 || rank == -3,
                    readable,
                    unit instanceof EUInformation eu ? text(eu.getDisplayName()) : null,
                    range instanceof Range eu ? eu.getLow() : null,
                    range instanceof Range eu ? eu.getHigh() : null);
        } catch (ExecutionException | TimeoutException e) {
            throw new IOException(ServerConnection.detail(e), e);
        }
    }

    /** The decoded value of a property; null where the node has none. */
    private @Nullable Object property(Found of, String name)
            throws ExecutionException, TimeoutException, InterruptedException {
        BrowseDescription wanted = new BrowseDescription(
                of.id,
                BrowseDirection.Forward,
                NodeIds.HasProperty,
                true,
                uint(NodeClass.Variable.getValue()),
                uint(BrowseResultMask.All.getValue()));
        ReferenceDescription[] references =
                within(connection.client().browseAsync(wanted)).getReferences();
        if (references == null) {
            return null;
        }
        for (ReferenceDescription reference : references) {
            if (name.equals(reference.getBrowseName().name())) {
                Optional<NodeId> id =
                        reference.getNodeId().toNodeId(connection.client().getNamespaceTable());
                if (id.isEmpty()) {
                    return null;
                }
                Object value = within(
                                connection.client().readValuesAsync(0, TimestampsToReturn.Neither, List.of(id.get())))
                        .get(0)
                        .value()
                        .value();
                return value instanceof ExtensionObject object
                        ? object.decode(connection.client().getStaticEncodingContext())
                        : value;
            }
        }
        return null;
    }

    /** By the built-in type, or the type above it where the server has types of its own. */
    private FoundVariable.Kind kind(NodeId type) throws ExecutionException, TimeoutException, InterruptedException {
        NodeId of = type;
        for (int up = 0; up < 10; up++) {
            if (of.equals(NodeIds.Enumeration)) {
                return FoundVariable.Kind.ENUMERATION;
            }
            if (of.equals(NodeIds.Number) || of.equals(NodeIds.Integer) || of.equals(NodeIds.UInteger)) {
                return FoundVariable.Kind.REAL;
            }
            OpcUaDataType builtIn = OpcUaDataType.fromNodeId(of);
            if (builtIn != null) {
                return switch (builtIn) {
                    case Boolean -> FoundVariable.Kind.TRUTH;
                    case SByte, Byte, Int16, UInt16, Int32, UInt32, Int64, UInt64, StatusCode ->
                        FoundVariable.Kind.WHOLE;
                    case Float, Double -> FoundVariable.Kind.REAL;
                    case String, LocalizedText, Guid, QualifiedName -> FoundVariable.Kind.TEXT;
                    case DateTime -> FoundVariable.Kind.TIME;
                    default -> FoundVariable.Kind.OTHER;
                };
            }
            BrowseDescription above = new BrowseDescription(
                    of,
                    BrowseDirection.Inverse,
                    NodeIds.HasSubtype,
                    true,
                    uint(NodeClass.DataType.getValue()),
                    uint(BrowseResultMask.All.getValue()));
            ReferenceDescription[] references =
                    within(connection.client().browseAsync(above)).getReferences();
            if (references == null || references.length == 0) {
                return FoundVariable.Kind.OTHER;
            }
            Optional<NodeId> id =
                    references[0].getNodeId().toNodeId(connection.client().getNamespaceTable());
            if (id.isEmpty()) {
                return FoundVariable.Kind.OTHER;
            }
            of = id.get();
        }
        return FoundVariable.Kind.OTHER;
    }

    private String typeName(NodeId type) {
        OpcUaDataType builtIn = OpcUaDataType.fromNodeId(type);
        return builtIn == null ? name(type).toString() : builtIn.name();
    }

    private NodeName name(NodeId id) {
        List<String> uris = namespaces();
        int index = id.getNamespaceIndex().intValue();
        String uri = index == 0 ? NodeName.STANDARD : index < uris.size() ? uris.get(index) : "urn:unknown:" + index;
        Object identifier = id.getIdentifier();
        if (identifier instanceof UUID guid) {
            return new NodeName(uri, NodeName.Kind.GUID, guid.toString());
        }
        if (identifier instanceof ByteString bytes) {
            return new NodeName(uri, NodeName.Kind.OPAQUE, Base64.getEncoder().encodeToString(bytes.bytesOrEmpty()));
        }
        return identifier instanceof Number number
                ? new NodeName(uri, NodeName.Kind.NUMBER, number.toString())
                : new NodeName(uri, NodeName.Kind.TEXT, String.valueOf(identifier));
    }

    private static String text(@Nullable LocalizedText text) {
        return text == null || text.text() == null ? "" : text.text();
    }

    private <T> T within(java.util.concurrent.Future<T> future)
            throws ExecutionException, TimeoutException, InterruptedException {
        return ServerConnection.within(future, deadline);
    }

    @Override
    public void close() {
        try {
            connection.closeAndWait(GOOD_BYE);
        } catch (InterruptedException e) {
            Thread.currentThread().interrupt();
        }
    }
}
