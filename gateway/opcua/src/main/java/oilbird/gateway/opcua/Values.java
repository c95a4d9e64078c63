package oilbird.gateway.opcua;

import java.util.UUID;
import oilbird.mapping.address.NodeContent;
import oilbird.mapping.address.NodeValue;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.UaEnumeratedType;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UByte;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.ULong;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;
import org.jspecify.annotations.Nullable;

/** The library's values in the words of the mapping. */
final class Values {
    /** The code itself, without the bits that tell of limits, overflow and the like: OPC UA Part 4, 7.39. */
    private static final long CODE = 0xFFFF_0000L;

    private Values() {}

    static NodeValue of(DataValue value) {
        StatusCode status = value.statusCode() == null ? StatusCode.GOOD : value.statusCode();
        return new NodeValue(
                content(value.value() == null ? null : value.value().value()),
                status.value(),
                name(status),
                millis(value.sourceTime()),
                millis(value.serverTime()));
    }

    /** A node without a value, for this reason. */
    static NodeValue without(StatusCode status) {
        return new NodeValue(new NodeContent.None(), status.value(), name(status), null, null);
    }

    /** For example {@code Bad_NodeIdUnknown}; the number where the standard has no name for it. */
    static String name(StatusCode status) {
        return StatusCodes.lookup(status.value() & CODE)
                .map(named -> named[0])
                .orElseGet(() -> String.format("0x%08X", status.value()));
    }

    private static @Nullable Long millis(@Nullable DateTime time) {
        return time == null || time.getUtcTime() == 0 ? null : (Long) time.getJavaTime();
    }

    private static NodeContent content(@Nullable Object value) {
        if (value == null) {
            return new NodeContent.None();
        }
        if (value instanceof UByte octet) {
            return new NodeContent.Whole(octet.longValue(), 8, false);
        }
        if (value instanceof UShort word) {
            return new NodeContent.Whole(word.longValue(), 16, false);
        }
        if (value instanceof UInteger word) {
            return new NodeContent.Whole(word.longValue(), 32, false);
        }
        if (value instanceof ULong word) {
            return new NodeContent.Whole(word.longValue(), 64, false);
        }
        if (value instanceof StatusCode code) {
            return new NodeContent.Whole(code.value() & 0xFFFF_FFFFL, 32, false);
        }
        if (value instanceof UaEnumeratedType enumerated) {
            return NodeContent.of(enumerated.getValue());
        }
        if (value instanceof DateTime time) {
            return new NodeContent.Time(time.getJavaTime());
        }
        if (value instanceof LocalizedText text) {
            return text.text() == null ? new NodeContent.None() : new NodeContent.Text(text.text());
        }
        if (value instanceof QualifiedName name) {
            return name.name() == null ? new NodeContent.None() : new NodeContent.Text(name.name());
        }
        if (value instanceof UUID guid) {
            return new NodeContent.Text(guid.toString());
        }
        if (value.getClass().isArray()) {
            return new NodeContent.Other(
                    "array of " + value.getClass().getComponentType().getSimpleName());
        }
        return NodeContent.of(value);
    }
}
