package oilbird.gateway.opcua.server.filter;

import java.util.Arrays;
import java.util.Objects;
import java.util.stream.Collectors;
import org.eclipse.milo.opcua.sdk.core.NumericRange;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;
import org.jspecify.annotations.Nullable;

/**
 * One SimpleAttributeOperand, looked at once: a field of an event, or what is wrong with it.
 *
 * @param status Good, or why no event can ever have it; then its value is always null.
 */
record FieldOperand(
        NodeId type,
        String path,
        @Nullable AttributeId attribute,
        @Nullable NumericRange range,
        boolean anyType,
        StatusCode status)
        implements Operand {

    /**
     * Status codes: OPC 10000-4, 7.22.3, result codes of selectClauses (confidence: one source and memory).
     */
    static FieldOperand of(SimpleAttributeOperand operand, EventTypes types) {
        NodeId type = operand.getTypeDefinitionId();
        if (type == null || type.isNull()) {
            type = NodeIds.BaseEventType;
        }
        boolean anyType = type.equals(NodeIds.BaseEventType);
        QualifiedName[] names = Objects.requireNonNullElse(operand.getBrowsePath(), new QualifiedName[0]);
        if (Arrays.stream(names)
                .anyMatch(n -> n == null || n.name() == null || n.name().isEmpty())) {
            return wrong(StatusCodes.Bad_BrowseNameInvalid);
        }
        if (!types.isEventType(type)) {
            return wrong(StatusCodes.Bad_TypeDefinitionInvalid);
        }
        String path = Arrays.stream(names).map(FieldOperand::written).collect(Collectors.joining("/"));
        EventTypes.Declared declared = path.isEmpty()
                ? EventTypes.Declared.OBJECT
                : anyType ? types.declaredAnywhere(path) : types.declared(type, path);
        if (declared == EventTypes.Declared.NOTHING) {
            return wrong(StatusCodes.Bad_NodeIdUnknown);
        }
        AttributeId attribute = operand.getAttributeId() == null
                ? null
                : AttributeId.from(operand.getAttributeId()).orElse(null);
        boolean supported = declared == EventTypes.Declared.OBJECT
                ? attribute == AttributeId.NodeId
                : attribute == AttributeId.Value || attribute == AttributeId.NodeId;
        if (!supported) {
            return wrong(StatusCodes.Bad_AttributeIdInvalid);
        }
        NumericRange range = null;
        String written = operand.getIndexRange();
        if (written != null && !written.isEmpty()) {
            if (declared != EventTypes.Declared.ARRAY || attribute != AttributeId.Value) {
                return wrong(StatusCodes.Bad_IndexRangeInvalid);
            }
            try {
                range = NumericRange.parse(written);
            } catch (UaException e) {
                return wrong(StatusCodes.Bad_IndexRangeInvalid);
            }
        }
        return new FieldOperand(type, path, attribute, range, anyType, StatusCode.GOOD);
    }

    private static FieldOperand wrong(long status) {
        return new FieldOperand(NodeIds.BaseEventType, "", null, null, true, new StatusCode(status));
    }

    static String written(QualifiedName name) {
        return name.namespaceIndex().intValue() == 0
                ? String.valueOf(name.name())
                : name.namespaceIndex() + ":" + name.name();
    }

    @Override
    public @Nullable Object valueOf(FilteredEvent event, EventTypes types, @Nullable Object[] elements) {
        if (attribute == null || (!anyType && !types.isA(event.type(), type))) {
            return null;
        }
        if (attribute == AttributeId.NodeId) {
            return event.node(path);
        }
        Object value = event.value(path);
        if (value == null || range == null) {
            return value;
        }
        try {
            return NumericRange.readFromValueAtRange(value, range);
        } catch (UaException e) {
            return null;
        }
    }
}
