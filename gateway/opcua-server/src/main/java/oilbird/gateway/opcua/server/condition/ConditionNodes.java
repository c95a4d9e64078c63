package oilbird.gateway.opcua.server.condition;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ubyte;
import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;

import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import oilbird.alarm.state.AlarmId;
import oilbird.gateway.opcua.server.filter.EventTypes.Declared;
import oilbird.gateway.opcua.server.space.Names;
import org.eclipse.milo.opcua.sdk.core.AccessLevel;
import org.eclipse.milo.opcua.sdk.core.NumericRange;
import org.eclipse.milo.opcua.sdk.core.Reference;
import org.eclipse.milo.opcua.sdk.server.AddressSpaceFilter;
import org.eclipse.milo.opcua.sdk.server.AddressSpaceFragment;
import org.eclipse.milo.opcua.sdk.server.SimpleAddressSpaceFilter;
import org.eclipse.milo.opcua.sdk.server.items.DataItem;
import org.eclipse.milo.opcua.sdk.server.items.MonitoredItem;
import org.eclipse.milo.opcua.sdk.server.nodes.UaVariableNode;
import org.eclipse.milo.opcua.sdk.server.util.SubscriptionModel;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.enumerated.NodeClass;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodResult;
import org.eclipse.milo.opcua.stack.core.types.structured.ReadValueId;
import org.eclipse.milo.opcua.stack.core.types.structured.ViewDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.WriteValue;
import org.jspecify.annotations.Nullable;

/**
 * Conditions to read and to browse, without a node for any: a condition and its parts are answered from its image and
 * from what its type declares. Read-only.
 */
final class ConditionNodes implements AddressSpaceFragment {
    private static final String ALARM = "alarm/";
    private static final char PART = '#';
    private static final String METRICS = "alarm-metrics";

    /** What a disabled condition still tells (5.5.2); the rest is Bad_ConditionDisabled. */
    private static final Set<String> TOLD_WHILE_DISABLED = Set.of(
            "EventId",
            "EventType",
            "SourceNode",
            "SourceName",
            "Time",
            "ReceiveTime",
            "ConditionName",
            "ConditionClassId",
            "ConditionClassName",
            "ConditionSubClassId",
            "ConditionSubClassName",
            "BranchId",
            "Retain",
            "EnabledState",
            "EnabledState/Id");

    private final ServerSide side;
    private final ConditionStore store;
    private final Delivery delivery;
    private final EventCatalogue types;
    private final Runnable upToDate;
    private final Map<ConditionKind, Map<String, NodeId>> parts = new EnumMap<>(ConditionKind.class);
    private final AddressSpaceFilter filter;
    private final SubscriptionModel sampling;

    /**
     * @param upToDate called before conditions are shown.
     */
    ConditionNodes(ServerSide side, ConditionStore store, Delivery delivery, EventCatalogue types, Runnable upToDate) {
        this.upToDate = upToDate;
        this.side = side;
        this.store = store;
        this.delivery = delivery;
        this.types = types;
        for (ConditionKind kind : ConditionKind.values()) {
            parts.put(kind, types.parts(side.names().ofType(kind.number())));
        }
        filter = SimpleAddressSpaceFilter.create(id -> isOurs(side.names(), id));
        sampling = new SubscriptionModel(side.milo(), this);
    }

    void open() {
        sampling.startup();
        side.milo().getAddressSpaceManager().registerFirst(this);
    }

    void close() {
        side.milo().getAddressSpaceManager().unregister(this);
        sampling.shutdown();
    }

    /** The library keeps the metrics' nodes, which it does in the types' namespace only. */
    static NodeId metrics(Names names) {
        return new NodeId(names.types(), METRICS);
    }

    /** The method as the object of the metrics has it. */
    static boolean isMetricsReset(Names names, NodeId method) {
        return method.getNamespaceIndex().equals(names.types())
                && String.valueOf(method.getIdentifier()).startsWith(METRICS)
                && String.valueOf(method.getIdentifier()).endsWith("Reset");
    }

    static NodeId part(NodeId condition, String path) {
        return new NodeId(condition.getNamespaceIndex(), String.valueOf(condition.getIdentifier()) + PART + path);
    }

    private static boolean isOurs(Names names, NodeId id) {
        return id.getNamespaceIndex().equals(names.station())
                && id.getIdentifier() instanceof String text
                && text.startsWith(ALARM);
    }

    /**
     * The alarm that a method's object names.
     *
     * @param shelving true where the object may be its ShelvingState as well.
     */
    static @Nullable AlarmId alarm(Names names, NodeId object, boolean shelving) {
        Place place = place(names, object);
        return place == null
                        || !(place.path().isEmpty() || (shelving && place.path().equals("ShelvingState")))
                ? null
                : place.alarm();
    }

    private record Place(AlarmId alarm, String path) {}

    private static @Nullable Place place(Names names, NodeId id) {
        if (!isOurs(names, id)) {
            return null;
        }
        String text = ((String) id.getIdentifier()).substring(ALARM.length());
        int part = text.indexOf(PART);
        String of = part < 0 ? text : text.substring(0, part);
        int slash = of.indexOf('/');
        return slash < 1
                ? null
                : new Place(
                        new AlarmId(of.substring(0, slash), of.substring(slash + 1)),
                        part < 0 ? "" : text.substring(part + 1));
    }

    @Override
    public AddressSpaceFilter getFilter() {
        return filter;
    }

    @Override
    public List<DataValue> read(
            ReadContext context, Double maxAge, TimestampsToReturn timestamps, List<ReadValueId> asked) {
        upToDate.run();
        return asked.stream().map(this::read).toList();
    }

    private DataValue read(ReadValueId asked) {
        Place place = place(side.names(), asked.getNodeId());
        ConditionImage image = place == null ? null : store.get(place.alarm());
        AttributeId attribute = AttributeId.from(asked.getAttributeId()).orElse(null);
        if (place == null || image == null) {
            return new DataValue(StatusCodes.Bad_NodeIdUnknown);
        }
        if (attribute == null) {
            return new DataValue(StatusCodes.Bad_AttributeIdInvalid);
        }
        if (place.path().isEmpty()) {
            return ofObject(
                    asked.getNodeId(), attribute, name(image), image.rule().id().toString());
        }
        NodeId declaring = of(image.kind()).get(place.path());
        if (declaring == null) {
            return new DataValue(StatusCodes.Bad_NodeIdUnknown);
        }
        QualifiedName browseName = browseName(declaring);
        if (types.declared(type(image), place.path()) == Declared.OBJECT) {
            return ofObject(asked.getNodeId(), attribute, browseName, String.valueOf(browseName.name()));
        }
        return attribute == AttributeId.Value
                ? value(image, place.path(), asked.getIndexRange())
                : ofVariable(asked.getNodeId(), attribute, browseName, declaring);
    }

    private DataValue value(ConditionImage image, String path, @Nullable String range) {
        if (!image.enabled() && !TOLD_WHILE_DISABLED.contains(path)) {
            return new DataValue(StatusCodes.Bad_ConditionDisabled);
        }
        Object value = delivery.event(image).value(path);
        if (value != null && range != null && !range.isEmpty()) {
            try {
                value = NumericRange.readFromValueAtRange(value, NumericRange.parse(range));
            } catch (UaException e) {
                return new DataValue(e.getStatusCode());
            }
        }
        DateTime now = ConditionEvent.time(side.now().wallMillis());
        DateTime at = image.at() == null ? now : ConditionEvent.time(image.at().wallMillis());
        return new DataValue(value == null ? Variant.NULL_VALUE : new Variant(value), StatusCode.GOOD, at, now);
    }

    private static DataValue ofObject(NodeId id, AttributeId attribute, QualifiedName browseName, String displayName) {
        return switch (attribute) {
            case NodeId -> good(id);
            case NodeClass -> good(NodeClass.Object);
            case BrowseName -> good(browseName);
            case DisplayName -> good(new LocalizedText("en", displayName));
            case Description -> good(LocalizedText.NULL_VALUE);
            case WriteMask, UserWriteMask -> good(uint(0));
            case EventNotifier -> good(ubyte(0));
            default -> new DataValue(StatusCodes.Bad_AttributeIdInvalid);
        };
    }

    private DataValue ofVariable(NodeId id, AttributeId attribute, QualifiedName browseName, NodeId declaring) {
        UaVariableNode node = side.milo()
                .getAddressSpaceManager()
                .getManagedNode(declaring)
                .filter(UaVariableNode.class::isInstance)
                .map(UaVariableNode.class::cast)
                .orElse(null);
        return switch (attribute) {
            case NodeId -> good(id);
            case NodeClass -> good(NodeClass.Variable);
            case BrowseName -> good(browseName);
            case DisplayName -> good(new LocalizedText("en", String.valueOf(browseName.name())));
            case Description ->
                good(node == null || node.getDescription() == null ? LocalizedText.NULL_VALUE : node.getDescription());
            case WriteMask, UserWriteMask -> good(uint(0));
            case DataType -> good(node == null ? NodeIds.BaseDataType : node.getDataType());
            case ValueRank -> good(node == null ? -1 : node.getValueRank());
            case AccessLevel, UserAccessLevel -> good(AccessLevel.toValue(AccessLevel.CurrentRead));
            case MinimumSamplingInterval -> good(0.0);
            case Historizing -> good(false);
            default -> new DataValue(StatusCodes.Bad_AttributeIdInvalid);
        };
    }

    private static DataValue good(Object value) {
        return new DataValue(new Variant(value));
    }

    private QualifiedName name(ConditionImage image) {
        return new QualifiedName(side.names().station(), image.rule().id().rule());
    }

    private QualifiedName browseName(NodeId declaring) {
        return side.milo()
                .getAddressSpaceManager()
                .getManagedNode(declaring)
                .map(node -> node.getBrowseName())
                .orElse(QualifiedName.NULL_VALUE);
    }

    private NodeId type(ConditionImage image) {
        return side.names().ofType(image.kind().number());
    }

    private Map<String, NodeId> of(ConditionKind kind) {
        return parts.getOrDefault(kind, Map.of());
    }

    @Override
    public List<ReferenceResult> browse(BrowseContext context, ViewDescription view, List<NodeId> nodes) {
        upToDate.run();
        return nodes.stream().map(this::browse).toList();
    }

    private ReferenceResult browse(NodeId id) {
        Place place = place(side.names(), id);
        ConditionImage image = place == null ? null : store.get(place.alarm());
        if (place == null || image == null) {
            return ReferenceResult.unknown();
        }
        List<Reference> references = new ArrayList<>();
        NodeId condition = side.names().ofCondition(place.alarm());
        ConditionEvent event = delivery.event(image);
        if (place.path().isEmpty()) {
            references.add(forward(id, NodeIds.HasTypeDefinition, type(image)));
            references.add(new Reference(
                    id,
                    NodeIds.HasCondition,
                    ConditionEvent.source(image.rule(), side.names()).expanded(),
                    Reference.Direction.INVERSE));
            for (Verb verb : Verb.values()) {
                if (!verb.isRefresh() && verb != Verb.RESET_METRICS && !verb.isShelving()) {
                    references.add(
                            forward(id, NodeIds.HasComponent, verb.methods().get(0)));
                }
            }
        } else {
            NodeId declaring = of(image.kind()).get(place.path());
            if (declaring == null) {
                return ReferenceResult.unknown();
            }
            int last = place.path().lastIndexOf('/');
            NodeId parent = last < 0 ? condition : part(condition, place.path().substring(0, last));
            references.add(new Reference(id, relation(declaring), parent.expanded(), Reference.Direction.INVERSE));
            typeOf(declaring).ifPresent(type -> references.add(forward(id, NodeIds.HasTypeDefinition, type)));
            if (place.path().equals("ShelvingState")) {
                for (Verb verb : Verb.values()) {
                    if (verb.isShelving()) {
                        references.add(
                                forward(id, NodeIds.HasComponent, verb.methods().get(0)));
                    }
                }
            }
        }
        String prefix = place.path().isEmpty() ? "" : place.path() + "/";
        of(image.kind()).forEach((path, declaring) -> {
            boolean child = path.startsWith(prefix)
                    && path.indexOf('/', prefix.length()) < 0
                    && path.length() > prefix.length();
            if (child && (event.value(path) != null || hasParts(image, event, path))) {
                references.add(forward(id, relation(declaring), part(condition, path)));
            }
        });
        return ReferenceResult.of(references);
    }

    /** An object is there where one of its parts has a value. */
    private boolean hasParts(ConditionImage image, ConditionEvent event, String path) {
        return types.declared(type(image), path) == Declared.OBJECT
                && of(image.kind()).keySet().stream()
                        .anyMatch(part -> part.startsWith(path + "/") && event.value(part) != null);
    }

    private static Reference forward(NodeId from, NodeId type, NodeId to) {
        return new Reference(from, type, to.expanded(), Reference.Direction.FORWARD);
    }

    /** Properties by HasProperty, everything else by HasComponent, as the type has it. */
    private NodeId relation(NodeId declaring) {
        return typeOf(declaring).filter(NodeIds.PropertyType::equals).isPresent()
                ? NodeIds.HasProperty
                : NodeIds.HasComponent;
    }

    private Optional<NodeId> typeOf(NodeId declaring) {
        return side
                .milo()
                .getAddressSpaceManager()
                .getManagedReferences(
                        declaring, r -> r.isForward() && r.getReferenceTypeId().equals(NodeIds.HasTypeDefinition))
                .stream()
                .findFirst()
                .flatMap(r -> r.getTargetNodeId().toNodeId(side.milo().getNamespaceTable()));
    }

    /** A method that is none of those of conditions. */
    @Override
    public List<CallMethodResult> call(CallContext context, List<CallMethodRequest> requests) {
        return requests.stream()
                .map(request -> {
                    AlarmId alarm = alarm(side.names(), request.getObjectId(), true);
                    return new CallMethodResult(
                            new StatusCode(
                                    alarm == null || store.get(alarm) == null
                                            ? StatusCodes.Bad_NodeIdInvalid
                                            : StatusCodes.Bad_MethodInvalid),
                            null,
                            null,
                            null);
                })
                .toList();
    }

    /** Conditions of a source, from whatever node space the source is. */
    @Override
    public ReferenceResult.ReferenceList gather(BrowseContext context, ViewDescription view, NodeId node) {
        return ReferenceResult.of(store.from(node).stream()
                .map(alarm -> forward(node, NodeIds.HasCondition, side.names().ofCondition(alarm)))
                .toList());
    }

    @Override
    public List<StatusCode> write(WriteContext context, List<WriteValue> values) {
        return values.stream()
                .map(v -> new StatusCode(StatusCodes.Bad_NotWritable))
                .toList();
    }

    @Override
    public void onDataItemsCreated(List<DataItem> items) {
        sampling.onDataItemsCreated(items);
    }

    @Override
    public void onDataItemsModified(List<DataItem> items) {
        sampling.onDataItemsModified(items);
    }

    @Override
    public void onDataItemsDeleted(List<DataItem> items) {
        sampling.onDataItemsDeleted(items);
    }

    @Override
    public void onMonitoringModeChanged(List<MonitoredItem> items) {
        sampling.onMonitoringModeChanged(items);
    }
}
