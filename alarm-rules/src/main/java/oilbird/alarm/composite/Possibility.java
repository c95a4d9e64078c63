package oilbird.alarm.composite;

import dev.cel.common.ast.CelConstant;
import dev.cel.common.ast.CelExpr;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import java.util.function.UnaryOperator;
import org.jspecify.annotations.Nullable;

/**
 * Whether expressions can come true (or false) at all, whatever their signals say.
 *
 * <p>Sound one way: what is said to be impossible is. An expression is written out as alternatives, each a set of
 * bounds on signals, and is impossible where no alternative is left. What bounds a signal: comparisons of sums of
 * readings with numbers, a reading's plausible range, an indication and its denial, texts of a bit field. What is
 * not seen: products of readings, sums that only together contradict each other, and whatever ties signals together
 * outside the expression. More than {@value #MOST} alternatives are not looked at.
 */
final class Possibility {
    private static final int MOST = 512;
    /** A processor rounds where a sum on paper does not: by less than this part of the greatest number in it. */
    private static final double ROUNDING = 1e-9;

    private Possibility() {}

    private static final class TooMuchException extends Exception {
        private static final long serialVersionUID = 1L;

        TooMuchException() {
            super("too many alternatives", null, false, false);
        }
    }

    /**
     * An expression that is wanted true or false.
     *
     * @param key what a name stands for; equal keys are the same signal, also across expressions.
     */
    record Wanted(CelExpr tree, List<Composite.Operand> operands, UnaryOperator<String> key, boolean holds) {}

    /** False if all of these can never be so at once. */
    static boolean together(List<Wanted> wanted) {
        try {
            List<Bounds> alternatives = List.of(new Bounds());
            for (Wanted each : wanted) {
                alternatives = both(alternatives, new Reading(each).alternatives(each.tree(), each.holds()));
            }
            return alternatives.stream().anyMatch(Bounds::withinRanges);
        } catch (TooMuchException e) {
            return true;
        }
    }

    private static List<Bounds> both(List<Bounds> one, List<Bounds> other) throws TooMuchException {
        List<Bounds> all = new ArrayList<>();
        for (Bounds a : one) {
            for (Bounds b : other) {
                Bounds met = a.and(b);
                if (met != null) {
                    all.add(met);
                    if (all.size() > MOST) {
                        throw new TooMuchException();
                    }
                }
            }
        }
        return all;
    }

    private static List<Bounds> either(List<Bounds> one, List<Bounds> other) throws TooMuchException {
        List<Bounds> all = new ArrayList<>(one);
        all.addAll(other);
        if (all.size() > MOST) {
            throw new TooMuchException();
        }
        return all;
    }

    /** Numbers from low to high, without single ones. */
    private record Interval(double low, boolean lowIn, double high, boolean highIn, Set<Double> without) {
        static final Interval ALL =
                new Interval(Double.NEGATIVE_INFINITY, false, Double.POSITIVE_INFINITY, false, Set.of());

        Interval and(Interval other) {
            double l = Math.max(low, other.low);
            double h = Math.min(high, other.high);
            boolean lIn = (low < l || lowIn) && (other.low < l || other.lowIn);
            boolean hIn = (high > h || highIn) && (other.high > h || other.highIn);
            Set<Double> w = new LinkedHashSet<>(without);
            w.addAll(other.without);
            return new Interval(l, lIn, h, hIn, w);
        }

        boolean empty() {
            return low > high || (low == high && (!lowIn || !highIn || without.contains(low)));
        }

        Interval times(double factor) {
            return factor > 0
                    ? new Interval(low * factor, lowIn, high * factor, highIn, Set.of())
                    : new Interval(high * factor, highIn, low * factor, lowIn, Set.of());
        }

        Interval plus(Interval other) {
            return new Interval(
                    low + other.low, lowIn && other.lowIn, high + other.high, highIn && other.highIn, Set.of());
        }

        Interval wider(double by) {
            return new Interval(low - by, true, high + by, true, Set.of());
        }

        /** Infinite where nothing bounds the numbers. */
        double greatest() {
            return Math.max(Math.abs(low), Math.abs(high));
        }
    }

    /** What an indication or a bit field may say: these texts, or all but these. */
    private record Says(Set<String> texts, boolean allBut) {
        Says and(Says other) {
            if (!allBut && !other.allBut) {
                Set<String> both = new LinkedHashSet<>(texts);
                both.retainAll(other.texts);
                return new Says(both, false);
            }
            if (allBut && other.allBut) {
                Set<String> both = new LinkedHashSet<>(texts);
                both.addAll(other.texts);
                return new Says(both, true);
            }
            Set<String> left = new LinkedHashSet<>(allBut ? other.texts : texts);
            left.removeAll(allBut ? texts : other.texts);
            return new Says(left, false);
        }

        boolean empty() {
            return !allBut && texts.isEmpty();
        }
    }

    /**
     * A sum of readings, each with a factor, and a number.
     *
     * @param written the factors without regard to signs, so that what cancels out counts twice.
     * @param numbers the numbers in the same way.
     */
    private record Sum(Map<String, Double> factors, double added, Map<String, Double> written, double numbers) {
        static Sum of(String reading) {
            return new Sum(Map.of(reading, 1.0), 0, Map.of(reading, 1.0), 0);
        }

        static Sum of(double number) {
            return new Sum(Map.of(), number, Map.of(), Math.abs(number));
        }

        Sum plus(Sum other, double sign) {
            Map<String, Double> all = new TreeMap<>(factors);
            other.factors.forEach((name, factor) -> all.merge(name, sign * factor, Double::sum));
            all.values().removeIf(factor -> factor == 0);
            Map<String, Double> both = new TreeMap<>(written);
            other.written.forEach((name, factor) -> both.merge(name, factor, Double::sum));
            return new Sum(all, added + sign * other.added, both, numbers + other.numbers);
        }

        Sum times(double by) {
            Map<String, Double> all = new TreeMap<>();
            factors.forEach((name, factor) -> all.put(name, factor * by));
            all.values().removeIf(factor -> factor == 0);
            Map<String, Double> sized = new TreeMap<>();
            written.forEach((name, factor) -> sized.put(name, factor * Math.abs(by)));
            return new Sum(all, added * by, sized, numbers * Math.abs(by));
        }
    }

    /** One alternative: what every signal named must lie in. */
    private static final class Bounds {
        private final Map<Map<String, Double>, Interval> numbers = new LinkedHashMap<>();
        private final Map<String, Says> said = new LinkedHashMap<>();
        private final Map<String, Interval> ranges = new HashMap<>();

        static Bounds of(Map<String, Double> sum, Interval in) {
            Bounds bounds = new Bounds();
            bounds.numbers.put(sum, in);
            return bounds;
        }

        static Bounds of(String signal, Says says) {
            Bounds bounds = new Bounds();
            bounds.said.put(signal, says);
            return bounds;
        }

        Bounds ranging(Map<String, Interval> of) {
            ranges.putAll(of);
            return this;
        }

        /** Both, or null where they exclude each other. */
        @Nullable
        Bounds and(Bounds other) {
            Bounds both = new Bounds();
            both.numbers.putAll(numbers);
            both.said.putAll(said);
            both.ranging(ranges).ranging(other.ranges);
            other.numbers.forEach((sum, in) -> both.numbers.merge(sum, in, Interval::and));
            other.said.forEach((signal, says) -> both.said.merge(signal, says, Says::and));
            boolean empty = both.numbers.values().stream().anyMatch(Interval::empty)
                    || both.said.values().stream().anyMatch(Says::empty);
            return empty ? null : both;
        }

        /** Whether the bounds on sums are within what the bounds on their readings allow. */
        boolean withinRanges() {
            for (Map.Entry<Map<String, Double>, Interval> bound : numbers.entrySet()) {
                Map<String, Double> sum = bound.getKey();
                Interval reachable = new Interval(0, true, 0, true, Set.of());
                for (Map.Entry<String, Double> part : sum.entrySet()) {
                    reachable = reachable.plus(single(part.getKey()).times(part.getValue()));
                }
                double by = sum.size() == 1 ? 0 : ROUNDING * (1 + reachable.greatest());
                if (reachable.wider(by).and(bound.getValue()).empty()) {
                    return false;
                }
            }
            return true;
        }

        private Interval single(String reading) {
            Interval own = numbers.getOrDefault(Map.of(reading, 1.0), Interval.ALL);
            return own.and(ranges.getOrDefault(reading, Interval.ALL));
        }
    }

    /** Writes one expression out. */
    private static final class Reading {
        private final Map<String, Composite.Operand> operands = new HashMap<>();
        private final UnaryOperator<String> key;

        Reading(Wanted wanted) {
            wanted.operands().forEach(o -> operands.put(o.name(), o));
            key = wanted.key();
        }

        private static List<Bounds> always() {
            return List.of(new Bounds());
        }

        List<Bounds> alternatives(CelExpr expr, boolean holds) throws TooMuchException {
            String name = Expression.path(expr);
            if (name != null) {
                return List.of(Bounds.of(key.apply(name), new Says(Set.of(String.valueOf(holds)), false)));
            }
            if (expr.exprKind().getKind() == CelExpr.ExprKind.Kind.CONSTANT) {
                return expr.constant().booleanValue() == holds ? always() : List.of();
            }
            List<CelExpr> args = expr.call().args();
            String function = expr.call().function();
            switch (function) {
                case "!_" -> {
                    return alternatives(args.get(0), !holds);
                }
                case "_&&_", "_||_" -> {
                    List<Bounds> one = alternatives(args.get(0), holds);
                    List<Bounds> other = alternatives(args.get(1), holds);
                    return function.equals("_&&_") == holds ? both(one, other) : either(one, other);
                }
                case "_?_:_" -> {
                    return either(
                            both(alternatives(args.get(0), true), alternatives(args.get(1), holds)),
                            both(alternatives(args.get(0), false), alternatives(args.get(2), holds)));
                }
                default -> {
                    return comparison(function, args.get(0), args.get(1), holds);
                }
            }
        }

        private List<Bounds> comparison(String function, CelExpr left, CelExpr right, boolean holds)
                throws TooMuchException {
            boolean equality = function.equals("_==_") || function.equals("_!=_");
            boolean same = equality && function.equals("_==_") == holds;
            if (equality && isTruth(left)) {
                return either(
                        both(alternatives(left, true), alternatives(right, same)),
                        both(alternatives(left, false), alternatives(right, !same)));
            }
            if (equality && isText(left, right)) {
                return texts(left, right, same);
            }
            Sum one = sum(left);
            Sum other = sum(right);
            if (one == null || other == null) {
                return always();
            }
            String relation = holds ? function : denied(function);
            boolean plain = isPlain(left) && isPlain(right);
            Sum difference = one.plus(other, -1);
            if (difference.factors().isEmpty()) {
                return constant(relation, difference.added(), plain ? 0 : ROUNDING * (1 + greatest(difference)));
            }
            boolean alone = difference.written().size() == 1;
            // Numbers without bound may absorb each other: of several readings nothing is said then.
            return plain || alone || Double.isFinite(greatest(difference))
                    ? bounded(relation, difference, plain)
                    : always();
        }

        /** The greatest number that may stand anywhere in a sum; infinite where a reading has no range. */
        private double greatest(Sum sum) {
            double greatest = sum.numbers();
            for (Map.Entry<String, Double> part : sum.written().entrySet()) {
                greatest += part.getValue() * range(part.getKey()).greatest();
            }
            return greatest;
        }

        private static String denied(String relation) {
            return switch (relation) {
                case "_<_" -> "_>=_";
                case "_<=_" -> "_>_";
                case "_>_" -> "_<=_";
                case "_>=_" -> "_<_";
                case "_==_" -> "_!=_";
                default -> "_==_";
            };
        }

        /**
         * A number held against zero.
         *
         * @param rounding how far from zero it may be by rounding alone.
         */
        private static List<Bounds> constant(String relation, double number, double rounding) {
            if (rounding > 0 && !(Math.abs(number) > rounding)) {
                return always();
            }
            boolean holds = switch (relation) {
                case "_<_" -> number < 0;
                case "_<=_" -> number <= 0;
                case "_>_" -> number > 0;
                case "_>=_" -> number >= 0;
                case "_==_" -> number == 0;
                default -> number != 0;
            };
            return holds ? always() : List.of();
        }

        private List<Bounds> bounded(String relation, Sum difference, boolean plain) {
            double first = difference.factors().values().iterator().next();
            Sum whole = difference.times(1 / first);
            double bound = whole.added() == 0 ? 0 : -whole.added();
            String turned = first > 0 ? relation : turned(relation);
            Interval in = switch (turned) {
                case "_<_" -> new Interval(Double.NEGATIVE_INFINITY, false, bound, false, Set.of());
                case "_<=_" -> new Interval(Double.NEGATIVE_INFINITY, false, bound, true, Set.of());
                case "_>_" -> new Interval(bound, false, Double.POSITIVE_INFINITY, false, Set.of());
                case "_>=_" -> new Interval(bound, true, Double.POSITIVE_INFINITY, false, Set.of());
                case "_==_" -> new Interval(bound, true, bound, true, Set.of());
                default ->
                    new Interval(
                            Double.NEGATIVE_INFINITY, false, Double.POSITIVE_INFINITY, false, plain
                                    ? Set.of(bound)
                                    : Set.of());
            };
            Map<String, Interval> ranges = new HashMap<>();
            whole.factors().keySet().forEach(k -> ranges.put(k, range(k)));
            double greatest = greatest(whole);
            if (!Double.isFinite(greatest)) {
                // Of one reading, however great it may be: near the bound it is as great as the bound.
                double parts = whole.written().values().stream().mapToDouble(Double::doubleValue).sum();
                greatest = whole.numbers() + parts * Math.abs(bound);
            }
            return List.of(Bounds.of(whole.factors(), plain ? in : in.wider(ROUNDING * (1 + greatest)))
                    .ranging(ranges));
        }

        private static String turned(String relation) {
            return switch (relation) {
                case "_<_" -> "_>_";
                case "_<=_" -> "_>=_";
                case "_>_" -> "_<_";
                case "_>=_" -> "_<=_";
                default -> relation;
            };
        }

        private Interval range(String signal) {
            for (Composite.Operand operand : operands.values()) {
                if (key.apply(operand.name()).equals(signal)) {
                    return new Interval(operand.low(), true, operand.high(), true, Set.of());
                }
            }
            return Interval.ALL;
        }

        private List<Bounds> texts(CelExpr left, CelExpr right, boolean same) {
            String name = Expression.path(left) == null ? Expression.path(right) : Expression.path(left);
            CelExpr literal = Expression.path(left) == null ? left : right;
            if (name == null || literal.exprKind().getKind() != CelExpr.ExprKind.Kind.CONSTANT) {
                return always();
            }
            Set<String> text = Set.of(literal.constant().stringValue());
            Composite.Operand operand = operands.get(name);
            Says can = operand == null || operand.texts().isEmpty()
                    ? new Says(Set.of(), true)
                    : new Says(new LinkedHashSet<>(operand.texts()), false);
            Says says = can.and(new Says(text, !same));
            return says.empty() ? List.of() : List.of(Bounds.of(key.apply(name), says));
        }

        private boolean isTruth(CelExpr expr) {
            String name = Expression.path(expr);
            if (name != null) {
                Composite.Operand operand = operands.get(name);
                return operand != null && operand.kind() == Composite.Kind.TRUTH;
            }
            if (expr.exprKind().getKind() == CelExpr.ExprKind.Kind.CONSTANT) {
                return expr.constant().getKind() == CelConstant.Kind.BOOLEAN_VALUE;
            }
            String function = expr.call().function();
            return switch (function) {
                case "_?_:_" -> isTruth(expr.call().args().get(1));
                case "_+_", "_-_", "_*_", "-_" -> false;
                default -> true;
            };
        }

        private boolean isText(CelExpr left, CelExpr right) {
            return isText(left) || isText(right);
        }

        private boolean isText(CelExpr expr) {
            String name = Expression.path(expr);
            if (name != null) {
                Composite.Operand operand = operands.get(name);
                return operand != null && operand.kind() == Composite.Kind.TEXT;
            }
            return expr.exprKind().getKind() == CelExpr.ExprKind.Kind.CONSTANT
                    && expr.constant().getKind() == CelConstant.Kind.STRING_VALUE;
        }

        /** A name or a number, so that nothing is rounded. */
        private static boolean isPlain(CelExpr expr) {
            return Expression.path(expr) != null || expr.exprKind().getKind() == CelExpr.ExprKind.Kind.CONSTANT;
        }

        /** Null for what is no sum of readings. */
        private @Nullable Sum sum(CelExpr expr) {
            String name = Expression.path(expr);
            if (name != null) {
                return Sum.of(key.apply(name));
            }
            if (expr.exprKind().getKind() == CelExpr.ExprKind.Kind.CONSTANT) {
                return Sum.of(expr.constant().doubleValue());
            }
            List<CelExpr> args = expr.call().args();
            Sum first = sum(args.get(0));
            Sum second = args.size() == 2 ? sum(args.get(1)) : null;
            if (first == null) {
                return null;
            }
            if (expr.call().function().equals("-_")) {
                return first.times(-1);
            }
            if (second == null) {
                return null;
            }
            return switch (expr.call().function()) {
                case "_+_" -> first.plus(second, 1);
                case "_-_" -> first.plus(second, -1);
                case "_*_" ->
                    first.factors().isEmpty()
                            ? second.times(first.added())
                            : second.factors().isEmpty() ? first.times(second.added()) : null;
                default -> null;
            };
        }
    }
}
