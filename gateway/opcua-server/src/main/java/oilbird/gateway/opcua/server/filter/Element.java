package oilbird.gateway.opcua.server.filter;

import java.util.List;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.enumerated.FilterOperator;
import org.jspecify.annotations.Nullable;

/**
 * One operator with its operands (OPC 10000-4, 7.7.3). Logic has three values; NULL is Java's null.
 *
 * @param operands as many as the operator takes.
 */
record Element(FilterOperator operator, List<Operand> operands) {
    /**
     * The operator's value for an event.
     *
     * @param later values of the elements after this one, at their places.
     */
    @Nullable
    Object valueOf(FilteredEvent event, EventTypes types, @Nullable Object[] later) {
        Object[] values = new Object[operands.size()];
        for (int i = 0; i < values.length; i++) {
            values[i] = operands.get(i).valueOf(event, types, later);
        }
        Object first = values[0];
        Object second = values.length > 1 ? values[1] : null;
        return switch (operator) {
            case And -> and(truth(first), truth(second));
            case Or -> or(truth(first), truth(second));
            case Not -> not(truth(first));
            case IsNull -> first == null;
            case Equals -> Comparison.equal(first, second);
            case GreaterThan -> ordered(first, second, Order.AFTER);
            case GreaterThanOrEqual -> ordered(first, second, Order.NOT_BEFORE);
            case LessThan -> ordered(first, second, Order.BEFORE);
            case LessThanOrEqual -> ordered(first, second, Order.NOT_AFTER);
            case Between -> and(ordered(first, second, Order.NOT_BEFORE), ordered(first, values[2], Order.NOT_AFTER));
            case InList -> inList(values);
            case Like -> like(first, second);
            case OfType -> first instanceof NodeId type && types.isA(event.type(), type);
            case Cast -> first == null || !(second instanceof NodeId type) ? null : Comparison.cast(first, type);
            case BitwiseAnd -> Comparison.bitwise(first, second, true);
            case BitwiseOr -> Comparison.bitwise(first, second, false);
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

    /** What cannot be resolved to a Boolean is NULL. */
    private static @Nullable Boolean truth(@Nullable Object value) {
        return value instanceof Boolean truth ? truth : null;
    }

    private static @Nullable Boolean and(@Nullable Boolean a, @Nullable Boolean b) {
        if (Boolean.FALSE.equals(a) || Boolean.FALSE.equals(b)) {
            return false;
        }
        return a == null || b == null ? null : Boolean.TRUE;
    }

    private static @Nullable Boolean or(@Nullable Boolean a, @Nullable Boolean b) {
        if (Boolean.TRUE.equals(a) || Boolean.TRUE.equals(b)) {
            return true;
        }
        return a == null || b == null ? null : Boolean.FALSE;
    }

    private static @Nullable Boolean not(@Nullable Boolean of) {
        return of == null ? null : (Boolean) !of;
    }

    private static @Nullable Boolean ordered(@Nullable Object a, @Nullable Object b, Order order) {
        if (a == null || b == null) {
            return null;
        }
        Integer comparison = Comparison.compare(a, b);
        return comparison != null && order.holds(comparison);
    }

    /** As Equals with each of the others, joined by Or. */
    private static @Nullable Boolean inList(@Nullable Object[] values) {
        Boolean found = Boolean.FALSE;
        for (int i = 1; i < values.length; i++) {
            found = or(found, Comparison.equal(values[0], values[i]));
        }
        return found;
    }

    private static @Nullable Boolean like(@Nullable Object subject, @Nullable Object pattern) {
        if (subject == null || pattern == null) {
            return null;
        }
        String text = Comparison.text(subject);
        String like = Comparison.text(pattern);
        LikePattern compiled =
                pattern instanceof LikePattern ready ? ready : like == null ? null : LikePattern.compile(like);
        return text != null && compiled != null && compiled.matches(text);
    }
}
