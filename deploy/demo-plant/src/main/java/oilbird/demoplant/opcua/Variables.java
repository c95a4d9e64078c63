package oilbird.demoplant.opcua;

import java.util.List;
import java.util.Map;
import oilbird.demoplant.device.NodeMonitor;
import oilbird.demoplant.device.NodeValue;
import org.eclipse.milo.opcua.sdk.core.AccessLevel;
import org.eclipse.milo.opcua.sdk.core.Reference;
import org.eclipse.milo.opcua.sdk.server.ManagedNamespaceWithLifecycle;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.items.DataItem;
import org.eclipse.milo.opcua.sdk.server.items.MonitoredItem;
import org.eclipse.milo.opcua.sdk.server.nodes.UaFolderNode;
import org.eclipse.milo.opcua.sdk.server.nodes.UaVariableNode;
import org.eclipse.milo.opcua.sdk.server.nodes.filters.AttributeFilters;
import org.eclipse.milo.opcua.sdk.server.util.SubscriptionModel;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;

/** The namespace of one monitor: a folder with its variables, each read from the monitor when somebody asks. */
final class Variables extends ManagedNamespaceWithLifecycle {
    private final NodeMonitor monitor;
    private final Now now;
    private final SubscriptionModel subscriptions;

    /** What the monitor's clock shows. */
    interface Now {
        /** Plant time, milliseconds. */
        long plantMillis();

        /** The same instant as people count it, milliseconds since 1970-01-01 UTC. */
        long wallMillis();
    }

    Variables(OpcUaServer server, NodeMonitor monitor, Now now) {
        super(server, monitor.namespace());
        this.monitor = monitor;
        this.now = now;
        this.subscriptions = new SubscriptionModel(server, this);
        getLifecycleManager().addLifecycle(subscriptions);
        getLifecycleManager().addStartupTask(this::build);
    }

    private void build() {
        UaFolderNode folder = new UaFolderNode(
                getNodeContext(),
                newNodeId(monitor.name()),
                newQualifiedName(monitor.name()),
                LocalizedText.english(monitor.name()));
        getNodeManager().addNode(folder);
        folder.addReference(new Reference(
                folder.getNodeId(), NodeIds.Organizes, NodeIds.ObjectsFolder.expanded(), Reference.Direction.INVERSE));
        for (Map.Entry<String, NodeValue> node :
                monitor.nodes(now.plantMillis()).entrySet()) {
            UaVariableNode variable = new UaVariableNode.UaVariableNodeBuilder(getNodeContext())
                    .setNodeId(newNodeId(node.getKey()))
                    .setBrowseName(newQualifiedName(node.getKey()))
                    .setDisplayName(LocalizedText.english(node.getKey()))
                    .setDataType(dataType(node.getValue().value()))
                    .setTypeDefinition(NodeIds.BaseDataVariableType)
                    .setAccessLevel(AccessLevel.READ_ONLY)
                    .setUserAccessLevel(AccessLevel.READ_ONLY)
                    .addAttributeFilter(AttributeFilters.getValue(context -> read(node.getKey())))
                    .build();
            getNodeManager().addNode(variable);
            folder.addOrganizes(variable);
        }
    }

    private DataValue read(String id) {
        NodeValue value = monitor.nodes(now.plantMillis()).get(id);
        if (value == null) {
            throw new IllegalStateException(monitor.name() + " has lost its variable " + id);
        }
        boolean bad = (value.statusCode() & 0x8000_0000L) != 0;
        Object carried = value.value() instanceof Long counts ? UInteger.valueOf(counts) : value.value();
        return new DataValue(
                bad ? Variant.NULL_VALUE : new Variant(carried),
                new StatusCode(value.statusCode()),
                new DateTime(java.util.Date.from(java.time.Instant.ofEpochMilli(value.sourceMillis()))),
                new DateTime(java.util.Date.from(java.time.Instant.ofEpochMilli(now.wallMillis()))));
    }

    private static NodeId dataType(Object value) {
        if (value instanceof Long) {
            return NodeIds.UInt32;
        }
        return value instanceof String ? NodeIds.String : NodeIds.Double;
    }

    @Override
    public void onDataItemsCreated(List<DataItem> items) {
        subscriptions.onDataItemsCreated(items);
    }

    @Override
    public void onDataItemsModified(List<DataItem> items) {
        subscriptions.onDataItemsModified(items);
    }

    @Override
    public void onDataItemsDeleted(List<DataItem> items) {
        subscriptions.onDataItemsDeleted(items);
    }

    @Override
    public void onMonitoringModeChanged(List<MonitoredItem> items) {
        subscriptions.onMonitoringModeChanged(items);
    }
}
