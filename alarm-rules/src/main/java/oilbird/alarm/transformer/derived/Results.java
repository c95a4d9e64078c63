package oilbird.alarm.transformer.derived;

import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.Why;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** What one block of computations gives, before the quality of its inputs is laid over it. */
public final class Results {
    private record Value(@Nullable Double number, @Nullable String text, QualityReason reason) {}

    private record State(IndicationState state, QualityReason reason) {}

    private final DerivedSignals.Block block;
    private final Map<String, Value> values = new LinkedHashMap<>();
    private final Map<String, State> states = new LinkedHashMap<>();

    Results(DerivedSignals.Block block) {
        this.block = block;
    }

    /** Everything of a block that cannot be told for one reason. */
    public static Results untold(DerivedSignals.Block block, QualityReason reason, String detail) {
        Results results = new Results(block);
        DerivedSignals.points(block).forEach(name -> results.untold(name, reason, detail));
        DerivedSignals.indications(block).forEach(name -> results.untoldState(name, reason));
        return results;
    }

    void number(String name, double number, QualityReason reason) {
        if (Double.isFinite(number)) {
            values.put(name, new Value(number, null, reason));
        } else {
            untold(name, QualityReason.NO_CLEAR_ANSWER, "no finite figure");
        }
    }

    void text(String name, String text, QualityReason reason) {
        values.put(name, new Value(null, text, reason));
    }

    /** A point without a value carries in words why it has none. */
    void untold(String name, QualityReason reason, String detail) {
        values.put(name, new Value(null, detail, reason));
    }

    void untold(String name, Why why, String detail) {
        untold(name, reason(why), words(why, detail));
    }

    void state(String name, boolean holds, QualityReason reason) {
        states.put(name, new State(holds ? IndicationState.HOLDS : IndicationState.DOES_NOT_HOLD, reason));
    }

    void untoldState(String name, QualityReason reason) {
        states.put(name, new State(IndicationState.CANNOT_BE_TOLD, reason));
    }

    void number(String name, Finding<Double> finding) {
        if (finding instanceof Finding.Told<Double> told) {
            number(name, told.value(), reason(told.remarks()));
        } else if (finding instanceof Finding.Untold<Double> untold) {
            untold(name, untold.why(), untold.detail());
        }
    }

    static String words(Why why, String detail) {
        return detail.isEmpty() ? why.sentence() : why.sentence() + ": " + detail;
    }

    /** The quality that remarks give an answer. */
    static QualityReason reason(Collection<Remark> remarks) {
        QualityReason reason = QualityReason.NONE;
        for (Remark remark : remarks) {
            switch (remark.kind()) {
                case HANGS_ON_DISPUTED -> reason = QualityReason.HANGS_ON_DISPUTED;
                case CHANGES_WITHIN_ERROR ->
                    reason = reason == QualityReason.NONE ? QualityReason.CHANGES_WITHIN_ERROR : reason;
                case GAP -> reason = reason == QualityReason.NONE ? QualityReason.INPUT_GAP : reason;
                default -> {
                    // What is only to be known beside the answer makes it no worse.
                }
            }
        }
        return reason;
    }

    /** The quality of an answer that cannot be given. */
    public static QualityReason reason(Why why) {
        return switch (why) {
            case FLUID_UNKNOWN,
                    FLUID_NOT_COVERED,
                    EQUIPMENT_NOT_COVERED,
                    COMPOSITE_SENSOR,
                    NOT_MEASURED,
                    UNIT_UNKNOWN,
                    UNIT_NOT_CONVERTIBLE -> QualityReason.NOT_COVERED;
            case MISSING_VALUE -> QualityReason.NO_INPUT;
            case NOT_A_NUMBER -> QualityReason.NOT_A_NUMBER;
            case NEGATIVE_VALUE, IMPOSSIBLE_VALUE, OUTSIDE_VALIDITY -> QualityReason.OUTSIDE_RANGE;
            case TOO_FEW_SAMPLES, SPAN_TOO_SHORT, OTHER_SOURCE, HISTORY_UNKNOWN -> QualityReason.TOO_LITTLE_DATA;
            case SATURATED,
                    CONTRADICTING_VALUES,
                    ALL_ZERO,
                    SINGLE_GAS,
                    DEGENERATE,
                    NOT_ITS_TURN,
                    BELOW_APPLICABILITY,
                    NOTHING_ABOVE_TYPICAL,
                    NOT_CLEAR -> QualityReason.NO_CLEAR_ANSWER;
        };
    }

    /**
     * The results as ordinary readings and indications of the derived device.
     *
     * @param inputs the worst that is wrong with the inputs. Bad inputs make everything untellable, doubtful ones
     *     doubtful.
     * @param from when the results are from.
     * @param at when they are told.
     */
    public Decoded decoded(String device, QualityReason inputs, Moment from, Moment at) {
        List<Reading> readings = new ArrayList<>();
        for (String name : DerivedSignals.points(block)) {
            Value value = values.get(name);
            if (value == null) {
                throw new IllegalStateException("nothing is said of " + name);
            }
            readings.add(reading(new SignalId(device, name), value, inputs, from));
        }
        List<Indication> indications = new ArrayList<>();
        for (String name : DerivedSignals.indications(block)) {
            State state = states.get(name);
            if (state == null) {
                throw new IllegalStateException("nothing is said of " + name);
            }
            indications.add(indication(new SignalId(device, name), state, inputs, from));
        }
        return new Decoded(device, block.key(), readings, indications, List.of(), at);
    }

    private static Reading reading(SignalId id, Value value, QualityReason inputs, Moment at) {
        if (value.reason().quality() == Quality.BAD) {
            return new Reading(id, value.number(), value.text(), value.reason(), at);
        }
        return id.name().equals(DerivedSignals.ANALYSES)
                ? new Reading(id, value.number(), value.text(), value.reason(), at)
                : new Reading(id, value.number(), value.text(), worse(value.reason(), inputs), at);
    }

    private static Indication indication(SignalId id, State state, QualityReason inputs, Moment at) {
        if (state.state() == IndicationState.CANNOT_BE_TOLD) {
            return Indication.cannotBeTold(id, state.reason(), at);
        }
        return inputs.quality() == Quality.BAD
                ? Indication.cannotBeTold(id, inputs, at)
                : new Indication(id, state.state(), worse(state.reason(), inputs), at);
    }

    private static QualityReason worse(QualityReason own, QualityReason inputs) {
        return inputs.quality().compareTo(own.quality()) > 0 ? inputs : own;
    }
}
