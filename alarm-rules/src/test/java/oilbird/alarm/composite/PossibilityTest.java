package oilbird.alarm.composite;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import oilbird.mapping.signal.IndicationState;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Which expressions can be said never to hold, or never not to. */
class PossibilityTest {
    private static final List<String> TEXTS = List.of("idle", "filling", "measuring");
    private static final List<Composite.Operand> OPERANDS = List.of(
            Composite.Operand.indication("a"),
            Composite.Operand.indication("b"),
            Composite.Operand.number("x", 0, 5),
            Composite.Operand.number("y", -40, 120),
            Composite.Operand.number("z"),
            Composite.Operand.field("state", TEXTS));

    private static Composite composite(String text) {
        Expression expression = Expression.read(text).result().orElseThrow();
        return expression
                .check(OPERANDS.stream()
                        .filter(o -> expression.names().contains(o.name()))
                        .toList())
                .result()
                .orElseThrow();
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "a && !a",
                "x < 1.0 && x > 2.0",
                "x < 2.0 && x >= 2.0",
                "x > 2.0 && 1.0 > x",
                "z == 3.0 && z != 3.0",
                "(x < 1.0 || x > 4.0) && x > 2.0 && x < 3.0",
                "x > 5.0",
                "y + 10.0 > 150.0",
                "x - y > 50.0",
                "x - y > 0.1 && y - x > 0.1",
                "z < y && z > y",
                "2.0 * z > 6.0 && z < 2.0",
                "-z > 1.0 && z > 0.0",
                "z < z",
                "x + 1.0 < x",
                "1.0 > 2.0 || (a && false)",
                "a == b && a && !b",
                "a != b && (a && b || !a && !b)",
                "(a ? x > 3.0 : x > 4.0) && x < 2.0",
                "state == 'idle' && state == 'filling'",
                "state != 'idle' && state != 'filling' && state != 'measuring'",
                "state == 'idle' && !(state != 'measuring')",
            })
    void whatContradictsItselfIsFound(String text) {
        assertThat(composite(text).possible(true)).isFalse();
        assertThat(composite("!(" + text + ")").possible(false)).isFalse();
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "a || !a",
                "x < 3.0 || x > 2.0",
                "x <= 5.0",
                "y >= -40.0",
                "state == 'idle' || state != 'idle'",
                "state == 'idle' || state == 'filling' || state == 'measuring'",
            })
    void whatIsAlwaysSoIsFound(String text) {
        assertThat(composite(text).possible(false)).isFalse();
        assertThat(composite(text).possible(true)).isTrue();
    }

    @ParameterizedTest
    @ValueSource(
            strings = {
                "a && b",
                "x >= 2.0 && x <= 2.0",
                "x < 2.0 || x > 3.0",
                "x - y > 40.0",
                "z > 1000000.0",
                "state == 'idle' && a",
                "x == y",
                // Adding and taking away rounds: a comparison of the last digit may come true on a real processor.
                "z + 0.1 - 0.1 > z",
                "z * 0.1 > 0.3 && z <= 3.0",
                "z + 1.0 <= z",
                // Not seen, as stated: a product, and three sums that contradict each other only together.
                "z * z < 0.0",
                "x - y > 1.0 && y - z > 1.0 && z - x > 1.0",
            })
    void whatMayComeTrueIsNeverDenied(String text) {
        assertThat(composite(text).possible(true)).isTrue();
    }

    @Test
    void anExpressionWithTooManyAlternativesIsNotJudged() {
        StringBuilder text = new StringBuilder("a && !a");
        for (int i = 0; i < 11; i++) {
            text.append(" && (x > ").append(i).append(".5 || y > ").append(i).append(".0 || z > ").append(i).append(".0)");
        }
        assertThat(composite("(" + text.substring("a && !a && ".length()) + ") && a && !a").possible(true)).isTrue();
    }

    @Test
    void aConditionThatIsAlwaysHiddenIsFound() {
        Composite condition = composite("x > 3.0 && a");
        assertThat(condition.possibleWithout(composite("a"), n -> n, n -> n)).isFalse();
        assertThat(condition.possibleWithout(composite("x > 2.0"), n -> n, n -> n)).isFalse();
        assertThat(condition.possibleWithout(composite("x > 4.0"), n -> n, n -> n)).isTrue();
        assertThat(condition.possibleWithout(composite("a"), n -> n, n -> "other/" + n))
                .as("the same name of another device")
                .isTrue();
    }

    // ---- against evaluation itself

    private static final double[] NUMBERS = {-40, -1, 0, 1, 2, 2.5, 3, 4, 5, 60, 120};

    private static String number(SplittableRandom random) {
        String[] numbers = {"-1.0", "0.0", "1.0", "2.0", "2.5", "3.0", "5.0", "60.0"};
        return numbers[random.nextInt(numbers.length)];
    }

    private static String sum(SplittableRandom random, int depth) {
        return switch (random.nextInt(depth == 0 ? 2 : 5)) {
            case 0 -> List.of("x", "y", "z").get(random.nextInt(3));
            case 1 -> number(random);
            case 2 -> "(" + sum(random, depth - 1) + " + " + sum(random, depth - 1) + ")";
            case 3 -> "(" + sum(random, depth - 1) + " - " + sum(random, depth - 1) + ")";
            default -> "(" + number(random) + " * " + sum(random, depth - 1) + ")";
        };
    }

    private static String expression(SplittableRandom random, int depth) {
        String[] relations = {"<", "<=", ">", ">=", "==", "!="};
        return switch (random.nextInt(depth == 0 ? 4 : 9)) {
            case 0 -> random.nextBoolean() ? "a" : "b";
            case 1 -> "state " + (random.nextBoolean() ? "==" : "!=") + " '" + TEXTS.get(random.nextInt(3)) + "'";
            case 2, 3 -> sum(random, 1) + " " + relations[random.nextInt(6)] + " " + sum(random, 1);
            case 4 -> "!(" + expression(random, depth - 1) + ")";
            case 5, 6 -> "(" + expression(random, depth - 1) + " && " + expression(random, depth - 1) + ")";
            case 7 -> "(" + expression(random, depth - 1) + " || " + expression(random, depth - 1) + ")";
            default ->
                "(" + expression(random, depth - 1) + " ? " + expression(random, depth - 1) + " : "
                        + expression(random, depth - 1) + ")";
        };
    }

    private static Map<String, Object> values(SplittableRandom random) {
        Map<String, Object> values = new HashMap<>();
        values.put("a", random.nextBoolean());
        values.put("b", random.nextBoolean());
        values.put("x", new double[] {0, 1, 2, 2.5, 3, 4, 5}[random.nextInt(7)]);
        values.put("y", NUMBERS[random.nextInt(NUMBERS.length)]);
        values.put("z", NUMBERS[random.nextInt(NUMBERS.length)]);
        values.put("state", TEXTS.get(random.nextInt(3)));
        values.keySet().removeIf(name -> random.nextInt(12) == 0);
        return values;
    }

    @Test
    void nothingThatEvaluationFindsIsEverDenied() {
        long seed = 20_260_301;
        SplittableRandom random = new SplittableRandom(seed);
        int denied = 0;
        int judged = 0;
        while (judged < 1_500) {
            String text = expression(random, 3);
            if (text.length() > Expression.LONGEST
                    || Expression.read(text).result().isEmpty()) {
                continue;
            }
            judged++;
            Composite composite = composite(text);
            boolean mayHold = composite.possible(true);
            boolean mayFail = composite.possible(false);
            denied += mayHold && mayFail ? 0 : 1;
            assertThat(mayHold || mayFail).as("seed %d: %s", seed, text).isTrue();
            for (int i = 0; i < 40; i++) {
                Map<String, Object> values = values(random);
                IndicationState answer = composite.evaluate(values);
                if (answer == IndicationState.HOLDS) {
                    assertThat(mayHold).as("seed %d: %s with %s", seed, text, values).isTrue();
                } else if (answer == IndicationState.DOES_NOT_HOLD) {
                    assertThat(mayFail).as("seed %d: %s with %s", seed, text, values).isTrue();
                }
            }
        }
        assertThat(denied).as("or this shows nothing").isGreaterThan(50);
    }
}
