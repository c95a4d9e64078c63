package oilbird.alarm.composite;

import dev.cel.common.ast.CelExpr;
import dev.cel.runtime.CelEvaluationException;
import dev.cel.runtime.CelRuntime;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.function.UnaryOperator;
import oilbird.mapping.signal.IndicationState;

/** An expression with its names' types checked, ready to be evaluated. Immutable, thread-safe. */
public final class Composite {
    private final String text;
    private final List<Operand> operands;
    private final CelRuntime.Program program;
    private final CelExpr tree;

    /** What a name stands for. */
    public enum Kind {
        /** An indication. */
        TRUTH,
        /** A reading with a number. */
        NUMBER,
        /** A bit field, by the text of its value. */
        TEXT
    }

    /**
     * A name of the expression with its type.
     *
     * @param name as written.
     * @param low lowest number that is taken for a value; minus infinity where that is not known.
     * @param high highest such number.
     * @param texts what a bit field can say; empty for the other kinds.
     */
    public record Operand(String name, Kind kind, double low, double high, List<String> texts) {
        public Operand {
            texts = List.copyOf(texts);
        }

        public static Operand indication(String name) {
            return new Operand(name, Kind.TRUTH, Double.NEGATIVE_INFINITY, Double.POSITIVE_INFINITY, List.of());
        }

        public static Operand number(String name, double low, double high) {
            return new Operand(name, Kind.NUMBER, low, high, List.of());
        }

        public static Operand number(String name) {
            return number(name, Double.NEGATIVE_INFINITY, Double.POSITIVE_INFINITY);
        }

        public static Operand field(String name, List<String> texts) {
            return new Operand(name, Kind.TEXT, Double.NEGATIVE_INFINITY, Double.POSITIVE_INFINITY, texts);
        }
    }

    Composite(String text, CelExpr tree, List<Operand> operands, CelRuntime.Program program) {
        this.text = text;
        this.tree = tree;
        this.operands = new ArrayList<>(operands);
        this.program = program;
    }

    /**
     * Whether the expression holds. Never throws.
     *
     * @param values by name as written: {@link Boolean}, finite {@link Double} or {@link String}. What cannot be told is left out;
     *     then {@code false && unknown} is false, and {@code true && unknown} cannot be told.
     */
    public IndicationState evaluate(Map<String, Object> values) {
        Object answer;
        try {
            answer = program.eval(values);
        } catch (CelEvaluationException | RuntimeException e) {
            // Whatever a library finds to throw, an alarm must hold its state and not end the gateway.
            return IndicationState.CANNOT_BE_TOLD;
        }
        if (answer instanceof Boolean holds) {
            return holds ? IndicationState.HOLDS : IndicationState.DOES_NOT_HOLD;
        }
        return IndicationState.CANNOT_BE_TOLD;
    }

    /**
     * False if the expression can never hold (or never not hold), whatever its signals say. True says nothing: see
     * {@link Possibility} for what is not found.
     */
    public boolean possible(boolean holds) {
        return Possibility.together(List.of(wanted(UnaryOperator.identity(), holds)));
    }

    /**
     * False if this can never hold while the other one does not, so that the other always hides it.
     *
     * @param signal what a name of this expression stands for.
     * @param otherSignal the same for the other expression.
     */
    public boolean possibleWithout(
            Composite other, UnaryOperator<String> signal, UnaryOperator<String> otherSignal) {
        return Possibility.together(List.of(wanted(signal, true), other.wanted(otherSignal, false)));
    }

    private Possibility.Wanted wanted(UnaryOperator<String> signal, boolean holds) {
        return new Possibility.Wanted(tree, operands, signal, holds);
    }

    /** Names in the order of their first appearance, as written. */
    public List<String> names() {
        return operands.stream().map(Operand::name).toList();
    }

    /** The expression as written. */
    public String text() {
        return text;
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof Composite that && text.equals(that.text) && operands.equals(that.operands);
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
