package oilbird.alarm.composite;

import dev.cel.runtime.CelEvaluationException;
import dev.cel.runtime.CelRuntime;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import oilbird.mapping.signal.IndicationState;

/** An expression with its names' types checked, ready to be evaluated. Immutable, thread-safe. */
public final class Composite {
    private final String text;
    private final List<Operand> operands;
    private final CelRuntime.Program program;

    /**
     * A name of the expression with its type.
     *
     * @param name as written.
     * @param truth true for an indication, false for a number.
     */
    public record Operand(String name, boolean truth) {}

    Composite(String text, List<Operand> operands, CelRuntime.Program program) {
        this.text = text;
        this.operands = new ArrayList<>(operands);
        this.program = program;
    }

    /**
     * Whether the expression holds. Never throws.
     *
     * @param values by name as written: {@link Boolean} or finite {@link Double}. What cannot be told is left out;
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
