package oilbird.alarm.composite;

import dev.cel.common.CelAbstractSyntaxTree;
import dev.cel.common.CelIssue;
import dev.cel.common.CelOptions;
import dev.cel.common.CelValidationException;
import dev.cel.common.CelValidationResult;
import dev.cel.common.ast.CelConstant;
import dev.cel.common.ast.CelExpr;
import dev.cel.common.types.SimpleType;
import dev.cel.compiler.CelCompiler;
import dev.cel.compiler.CelCompilerBuilder;
import dev.cel.compiler.CelCompilerFactory;
import dev.cel.runtime.CelEvaluationException;
import dev.cel.runtime.CelRuntime;
import dev.cel.runtime.CelRuntimeFactory;
import java.util.ArrayList;
import java.util.Collection;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/** A written expression, parsed; what its names stand for is not known yet. Immutable; equal to one of equal text. */
public final class Expression {
    /** Longer ones are refused. */
    public static final int LONGEST = 1_000;

    // The parser is recursive; deeper than this nobody reads it anyway.
    private static final int DEEPEST = 40;
    private static final CelOptions OPTIONS = CelOptions.current()
            .maxParseRecursionDepth(DEEPEST)
            .maxExpressionCodePointSize(LONGEST)
            .build();
    private static final CelCompiler PARSER =
            CelCompilerFactory.standardCelCompilerBuilder().setOptions(OPTIONS).build();
    private static final CelRuntime RUNTIME =
            CelRuntimeFactory.standardCelRuntimeBuilder().setOptions(OPTIONS).build();

    /** Functions that may be used, by the library's name, with the name that people know. */
    private static final Map<String, String> ALLOWED = allowed();

    private static final Pattern OVERLOAD =
            Pattern.compile("found no matching overload for '([^']+)' applied to '\\(([^)]*)\\)'.*", Pattern.DOTALL);
    private static final Pattern EXPECTED =
            Pattern.compile("expected type '[^']+' but found '([^']+)'.*", Pattern.DOTALL);

    private final String text;
    private final CelAbstractSyntaxTree tree;
    private final List<String> names;
    private final Map<String, Integer> places;

    private Expression(String text, CelAbstractSyntaxTree tree, Map<String, Integer> places) {
        this.text = text;
        this.tree = tree;
        this.names = new ArrayList<>(places.keySet());
        this.places = places;
    }

    private static Map<String, String> allowed() {
        Map<String, String> allowed = new HashMap<>();
        for (String binary : List.of("&&", "||", "==", "!=", "<", "<=", ">", ">=", "+", "-", "*")) {
            allowed.put("_" + binary + "_", binary);
        }
        allowed.put("!_", "!");
        allowed.put("-_", "-");
        allowed.put("_?_:_", "? :");
        return allowed;
    }

    /**
     * What reading made of a text.
     *
     * @param result empty when there are mistakes.
     */
    public record Read<T>(Optional<T> result, List<Mistake> mistakes) {
        public Read {
            mistakes = List.copyOf(mistakes);
        }

        private static <T> Read<T> wrong(List<Mistake> mistakes) {
            return new Read<>(Optional.empty(), mistakes);
        }
    }

    /** The text as an expression, or what is wrong with its form. */
    public static Read<Expression> read(String text) {
        if (text.length() > LONGEST) {
            return Read.wrong(List.of(new Mistake(
                    LONGEST,
                    "the expression has " + text.length() + " characters",
                    "write at most " + LONGEST + ", or make several rules of it")));
        }
        CelAbstractSyntaxTree tree;
        try {
            CelValidationResult parsed = PARSER.parse(text);
            if (parsed.hasError()) {
                return Read.wrong(parsed.getErrors().stream()
                        .limit(1)
                        .map(Expression::ofForm)
                        .toList());
            }
            tree = parsed.getAst();
        } catch (CelValidationException | RuntimeException e) {
            return Read.wrong(List.of(new Mistake(1, "the expression cannot be read", "write it simpler")));
        }
        Walk walk = new Walk(tree);
        walk.visit(tree.getExpr());
        if (walk.mistakes.isEmpty() && walk.places.isEmpty()) {
            walk.mistakes.add(new Mistake(1, "the expression speaks of no signal", "name at least one"));
        }
        return walk.mistakes.isEmpty()
                ? new Read<>(Optional.of(new Expression(text, tree, walk.places)), List.of())
                : Read.wrong(walk.mistakes);
    }

    private static Mistake ofForm(CelIssue issue) {
        int character = issue.getSourceLocation().getColumn() + 1;
        String message = issue.getMessage();
        if (message.contains("recursion")) {
            return new Mistake(1, "the expression is nested too deeply", "nest at most " + DEEPEST + " deep");
        }
        boolean atEnd = message.contains("<EOF>");
        return new Mistake(
                Math.max(1, character),
                atEnd ? "the expression ends too early" : "the expression cannot be read from here",
                "write names of signals, numbers such as 2.0, && || ! ( ) < <= > >= == != + - * and ? :");
    }

    /** Names in the order of their first appearance, as written. */
    public List<String> names() {
        return names;
    }

    /** Where a name first appears, counted from 1. */
    public int character(String name) {
        return places.getOrDefault(name, 1);
    }

    /** The expression as written. */
    public String text() {
        return text;
    }

    /**
     * Checks the types.
     *
     * @param operands every name of the expression.
     */
    public Read<Composite> check(Collection<Composite.Operand> operands) {
        CelCompilerBuilder builder = CelCompilerFactory.standardCelCompilerBuilder()
                .setOptions(OPTIONS)
                .setResultType(SimpleType.BOOL);
        for (Composite.Operand operand : operands) {
            builder.addVar(operand.name(), switch (operand.kind()) {
                case TRUTH -> SimpleType.BOOL;
                case NUMBER -> SimpleType.DOUBLE;
                case TEXT -> SimpleType.STRING;
            });
        }
        try {
            CelValidationResult checked = builder.build().check(tree);
            if (checked.hasError()) {
                return Read.wrong(
                        checked.getErrors().stream().map(this::ofTypes).toList());
            }
            List<Mistake> unsaid = new ArrayList<>();
            unsaid(tree.getExpr(), operands, unsaid);
            if (!unsaid.isEmpty()) {
                return Read.wrong(unsaid);
            }
            Composite composite = new Composite(
                    text, tree.getExpr(), List.copyOf(operands), RUNTIME.createProgram(checked.getAst()));
            return new Read<>(Optional.of(composite), List.of());
        } catch (CelValidationException | CelEvaluationException | RuntimeException e) {
            return Read.wrong(List.of(new Mistake(1, "the expression cannot be checked", "write it simpler")));
        }
    }

    /** A text that a bit field is compared with and never says. */
    private void unsaid(CelExpr expr, Collection<Composite.Operand> operands, List<Mistake> mistakes) {
        if (expr.exprKind().getKind() != CelExpr.ExprKind.Kind.CALL) {
            return;
        }
        List<CelExpr> args = expr.call().args();
        for (int i = 0; i < args.size() && args.size() == 2; i++) {
            String name = path(args.get(i));
            CelExpr other = args.get(1 - i);
            boolean literal = other.exprKind().getKind() == CelExpr.ExprKind.Kind.CONSTANT
                    && other.constant().getKind() == CelConstant.Kind.STRING_VALUE;
            for (Composite.Operand operand : operands) {
                if (literal
                        && operand.name().equals(name)
                        && !operand.texts().contains(other.constant().stringValue())) {
                    mistakes.add(new Mistake(
                            tree.getSource().getPositionsMap().getOrDefault(other.id(), 0) + 1,
                            "`" + name + "` never says '" + other.constant().stringValue() + "'",
                            "write one of '" + String.join("', '", operand.texts()) + "'"));
                }
            }
        }
        args.forEach(argument -> unsaid(argument, operands, mistakes));
    }

    private Mistake ofTypes(CelIssue issue) {
        int character = issue.getSourceLocation().getColumn() + 1;
        Matcher overload = OVERLOAD.matcher(issue.getMessage());
        if (overload.matches()) {
            String function = ALLOWED.getOrDefault(overload.group(1), overload.group(1));
            List<String> types = List.of(overload.group(2).split(", ", -1));
            String what = "`" + function + "` cannot be applied to "
                    + String.join(" and ", types.stream().map(Expression::words).toList());
            boolean mixed = types.contains("int") && types.contains("double");
            String number = mixed ? firstWhole(tree.getExpr()) : null;
            return new Mistake(
                    character,
                    what,
                    number != null
                            ? "write " + number + ".0 instead of " + number
                            : types.contains("string")
                                    ? "compare a bit field with the text of one of its values: state == 'idle'"
                                    : types.contains("bool")
                                    ? "an indication stands by itself: oil_flow_low && !pump_running"
                                    : "write numbers with a decimal point: 2.0");
        }
        Matcher expected = EXPECTED.matcher(issue.getMessage());
        if (expected.matches()) {
            return new Mistake(
                    character,
                    "the expression gives " + words(expected.group(1)) + ", not true or false",
                    "compare it with a limit: " + text.strip() + " < 2.0");
        }
        return new Mistake(character, issue.getMessage().lines().findFirst().orElse(""), "correct the expression");
    }

    private static String words(String type) {
        return switch (type) {
            case "bool" -> "an indication";
            case "double" -> "a reading or number with a decimal point";
            case "int", "uint" -> "a whole number";
            case "string" -> "a text";
            default -> type;
        };
    }

    /** The first number without a decimal point, as people write it. */
    private static @Nullable String firstWhole(CelExpr expr) {
        if (expr.exprKind().getKind() == CelExpr.ExprKind.Kind.CONSTANT) {
            CelConstant constant = expr.constant();
            return constant.getKind() == CelConstant.Kind.INT64_VALUE ? Long.toString(constant.int64Value()) : null;
        }
        if (expr.exprKind().getKind() == CelExpr.ExprKind.Kind.CALL) {
            for (CelExpr argument : expr.call().args()) {
                String found = firstWhole(argument);
                if (found != null) {
                    return found;
                }
            }
        }
        return null;
    }

    /** The name of a signal as written; null for anything else. */
    static @Nullable String path(CelExpr expr) {
        if (expr.exprKind().getKind() == CelExpr.ExprKind.Kind.IDENT) {
            return expr.ident().name();
        }
        if (expr.exprKind().getKind() != CelExpr.ExprKind.Kind.SELECT
                || expr.select().testOnly()) {
            return null;
        }
        String owner = path(expr.select().operand());
        return owner == null ? null : owner + "." + expr.select().field();
    }

    /** Collects names, and refuses what is not in our part of the language. */
    private static final class Walk {
        private final Map<Long, Integer> positions;
        private final Map<String, Integer> places = new LinkedHashMap<>();
        private final List<Mistake> mistakes = new ArrayList<>();

        Walk(CelAbstractSyntaxTree tree) {
            this.positions = tree.getSource().getPositionsMap();
        }

        private int character(CelExpr expr) {
            return positions.getOrDefault(expr.id(), 0) + 1;
        }

        void visit(CelExpr expr) {
            switch (expr.exprKind().getKind()) {
                case IDENT, SELECT -> name(expr);
                case CONSTANT -> constant(expr, false);
                case CALL -> call(expr);
                default -> refuse(expr, "lists, maps and their functions are not known here");
            }
        }

        private void name(CelExpr expr) {
            String name = path(expr);
            if (name == null || name.chars().filter(c -> c == '.').count() > 1) {
                refuse(expr, "a signal is written `name` or `device.name`");
            } else {
                places.putIfAbsent(name, first(expr));
            }
        }

        private int first(CelExpr expr) {
            return expr.exprKind().getKind() == CelExpr.ExprKind.Kind.SELECT
                    ? first(expr.select().operand())
                    : character(expr);
        }

        /**
         * @param compared true for a side of an equality, where a text may stand.
         */
        private void constant(CelExpr expr, boolean compared) {
            CelConstant.Kind kind = expr.constant().getKind();
            boolean text = kind == CelConstant.Kind.STRING_VALUE;
            boolean known = kind == CelConstant.Kind.DOUBLE_VALUE
                    || kind == CelConstant.Kind.BOOLEAN_VALUE
                    || kind == CelConstant.Kind.INT64_VALUE;
            if (text && !compared) {
                refuse(expr, "a text stands only beside == or !=");
            } else if (!text && !known) {
                refuse(expr, "only numbers, texts and true or false can be compared here");
            }
        }

        private void call(CelExpr expr) {
            String function = expr.call().function();
            if (function.equals("_/_") || function.equals("_%_")) {
                mistakes.add(new Mistake(
                        character(expr),
                        "division is not known here, since the divisor may be 0",
                        "multiply the other side: a > 2.0 * b instead of a / b > 2.0"));
                return;
            }
            if (!ALLOWED.containsKey(function) || expr.call().target().isPresent()) {
                refuse(
                        expr,
                        "`" + function.replace("_", "").replace("@", "").toLowerCase(Locale.ROOT)
                                + "` is not known here");
                return;
            }
            boolean equality = function.equals("_==_") || function.equals("_!=_");
            for (CelExpr argument : expr.call().args()) {
                if (equality && argument.exprKind().getKind() == CelExpr.ExprKind.Kind.CONSTANT) {
                    constant(argument, true);
                } else {
                    visit(argument);
                }
            }
        }

        private void refuse(CelExpr expr, String what) {
            mistakes.add(new Mistake(
                    character(expr),
                    what,
                    "write names of signals, numbers such as 2.0, && || ! ( ) < <= > >= == != + - * and ? :"));
        }
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof Expression that && text.equals(that.text);
    }

    @Override
    public int hashCode() {
        return text.hashCode();
    }

    @Override
    public String toString() {
        return text;
    }
}
