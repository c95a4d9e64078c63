package oilbird.alarm.composite;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import oilbird.mapping.signal.IndicationState;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

class ExpressionTest {
    private static Composite composite(String text) {
        Expression expression = Expression.read(text).result().orElseThrow();
        List<Composite.Operand> operands = expression.names().stream()
                .map(n -> n.length() == 1 ? Composite.Operand.indication(n) : Composite.Operand.number(n))
                .toList();
        return expression.check(operands).result().orElseThrow();
    }

    private static IndicationState told(String word) {
        return switch (word) {
            case "true" -> IndicationState.HOLDS;
            case "false" -> IndicationState.DOES_NOT_HOLD;
            default -> IndicationState.CANNOT_BE_TOLD;
        };
    }

    private static Map<String, Object> values(String a, String b) {
        Map<String, Object> values = new HashMap<>();
        if (!a.equals("unknown")) {
            values.put("a", Boolean.valueOf(a));
        }
        if (!b.equals("unknown")) {
            values.put("b", Boolean.valueOf(b));
        }
        return values;
    }

    /** Three-valued logic after Kleene; CEL's definition of its logical operators gives the same. */
    @ParameterizedTest
    @CsvSource({
        "true,    true,    true,    true",
        "true,    false,   false,   true",
        "true,    unknown, unknown, true",
        "false,   true,    false,   true",
        "false,   false,   false,   false",
        "false,   unknown, false,   unknown",
        "unknown, true,    unknown, true",
        "unknown, false,   false,   unknown",
        "unknown, unknown, unknown, unknown",
    })
    void whatCannotBeToldIsAnUnknownOfThreeValuedLogic(String a, String b, String and, String or) {
        assertThat(composite("a && b").evaluate(values(a, b))).isEqualTo(told(and));
        assertThat(composite("a || b").evaluate(values(a, b))).isEqualTo(told(or));
        assertThat(composite("!(a && b)").evaluate(values(a, b)))
                .isEqualTo(composite("!a || !b").evaluate(values(a, b)));
    }

    @Test
    void namesAreSpeltWithUnderscoresAndADotAfterTheDevice() {
        Expression expression = Expression.read("gas_t1.oil_flow < 2.0 && (pump_running || gas_t1.oil_flow > -1.5)")
                .result()
                .orElseThrow();
        assertThat(expression.names()).containsExactly("gas_t1.oil_flow", "pump_running");
        assertThat(expression.character("pump_running")).isEqualTo(27);
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "", " ", "a &&", "a b", "a.b.c", "has(a.b)", "[a].exists(x, x)", "a.size() > 1", "timestamp('x') < a",
                "a == null", "a ? b", "a =~ b", "{'x': a}", "a[0]", "b'x' == a", "((((((a)))))", "\u0000", "a && \uD800"
            })
    void whatIsNotInOurPartOfTheLanguageIsAMistakeWithARemedy(String text) {
        Expression.Read<Expression> read = Expression.read(text);
        assertThat(read.result()).isEmpty();
        assertThat(read.mistakes()).isNotEmpty().allSatisfy(m -> {
            assertThat(m.what()).isNotBlank();
            assertThat(m.remedy()).isNotBlank();
            assertThat(m.character()).isPositive();
        });
    }

    @Test
    void deepNestingIsRefusedAndDoesNotThrow() {
        assertThat(Expression.read("(".repeat(400) + "a" + ")".repeat(400)).result())
                .isEmpty();
        assertThat(Expression.read("!".repeat(900) + "a").mistakes()).isNotNull();
        assertThat(Expression.read("a && ".repeat(300) + "a").result())
                .as("too long")
                .isEmpty();
    }

    @Test
    void arbitraryTextNeverThrows() {
        List<String> pieces = List.of(
                "a",
                "b",
                "oil_flow",
                "gas.flow",
                "2",
                "2.0",
                "1e400",
                "&&",
                "||",
                "!",
                "(",
                ")",
                "<",
                "==",
                "-",
                "+",
                "*",
                "/",
                "?",
                ":",
                ".",
                "in",
                "'",
                "\"",
                "[",
                "]",
                "{",
                " ",
                "true",
                "null",
                "\\",
                "$",
                "0x");
        long seed = 20_260_301L;
        Random random = new Random(seed);
        int good = 0;
        for (int i = 0; i < 3_000; i++) {
            StringBuilder text = new StringBuilder();
            for (int n = 1 + random.nextInt(9); n > 0; n--) {
                text.append(pieces.get(random.nextInt(pieces.size()))).append(random.nextBoolean() ? " " : "");
            }
            Expression.Read<Expression> read = Expression.read(text.toString());
            if (read.result().isPresent()) {
                List<Composite.Operand> operands = new ArrayList<>();
                read.result().get().names().forEach(n -> operands.add(
                        random.nextBoolean() ? Composite.Operand.indication(n) : Composite.Operand.number(n)));
                read.result().get().check(operands).result().ifPresent(c -> c.evaluate(Map.of()));
                good++;
            } else {
                assertThat(read.mistakes()).as("seed %d: %s", seed, text).isNotEmpty();
            }
        }
        assertThat(good).as("expressions among them, seed %d", seed).isGreaterThan(50);
    }

    @Test
    void equalTextsAndTypesAreEqual() {
        assertThat(composite("a && b")).isEqualTo(composite("a && b")).isNotEqualTo(composite("a || b"));
    }
}
