package oilbird.gateway.opcua.server.condition;

import oilbird.gateway.opcua.server.space.Names;
import org.eclipse.milo.opcua.sdk.core.Reference;
import org.eclipse.milo.opcua.sdk.core.ValueRanks;
import org.eclipse.milo.opcua.sdk.server.nodes.UaNodeContext;
import org.eclipse.milo.opcua.sdk.server.nodes.UaObjectTypeNode;
import org.eclipse.milo.opcua.sdk.server.nodes.UaVariableNode;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;

/** Makes our event types: subtypes of the standard's that add what explains an alarm. */
final class ConditionTypes {
    /** Numbers of a type's properties follow on its own number times this. */
    private static final int PLACES = 100;

    private ConditionTypes() {}

    static void make(UaNodeContext nodes, Names names) {
        for (ConditionKind kind : ConditionKind.values()) {
            NodeId id = names.ofType(kind.number());
            UaObjectTypeNode type = UaObjectTypeNode.build(
                    nodes,
                    b -> b.setNodeId(id)
                            .setBrowseName(names.typeName(kind.typeName()))
                            .setDisplayName(LocalizedText.english(kind.typeName()))
                            .setIsAbstract(false)
                            .build());
            nodes.getNodeManager().addNode(type);
            type.addReference(
                    new Reference(id, NodeIds.HasSubtype, kind.base().expanded(), Reference.Direction.INVERSE));
            for (OwnField field : OwnField.values()) {
                NodeId fieldId = names.ofType((long) kind.number() * PLACES + field.ordinal());
                UaVariableNode property = UaVariableNode.build(
                        nodes,
                        b -> b.setNodeId(fieldId)
                                .setAccessLevel(org.eclipse.milo.opcua.sdk.core.AccessLevel.READ_ONLY)
                                .setUserAccessLevel(org.eclipse.milo.opcua.sdk.core.AccessLevel.READ_ONLY)
                                .setBrowseName(names.typeName(field.browseName()))
                                .setDisplayName(LocalizedText.english(field.browseName()))
                                .setDescription(LocalizedText.english(field.says()))
                                .setDataType(field.dataType())
                                .setTypeDefinition(NodeIds.PropertyType)
                                .setValueRank(field.array() ? ValueRanks.OneDimension : ValueRanks.Scalar)
                                .setValue(new DataValue(Variant.NULL_VALUE))
                                .build());
                nodes.getNodeManager().addNode(property);
                type.addReference(
                        new Reference(id, NodeIds.HasProperty, fieldId.expanded(), Reference.Direction.FORWARD));
                property.addReference(new Reference(
                        fieldId,
                        NodeIds.HasModellingRule,
                        NodeIds.ModellingRule_Mandatory.expanded(),
                        Reference.Direction.FORWARD));
            }
        }
    }
}
