package oilbird.gateway.opcua.server.filter;

import static org.assertj.core.api.Assertions.assertThat;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.UaStructuredType;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.enumerated.FilterOperator;
import org.eclipse.milo.opcua.stack.core.types.structured.ElementOperand;
import org.eclipse.milo.opcua.stack.core.types.structured.LiteralOperand;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;

/**
 * Random filters on random events, against a twin written from the words of OPC 10000-4, 7.7.3 alone: logic by tables of
 * characters, numbers as decimals, Like by trying every split, no compiling.
 */
class FilterTwinTest {
    private static final int FILTERS = 20_000;
    private static final String[] FIELDS = {"A", "B", "C"};

    private record Tree(List<FilterOperator> operators, List<List<UaStructuredType>> operands) {}

    @Test
    void theEvaluatorAgreesWithItsNaiveTwin() {
        long seed = 20_261_130L;
        Random random = new Random(seed);
        int passed = 0;
        int notNull = 0;
        for (int i = 0; i < FILTERS; i++) {
            Tree tree = tree(random);
            FilterBuilder builder = new FilterBuilder();
            for (int e = 0; e < tree.operators().size(); e++) {
                builder.and(tree.operators().get(e), tree.operands().get(e).toArray(UaStructuredType[]::new));
            }
            CompiledFilter filter = builder.compile();
            assertThat(filter.status()).as("seed %d, filter %d", seed, i).isEqualTo(StatusCode.GOOD);
            Map<String, Object> values = new HashMap<>();
            for (String field : FIELDS) {
                Object value = value(random);
                if (value != null) {
                    values.put(field, value);
                }
            }
            Object twin = twin(tree, 0, values);
            notNull += twin == null ? 0 : 1;
            boolean expected = Boolean.TRUE.equals(twin);
            passed += expected ? 1 : 0;
            assertThat(filter.passes(SmallTypes.event(NodeIds.AlarmConditionType, values)))
                    .as("seed %d, filter %d: %s on %s", seed, i, tree, values)
                    .isEqualTo(expected);
        }
        // neither always true nor always null, or nothing was compared
        assertThat(passed).isBetween(FILTERS / 10, FILTERS * 9 / 10);
        assertThat(notNull).isGreaterThan(FILTERS / 2);
    }

    private static Tree tree(Random random) {
        List<FilterOperator> operators = new ArrayList<>();
        List<List<UaStructuredType>> operands = new ArrayList<>();
        int size = 1 + random.nextInt(7);
        for (int i = 0; i < size; i++) {
            FilterOperator operator = operator(random, i < size - 1);
            operators.add(operator);
            List<UaStructuredType> of = new ArrayList<>();
            boolean logic =
                    operator == FilterOperator.And || operator == FilterOperator.Or || operator == FilterOperator.Not;
            int count = switch (operator) {
                case Not, IsNull -> 1;
                case Between -> 3;
                case InList -> 2 + random.nextInt(3);
                default -> 2;
            };
            for (int o = 0; o < count; o++) {
                if (logic && i < size - 1 && random.nextInt(5) > 0) {
                    of.add(FilterBuilder.element(i + 1 + random.nextInt(size - i - 1)));
                } else if (operator == FilterOperator.Like && o == 1) {
                    of.add(FilterBuilder.literal(pattern(random)));
                } else if (o == 0 || random.nextInt(3) == 0) {
                    of.add(FilterBuilder.field(FIELDS[random.nextInt(FIELDS.length)]));
                } else {
                    Object value = value(random);
                    of.add(FilterBuilder.literal(value));
                }
            }
            operands.add(of);
        }
        return new Tree(operators, operands);
    }

    private static FilterOperator operator(Random random, boolean more) {
        FilterOperator[] logic = {FilterOperator.And, FilterOperator.Or, FilterOperator.Not};
        FilterOperator[] leaves = {
            FilterOperator.Equals,
            FilterOperator.IsNull,
            FilterOperator.GreaterThan,
            FilterOperator.GreaterThanOrEqual,
            FilterOperator.LessThan,
            FilterOperator.LessThanOrEqual,
            FilterOperator.Between,
            FilterOperator.InList,
            FilterOperator.Like
        };
        return more && random.nextInt(3) > 0
                ? logic[random.nextInt(logic.length)]
                : leaves[random.nextInt(leaves.length)];
    }

    private static @Nullable Object value(Random random) {
        return switch (random.nextInt(6)) {
            case 0 -> null;
            case 1 -> random.nextBoolean();
            case 2 -> random.nextInt(4);
            case 3 -> random.nextInt(8) / 2.0;
            default -> text(random);
        };
    }

    private static String text(Random random) {
        StringBuilder text = new StringBuilder();
        for (int i = random.nextInt(4); i > 0; i--) {
            text.append("abc%_".charAt(random.nextInt(5)));
        }
        return text.toString();
    }

    private static String pattern(Random random) {
        StringBuilder pattern = new StringBuilder();
        for (int i = random.nextInt(4); i > 0; i--) {
            pattern.append(new String[] {"a", "b", "%", "_", "\\%", "[ab]", "[^a]", "[a-b]"}[random.nextInt(8)]);
        }
        return pattern.toString();
    }

    // ---- the twin

    private static @Nullable Object twin(Tree tree, int element, Map<String, Object> event) {
        List<Object> values = new ArrayList<>();
        for (UaStructuredType operand : tree.operands().get(element)) {
            if (operand instanceof ElementOperand of) {
                values.add(twin(tree, of.getIndex().intValue(), event));
            } else if (operand instanceof LiteralOperand literal) {
                values.add(literal.getValue().value());
            } else {
                values.add(event.get(((SimpleAttributeOperand) operand).getBrowsePath()[0].name()));
            }
        }
        Object first = values.get(0);
        Object second = values.size() > 1 ? values.get(1) : null;
        return switch (tree.operators().get(element)) {
            case And -> table("FFFFNNFNT", first, second);
            case Or -> table("FNTNNTTTT", first, second);
            case Not -> first instanceof Boolean b ? (Object) !b : null;
            case IsNull -> first == null;
            case Equals -> equal(first, second);
            case GreaterThan -> order(first, second, 1, 1);
            case GreaterThanOrEqual -> order(first, second, 0, 1);
            case LessThan -> order(first, second, -1, -1);
            case LessThanOrEqual -> order(first, second, -1, 0);
            case Between -> table("FFFFNNFNT", order(first, second, 0, 1), order(first, values.get(2), -1, 0));
            case InList -> {
                Object result = false;
                for (Object other : values.subList(1, values.size())) {
                    result = table("FNTNNTTTT", result, equal(first, other));
                }
                yield result;
            }
            case Like ->
                first == null || second == null
                        ? null
                        : (Object) (first instanceof String text && like(text, (String) second));
            default -> throw new IllegalArgumentException();
        };
    }

    /** Rows and columns: F, N, T. */
    private static @Nullable Object table(String table, @Nullable Object a, @Nullable Object b) {
        char c = table.charAt(3 * place(a) + place(b));
        return c == 'N' ? null : (Object) (c == 'T');
    }

    private static int place(@Nullable Object value) {
        return value instanceof Boolean b ? b ? 2 : 0 : 1;
    }

    private static @Nullable Boolean equal(@Nullable Object a, @Nullable Object b) {
        if (a == null || b == null) {
            return null;
        }
        BigDecimal x = number(a, b);
        BigDecimal y = number(b, a);
        if (x != null && y != null) {
            return x.compareTo(y) == 0;
        }
        return a instanceof String && b instanceof String && a.equals(b);
    }

    private static @Nullable Boolean order(@Nullable Object a, @Nullable Object b, int from, int to) {
        if (a == null || b == null) {
            return null;
        }
        BigDecimal x = number(a, b);
        BigDecimal y = number(b, a);
        // two Booleans have no order, though each converts to a number
        if (x != null && y != null && !(a instanceof Boolean && b instanceof Boolean)) {
            int sign = x.compareTo(y);
            return sign >= from && sign <= to;
        }
        if (a instanceof String s && b instanceof String t) {
            int sign = Integer.signum(s.compareTo(t));
            return sign >= from && sign <= to;
        }
        return false;
    }

    /** Booleans convert to numbers by themselves; of these texts only none does. */
    private static @Nullable BigDecimal number(Object value, Object beside) {
        if (value instanceof Integer i) {
            return BigDecimal.valueOf(i);
        }
        if (value instanceof Double d) {
            return BigDecimal.valueOf(d);
        }
        if (value instanceof Boolean b && !(beside instanceof String)) {
            return b ? BigDecimal.ONE : BigDecimal.ZERO;
        }
        return null;
    }

    private static boolean like(String text, String pattern) {
        if (pattern.isEmpty()) {
            return text.isEmpty();
        }
        if (pattern.charAt(0) == '%') {
            for (int i = 0; i <= text.length(); i++) {
                if (like(text.substring(i), pattern.substring(1))) {
                    return true;
                }
            }
            return false;
        }
        if (text.isEmpty()) {
            return false;
        }
        char c = text.charAt(0);
        if (pattern.charAt(0) == '_') {
            return like(text.substring(1), pattern.substring(1));
        }
        if (pattern.charAt(0) == '\\') {
            return c == pattern.charAt(1) && like(text.substring(1), pattern.substring(2));
        }
        if (pattern.charAt(0) == '[') {
            int end = pattern.indexOf(']');
            String list = pattern.substring(1, end);
            boolean in = switch (list) {
                case "ab", "a-b" -> c == 'a' || c == 'b';
                case "^a" -> c != 'a';
                default -> throw new IllegalArgumentException(list);
            };
            return in && like(text.substring(1), pattern.substring(end + 1));
        }
        return c == pattern.charAt(0) && like(text.substring(1), pattern.substring(1));
    }
}
