package oilbird.gateway.opcua.server.condition;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;
import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ushort;

import java.util.function.Function;
import org.eclipse.milo.opcua.sdk.core.Reference;
import org.eclipse.milo.opcua.sdk.server.model.objects.AlarmMetricsTypeNode;
import org.eclipse.milo.opcua.sdk.server.nodes.UaNodeContext;
import org.eclipse.milo.opcua.sdk.server.nodes.UaVariableNode;
import org.eclipse.milo.opcua.sdk.server.nodes.factories.NodeFactory;
import org.eclipse.milo.opcua.sdk.server.nodes.filters.AttributeFilters;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;

/** The object of the alarm metrics, below the station. */
final class MetricsNode {
    private MetricsNode() {}

    static void make(ServerSide side, AlarmMetrics metrics) {
        UaNodeContext nodes = side.typeNodes();
        NodeId id = ConditionNodes.metrics(side.names());
        AlarmMetricsTypeNode node;
        try {
            node = (AlarmMetricsTypeNode) new NodeFactory(nodes).createNode(id, NodeIds.AlarmMetricsType);
        } catch (UaException e) {
            throw new IllegalStateException("the library has no type for alarm metrics", e);
        }
        node.setBrowseName(side.names().typeName("AlarmMetrics"));
        node.setDisplayName(LocalizedText.english("Alarm metrics"));
        node.addReference(new Reference(
                id, NodeIds.HasComponent, side.names().ofStation().expanded(), Reference.Direction.INVERSE));
        serve(side, metrics, node.getAlarmCountNode(), f -> uint(f.count()));
        serve(side, metrics, node.getStartTimeNode(), f -> ConditionEvent.time(f.startMillis()));
        serve(side, metrics, node.getMaximumActiveStateNode(), AlarmMetrics.Figures::maximumActiveMillis);
        serve(side, metrics, node.getMaximumUnAckNode(), AlarmMetrics.Figures::maximumUnacknowledgedMillis);
        serve(side, metrics, node.getCurrentAlarmRateNode(), AlarmMetrics.Figures::currentRate);
        serve(side, metrics, node.getMaximumAlarmRateNode(), AlarmMetrics.Figures::maximumRate);
        serve(side, metrics, node.getAverageAlarmRateNode(), AlarmMetrics.Figures::averageRate);
        serve(side, metrics, node.getMaximumReAlarmCountNode(), f -> uint(f.maximumReAlarms()));
        node.getCurrentAlarmRateNode().setRate(ushort(AlarmMetrics.RATE_MINUTES));
        node.getMaximumAlarmRateNode().setRate(ushort(AlarmMetrics.RATE_MINUTES));
        node.getAverageAlarmRateNode().setRate(ushort(AlarmMetrics.RATE_MINUTES));
    }

    private static void serve(
            ServerSide side, AlarmMetrics metrics, UaVariableNode node, Function<AlarmMetrics.Figures, Object> figure) {
        node.getFilterChain()
                .addLast(AttributeFilters.getValue(ctx -> new DataValue(
                        new Variant(figure.apply(metrics.figures(side.now()))),
                        org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode.GOOD,
                        ConditionEvent.time(side.now().wallMillis()))));
    }
}
