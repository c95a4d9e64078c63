package oilbird.gateway.opcua.server.filter;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.encoding.DefaultEncodingContext;
import org.eclipse.milo.opcua.stack.core.types.UaStructuredType;
import org.eclipse.milo.opcua.stack.core.types.builtin.ExtensionObject;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.enumerated.FilterOperator;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.ElementOperand;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.LiteralOperand;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;
import org.jspecify.annotations.Nullable;

/** Builds where clauses element by element, the first one first. */
final class FilterBuilder {
    private final List<ContentFilterElement> elements = new ArrayList<>();

    static FilterBuilder where(FilterOperator operator, UaStructuredType... operands) {
        return new FilterBuilder().and(operator, operands);
    }

    /** Adds the next element. */
    FilterBuilder and(FilterOperator operator, UaStructuredType... operands) {
        elements.add(new ContentFilterElement(
                operator,
                Arrays.stream(operands)
                        .map(o -> ExtensionObject.encode(DefaultEncodingContext.INSTANCE, o))
                        .toArray(ExtensionObject[]::new)));
        return this;
    }

    static LiteralOperand literal(@Nullable Object value) {
        return new LiteralOperand(new Variant(value));
    }

    static ElementOperand element(int index) {
        return new ElementOperand(UInteger.valueOf(index));
    }

    static SimpleAttributeOperand field(String path) {
        return field(NodeIds.BaseEventType, path);
    }

    static SimpleAttributeOperand field(NodeId type, String path) {
        return new SimpleAttributeOperand(
                type,
                Arrays.stream(path.split("/")).map(p -> new QualifiedName(0, p)).toArray(QualifiedName[]::new),
                AttributeId.Value.uid(),
                null);
    }

    CompiledFilter compile() {
        return compile(field("EventId"));
    }

    CompiledFilter compile(SimpleAttributeOperand... select) {
        return CompiledFilter.of(
                new EventFilter(select, new ContentFilter(elements.toArray(ContentFilterElement[]::new))),
                new SmallTypes(),
                DefaultEncodingContext.INSTANCE);
    }
}
