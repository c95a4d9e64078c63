package oilbird.gateway.opcua.server.space;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ubyte;
import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.function.BiFunction;
import java.util.function.Supplier;
import oilbird.alarm.station.StationView;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.station.Station;
import oilbird.mapping.signal.SignalId;
import org.eclipse.milo.opcua.sdk.core.AccessLevel;
import org.eclipse.milo.opcua.sdk.core.Reference;
import org.eclipse.milo.opcua.sdk.server.AddressSpaceFilter;
import org.eclipse.milo.opcua.sdk.server.AddressSpaceFragment;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.SimpleAddressSpaceFilter;
import org.eclipse.milo.opcua.sdk.server.items.DataItem;
import org.eclipse.milo.opcua.sdk.server.items.MonitoredItem;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UByte;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.HistoryReadDetails;
import org.eclipse.milo.opcua.stack.core.types.structured.HistoryReadResult;
import org.eclipse.milo.opcua.stack.core.types.structured.HistoryReadValueId;
import org.eclipse.milo.opcua.stack.core.types.structured.ReadEventDetails;
import org.eclipse.milo.opcua.stack.core.types.structured.ReadValueId;
import org.eclipse.milo.opcua.stack.core.types.structured.ViewDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.WriteValue;
import org.jspecify.annotations.Nullable;

/**
 * The part of the address space that shows the station. No node is kept: attributes, references and values are made
 * from the station's facts and its newest picture when a client asks. Nothing in it can be written.
 */
public final class StationSpace implements AddressSpaceFragment {
    private static final UByte READABLE = AccessLevel.toValue(AccessLevel.CurrentRead);
    /** Part 3, 8.59 (from memory): bit 0 events can be watched, bit 2 their history can be read. */
    private static final UByte NOTIFIES = ubyte(1 | 1 << 2);

    private static final UByte SILENT = ubyte(0);
    private static final int SCALAR = -1;

    private final Names names;
    private final StationNodes nodes;
    private final Supplier<StationView> view;
    private final Sampling sampling;
    private final BiFunction<ReadEventDetails, HistoryReadValueId, HistoryReadResult> history;

    /**
     * @param points of the control room, made of the same picture.
     * @param view the newest picture of the station.
     * @param history reads past events of a notifier.
     */
    public StationSpace(
            OpcUaServer server,
            Names names,
            Station station,
            PointFeed points,
            Supplier<StationView> view,
            BiFunction<ReadEventDetails, HistoryReadValueId, HistoryReadResult> history) {
        this.history = history;
        this.names = names;
        this.nodes = new StationNodes(names, station, points, server.getStaticEncodingContext());
        this.view = view;
        this.sampling = new Sampling(nodes, view);
    }

    /** Hands changed values to the clients that watch them. Called ten times a second. */
    public void sample() {
        sampling.run();
    }

    /** The asset that a source of events, an asset's or a device's node, belongs to. */
    public Optional<String> assetOf(NodeId source) {
        return nodes.assetOf(source);
    }

    /** The variable that shows a signal; {@link NodeId#NULL_VALUE} where there is none. */
    public NodeId variable(SignalId signal) {
        NodeId found = nodes.variable(signal);
        return found == null ? NodeId.NULL_VALUE : found;
    }

    @Override
    public AddressSpaceFilter getFilter() {
        return SimpleAddressSpaceFilter.create(id -> nodes.find(id) != null);
    }

    @Override
    public List<ReferenceResult> browse(BrowseContext context, ViewDescription of, List<NodeId> ids) {
        List<ReferenceResult> results = new ArrayList<>(ids.size());
        for (NodeId id : ids) {
            SpaceNode node = nodes.find(id);
            results.add(
                    node == null
                            ? ReferenceResult.unknown()
                            : ReferenceResult.of(node.references().get()));
        }
        return results;
    }

    @Override
    public ReferenceResult.ReferenceList gather(BrowseContext context, ViewDescription of, NodeId id) {
        NodeId station = names.ofStation();
        if (id.equals(NodeIds.ObjectsFolder)) {
            return ReferenceResult.of(List.of(new Reference(id, NodeIds.Organizes, station.expanded(), true)));
        }
        return ReferenceResult.of(
                id.equals(NodeIds.Server)
                        ? List.of(new Reference(id, NodeIds.HasNotifier, station.expanded(), true))
                        : List.of());
    }

    @Override
    public List<DataValue> read(
            ReadContext context, Double maxAge, @Nullable TimestampsToReturn timestamps, List<ReadValueId> asked) {
        StationView now = view.get();
        List<DataValue> values = new ArrayList<>(asked.size());
        NodeId last = null;
        SpaceNode node = null;
        for (ReadValueId each : asked) {
            // Clients ask for many attributes of one node in a row.
            if (!each.getNodeId().equals(last)) {
                last = each.getNodeId();
                node = nodes.find(last);
            }
            values.add(value(node, each, timestamps, now));
        }
        return values;
    }

    static DataValue value(
            @Nullable SpaceNode node, ReadValueId asked, @Nullable TimestampsToReturn timestamps, StationView view) {
        AttributeId attribute = AttributeId.from(asked.getAttributeId()).orElse(null);
        if (node == null) {
            return new DataValue(StatusCodes.Bad_NodeIdUnknown);
        }
        if (attribute == null || !AttributeId.getAttributes(node.nodeClass()).contains(attribute)) {
            return new DataValue(StatusCodes.Bad_AttributeIdInvalid);
        }
        QualifiedName encoding = asked.getDataEncoding();
        if (encoding != null && encoding.isNotNull() && !takes(node, attribute, encoding)) {
            return new DataValue(StatusCodes.Bad_DataEncodingInvalid);
        }
        if (asked.getIndexRange() != null && !asked.getIndexRange().isEmpty()) {
            // Every value is a single one.
            return new DataValue(StatusCodes.Bad_IndexRangeNoData);
        }
        SpaceNode.Content content = node.content();
        TimestampsToReturn stamped = timestamps == null ? TimestampsToReturn.Neither : timestamps;
        if (attribute == AttributeId.Value && content != null) {
            return DataValue.derivedValue(content.value(view), stamped);
        }
        Object value = attribute(node, attribute, content);
        return value == null
                ? new DataValue(StatusCodes.Bad_AttributeIdInvalid)
                : DataValue.derivedNonValue(new DataValue(new Variant(value)), stamped);
    }

    private static boolean takes(SpaceNode node, AttributeId attribute, QualifiedName encoding) {
        boolean structure = node.content() != null
                && (node.content().dataType().equals(NodeIds.Range)
                        || node.content().dataType().equals(NodeIds.EUInformation));
        return attribute == AttributeId.Value && structure && encoding.equals(new QualifiedName(0, "Default Binary"));
    }

    private static @Nullable Object attribute(
            SpaceNode node, AttributeId attribute, SpaceNode.@Nullable Content content) {
        return switch (attribute) {
            case NodeId -> node.id();
            case NodeClass -> node.nodeClass();
            case BrowseName -> node.browseName();
            case DisplayName -> node.displayName();
            case Description -> node.description();
            case WriteMask, UserWriteMask -> UInteger.MIN;
            case EventNotifier -> node.notifier() ? NOTIFIES : SILENT;
            case DataType -> content == null ? null : content.dataType();
            case ValueRank -> content != null && isList(node) ? 1 : SCALAR;
            case ArrayDimensions -> content != null && isList(node) ? new UInteger[] {UInteger.MIN} : null;
            case AccessLevel, UserAccessLevel -> READABLE;
            case MinimumSamplingInterval -> Sampling.LEAST_MILLIS;
            case Historizing -> false;
            case AccessLevelEx -> uint(READABLE.intValue());
            default -> null;
        };
    }

    /** The only lists are the names of the states of a discrete value. */
    private static boolean isList(SpaceNode node) {
        return "EnumStrings".equals(node.browseName().name());
    }

    @Override
    public List<HistoryReadResult> historyRead(
            HistoryReadContext context,
            HistoryReadDetails details,
            TimestampsToReturn timestamps,
            List<HistoryReadValueId> ids) {
        List<HistoryReadResult> results = new ArrayList<>(ids.size());
        for (HistoryReadValueId id : ids) {
            SpaceNode node = nodes.find(id.getNodeId());
            results.add(
                    node != null && node.notifier() && details instanceof ReadEventDetails events
                            ? history.apply(events, id)
                            : new HistoryReadResult(
                                    new StatusCode(StatusCodes.Bad_HistoryOperationUnsupported), null, null));
        }
        return results;
    }

    @Override
    public List<StatusCode> write(WriteContext context, List<WriteValue> values) {
        return Collections.nCopies(values.size(), new StatusCode(StatusCodes.Bad_NotWritable));
    }

    @Override
    public RevisedDataItemParameters onCreateDataItem(
            ReadValueId item, Double requestedSamplingInterval, UInteger requestedQueueSize) {
        return Sampling.revised(requestedSamplingInterval, requestedQueueSize);
    }

    @Override
    public RevisedDataItemParameters onModifyDataItem(
            ReadValueId item, Double requestedSamplingInterval, UInteger requestedQueueSize) {
        return Sampling.revised(requestedSamplingInterval, requestedQueueSize);
    }

    @Override
    public void onDataItemsCreated(List<DataItem> items) {
        sampling.add(items);
    }

    @Override
    public void onDataItemsModified(List<DataItem> items) {
        sampling.add(items);
    }

    @Override
    public void onDataItemsDeleted(List<DataItem> items) {
        sampling.remove(items);
    }

    @Override
    public void onMonitoringModeChanged(List<MonitoredItem> items) {
        sampling.modeChanged(items);
    }
}
