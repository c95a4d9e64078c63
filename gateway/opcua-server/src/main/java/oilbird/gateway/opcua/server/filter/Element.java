package oilbird.gateway.opcua.server.filter;

import java.util.List;
import java.util.regex.Pattern;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.enumerated.FilterOperator;
import org.jspecify.annotations.Nullable;

/**
 * One operator with its operands (OPC 10000-4, 7.7.3). Logic has three values; NULL is Java's null.
 *
 * @param operands as many as the operator takes; an element of the filter stands after this one.
 */
record Element(FilterOperator operator, List<Operand> operands) implements Operand {
    @Override
    public @Nullable Object valueOf(FilteredEvent event, EventTypes types) {
        return switch (operator) {
            case And -> and(bool(event, types, 0), () -> bool(event, types, 1));
            case Or -> or(bool(event, types, 0), () -> bool(event, types, 1));
            case Not -> not(bool(event, types, 0));
            case IsNull -> value(event, types, 0) == null;
            case Equals -> Comparison.equal(value(event, types, 0), value(event, types, 1));
            case GreaterThan -> ordered(event, types, 0, 1, Order.AFTER);
            case GreaterThanOrEqual -> ordered(event, types, 0, 1, Order.NOT_BEFORE);
            case LessThan -> ordered(event, types, 0, 1, Order.BEFORE);
            case LessThanOrEqual -> ordered(event, types, 0, 1, Order.NOT_AFTER);
            case Between ->
                and(ordered(event, types, 0, 1, Order.NOT_BEFORE), () -> ordered(event, types, 0, 2, Order.NOT_AFTER));
            case InList -> inList(event, types);
            case Like -> like(event, types);
            case OfType -> ofType(event, types);
            case Cast -> cast(event, types);
            case BitwiseAnd -> Comparison.bitwise(value(event, types, 0), value(event, types, 1), true);
            case BitwiseOr -> Comparison.bitwise(value(event, types, 0), value(event, types, 1), false);
            case InView, RelatedTo -> null;
        };
    }

    private enum Order {
        BEFORE,
        NOT_AFTER,
        NOT_BEFORE,
        AFTER;

        boolean holds(int comparison) {
            return switch (this) {
                case BEFORE -> comparison < 0;
                case NOT_AFTER -> comparison <= 0;
                case NOT_BEFORE -> comparison >= 0;
                case AFTER -> comparison > 0;
            };
        }
    }

    private interface Later {
        @Nullable
        Boolean get();
    }

    private static @Nullable Boolean and(@Nullable Boolean first, Later second) {
        if (Boolean.FALSE.equals(first)) {
            return false;
        }
        Boolean other = second.get();
        return Boolean.FALSE.equals(other) ? Boolean.FALSE : first == null || other == null ? null : Boolean.TRUE;
    }

    private static @Nullable Boolean or(@Nullable Boolean first, Later second) {
        if (Boolean.TRUE.equals(first)) {
            return true;
        }
        Boolean other = second.get();
        return Boolean.TRUE.equals(other) ? Boolean.TRUE : first == null || other == null ? null : Boolean.FALSE;
    }

    private static @Nullable Boolean not(@Nullable Boolean of) {
        return of == null ? null : (Boolean) !of;
    }

    private @Nullable Object value(FilteredEvent event, EventTypes types, int operand) {
        return operands.get(operand).valueOf(event, types);
    }

    /** What cannot be resolved to a Boolean is NULL. */
    private @Nullable Boolean bool(FilteredEvent event, EventTypes types, int operand) {
        return value(event, types, operand) instanceof Boolean truth ? truth : null;
    }

    private @Nullable Boolean ordered(FilteredEvent event, EventTypes types, int left, int right, Order order) {
        Object a = value(event, types, left);
        Object b = value(event, types, right);
        if (a == null || b == null) {
            return null;
        }
        Integer comparison = Comparison.compare(a, b);
        return comparison != null && order.holds(comparison);
    }

    /** As Equals with each of the others, joined by Or. */
    private @Nullable Boolean inList(FilteredEvent event, EventTypes types) {
        Object sought = value(event, types, 0);
        Boolean found = Boolean.FALSE;
        for (int i = 1; i < operands.size(); i++) {
            Boolean equal = Comparison.equal(sought, value(event, types, i));
            if (Boolean.TRUE.equals(equal)) {
                return true;
            }
            found = equal == null ? null : found;
        }
        return found;
    }

    private @Nullable Boolean like(FilteredEvent event, EventTypes types) {
        Object subject = value(event, types, 0);
        Object pattern = value(event, types, 1);
        if (subject == null || pattern == null) {
            return null;
        }
        String text = Comparison.text(subject);
        String like = pattern instanceof Pattern ? "" : Comparison.text(pattern);
        if (text == null || like == null) {
            return false;
        }
        Pattern compiled = pattern instanceof Pattern ready ? ready : LikePattern.compile(like);
        return compiled != null && compiled.matcher(text).matches();
    }

    private Boolean ofType(FilteredEvent event, EventTypes types) {
        Object type = value(event, types, 0);
        return type instanceof NodeId id && types.isA(event.type(), id);
    }

    private @Nullable Object cast(FilteredEvent event, EventTypes types) {
        Object from = value(event, types, 0);
        Object to = value(event, types, 1);
        return from == null || !(to instanceof NodeId type) ? null : Comparison.cast(from, type);
    }
}
