package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import oilbird.alarm.composite.Composite;
import oilbird.alarm.rule.PlainNumber;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/** An expression over signals of the station, evaluated anew only where one of them has changed. */
final class Expressing {
    private final Composite composite;
    private final List<String> names;
    private final List<Operand> operands = new ArrayList<>();
    private final Map<String, Object> values = new HashMap<>();
    private boolean fresh;
    private IndicationState answer = IndicationState.CANNOT_BE_TOLD;
    private Quality quality = Quality.BAD;

    /** One name: a reading or an indication. */
    private record Operand(
            @Nullable ReadingTrack reading, @Nullable IndicationTrack indication) {
        QualityReason reason() {
            if (reading != null) {
                return reading.reason;
            }
            return indication == null ? QualityReason.NOT_YET_READ : indication.now.reason();
        }

        @Nullable
        Object value() {
            if (reading != null) {
                if (reading.reason.quality() == Quality.BAD) {
                    return null;
                }
                return reading.raw.number() != null ? reading.raw.number() : reading.raw.text();
            }
            if (indication == null || indication.now.state() == IndicationState.CANNOT_BE_TOLD) {
                return null;
            }
            return indication.now.state() == IndicationState.HOLDS;
        }
    }

    /** Its operands are added in the order of the expression's names. */
    Expressing(Composite composite) {
        this.composite = composite;
        this.names = composite.names();
    }

    void add(ReadingTrack reading) {
        operands.add(new Operand(reading, null));
    }

    void add(IndicationTrack indication) {
        operands.add(new Operand(null, indication));
    }

    void evaluate() {
        Quality worst = Quality.GOOD;
        boolean changed = !fresh;
        for (int i = 0; i < operands.size(); i++) {
            Operand operand = operands.get(i);
            Object value = operand.value();
            Object before = value == null ? values.remove(names.get(i)) : values.put(names.get(i), value);
            changed |= value == null ? before != null : !value.equals(before);
            if (value != null) {
                worst = worst.worse(operand.reason().quality());
            }
        }
        if (changed) {
            answer = composite.evaluate(values);
            fresh = true;
        }
        quality = answer == IndicationState.CANNOT_BE_TOLD ? Quality.BAD : worst;
    }

    IndicationState answer() {
        return answer;
    }

    /** The worst quality among the signals that can be told. */
    Quality quality() {
        return quality;
    }

    /** True while one of its signals has not been heard of since the start. */
    boolean notYetRead() {
        return operands.stream().anyMatch(o -> o.reason() == QualityReason.NOT_YET_READ);
    }

    /** What its signals say, as {@code oil_flow = 1.2, pump_running holds}. */
    String describe() {
        List<String> parts = new ArrayList<>();
        for (int i = 0; i < operands.size(); i++) {
            Object value = values.get(names.get(i));
            if (value instanceof Double number) {
                parts.add(names.get(i) + " = " + PlainNumber.of(number));
            } else if (value instanceof String text) {
                parts.add(names.get(i) + " = " + text);
            } else if (value instanceof Boolean holds) {
                parts.add(names.get(i) + (holds ? " holds" : " does not hold"));
            } else {
                String why =
                        operands.get(i).reason().name().toLowerCase(Locale.ROOT).replace('_', ' ');
                parts.add(names.get(i) + " cannot be told" + (why.equals("none") ? "" : ": " + why));
            }
        }
        return String.join(", ", parts);
    }
}
