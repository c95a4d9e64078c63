package oilbird.gateway.opcua.server.filter;

import java.util.Objects;
import java.util.UUID;
import org.eclipse.milo.opcua.sdk.server.events.conversions.ImplicitConversions;
import org.eclipse.milo.opcua.stack.core.OpcUaDataType;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UByte;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.ULong;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;
import org.jspecify.annotations.Nullable;

/**
 * Values of operands against each other. Of two types the one of lower precedence is converted first (OPC 10000-4,
 * 7.7.3, data type precedence); the conversions themselves are the library's.
 */
final class Comparison {
    private Comparison() {}

    /** NULL where either is null; false where they have no common type. */
    static @Nullable Boolean equal(@Nullable Object a, @Nullable Object b) {
        if (a == null || b == null) {
            return null;
        }
        if (a.getClass().isArray() || b.getClass().isArray()) {
            return Objects.deepEquals(a, b);
        }
        Object[] common = common(a, b);
        if (common == null) {
            return false;
        }
        if (common[0] instanceof Number) {
            Integer order = order(common[0], common[1]);
            return order != null && order == 0;
        }
        return common[0].equals(common[1]);
    }

    /** Null where they have no common type, or it has no order. */
    static @Nullable Integer compare(Object a, Object b) {
        Object[] common = common(a, b);
        return common == null ? null : order(common[0], common[1]);
    }

    private static Object @Nullable [] common(Object a, Object b) {
        OpcUaDataType typeA = type(a);
        OpcUaDataType typeB = type(b);
        if (typeA == null || typeB == null) {
            return null;
        }
        if (typeA == typeB) {
            return new Object[] {a, b};
        }
        int precedenceA = ImplicitConversions.getPrecedence(typeA);
        int precedenceB = ImplicitConversions.getPrecedence(typeB);
        Object left = precedenceA >= precedenceB ? a : ImplicitConversions.convert(a, typeB);
        Object right = precedenceA >= precedenceB ? ImplicitConversions.convert(b, typeA) : b;
        return left == null || right == null ? null : new Object[] {left, right};
    }

    private static @Nullable OpcUaDataType type(Object value) {
        return OpcUaDataType.fromBackingClass(value.getClass());
    }

    /** Order of two values of one type; null for a type without. */
    private static @Nullable Integer order(Object a, Object b) {
        if (a instanceof Number x && b instanceof Number y) {
            if (a instanceof Double || a instanceof Float) {
                double left = x.doubleValue();
                double right = y.doubleValue();
                // what is no number is beside every order
                return Double.isNaN(left) || Double.isNaN(right) ? null : (Integer) comparePlain(left, right);
            }
            return a instanceof ULong
                    ? Long.compareUnsigned(x.longValue(), y.longValue())
                    : Long.compare(x.longValue(), y.longValue());
        }
        if (a instanceof DateTime x && b instanceof DateTime y) {
            return Long.compare(x.getUtcTime(), y.getUtcTime());
        }
        if (a instanceof String x && b instanceof String y) {
            return x.compareTo(y);
        }
        return null;
    }

    /** Minus zero equals zero. */
    private static int comparePlain(double a, double b) {
        return a < b ? -1 : a > b ? 1 : 0;
    }

    /** A string, or what converts to one by itself; null for anything else. */
    static @Nullable String text(Object value) {
        if (value instanceof String string) {
            return string;
        }
        if (value instanceof LocalizedText localized) {
            return localized.text();
        }
        if (value instanceof QualifiedName name) {
            return name.name();
        }
        return null;
    }

    /** An explicit conversion; null where there is none. */
    static @Nullable Object cast(Object value, NodeId to) {
        OpcUaDataType target = OpcUaDataType.fromNodeId(to);
        OpcUaDataType source = type(value);
        if (target == null || source == null) {
            return null;
        }
        if (source == target) {
            return value;
        }
        Object implicit = ImplicitConversions.convert(value, target);
        if (implicit != null) {
            return implicit;
        }
        if (target == OpcUaDataType.String) {
            return text(value) != null ? text(value) : written(value);
        }
        String text = text(value);
        return text != null ? parsed(text, target) : value instanceof Number n ? narrowed(n, target) : null;
    }

    private static @Nullable String written(Object value) {
        if (value instanceof NodeId id) {
            return id.toParseableString();
        }
        if (value instanceof ByteString) {
            return null;
        }
        return value instanceof Number || value instanceof Boolean || value instanceof UUID ? value.toString() : null;
    }

    private static @Nullable Object parsed(String text, OpcUaDataType target) {
        try {
            return switch (target) {
                case Boolean ->
                    text.equals("true") || text.equals("1")
                            ? Boolean.TRUE
                            : text.equals("false") || text.equals("0") ? Boolean.FALSE : null;
                case SByte -> Byte.valueOf(text);
                case Byte -> UByte.valueOf(text);
                case Int16 -> Short.valueOf(text);
                case UInt16 -> UShort.valueOf(text);
                case Int32 -> Integer.valueOf(text);
                case UInt32 -> UInteger.valueOf(text);
                case Int64 -> Long.valueOf(text);
                case UInt64 -> ULong.valueOf(text);
                case Float -> Float.valueOf(text);
                case Double -> Double.valueOf(text);
                case Guid -> UUID.fromString(text);
                case NodeId -> NodeId.parse(text);
                case LocalizedText -> LocalizedText.english(text);
                default -> null;
            };
        } catch (RuntimeException e) {
            return null;
        }
    }

    /** Null where the number does not fit. */
    private static @Nullable Object narrowed(Number number, OpcUaDataType target) {
        double value = number.doubleValue();
        if (target == OpcUaDataType.Boolean) {
            return value != 0;
        }
        if (target == OpcUaDataType.Double) {
            return value;
        }
        if (target == OpcUaDataType.Float) {
            return (float) value;
        }
        if (Double.isNaN(value)) {
            return null;
        }
        long whole = number instanceof Double || number instanceof Float ? Math.round(value) : number.longValue();
        return parsed(Long.toString(whole), target);
    }

    /** Bits of two integers, in the wider of their types; null for what is no integer. */
    static @Nullable Object bitwise(@Nullable Object a, @Nullable Object b, boolean and) {
        if (a == null || b == null) {
            return null;
        }
        Object[] common = common(a, b);
        if (common == null
                || !(common[0] instanceof Number x)
                || !(common[1] instanceof Number y)
                || x instanceof Double
                || x instanceof Float) {
            return null;
        }
        long bits = and ? x.longValue() & y.longValue() : x.longValue() | y.longValue();
        OpcUaDataType type = type(common[0]);
        return type == null
                ? null
                : switch (type) {
                    case SByte -> (byte) bits;
                    case Byte -> UByte.valueOf(bits & 0xFF);
                    case Int16 -> (short) bits;
                    case UInt16 -> UShort.valueOf((int) (bits & 0xFFFF));
                    case Int32 -> (int) bits;
                    case UInt32 -> UInteger.valueOf(bits & 0xFFFFFFFFL);
                    case Int64 -> bits;
                    case UInt64 -> ULong.valueOf(bits);
                    default -> null;
                };
    }
}
