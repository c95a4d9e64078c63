package oilbird.alarm.rule;

import java.time.Duration;
import java.util.List;
import java.util.Locale;
import oilbird.alarm.state.AlarmClass;
import org.jspecify.annotations.Nullable;

/**
 * What a rule does where its file does not say.
 *
 * <p>Deadbands of flow, level, pressure and temperature in percent of span follow ISA-18.2 and EEMUA 191 by
 * public guides (5, 5, 2 and 1 %). The delays beside them are from memory, and two equal samples of a status
 * bit as well as the attributes of classes are advice. What is for dissolved gas, communication, overdue data,
 * rates, discrepancies and expressions is our own choice: a gas comes once an analysis, so its samples are counted
 * and not its seconds; a slope over a window is smooth by itself.
 */
public final class RuleDefaults {
    private RuleDefaults() {}

    /**
     * @param deadbandPercent of the reading's span.
     */
    record Debounce(Duration onDelay, Duration offDelay, int onSamples, int offSamples, double deadbandPercent) {}

    /** @param longestShelving zero where shelving is not allowed. */
    record ClassAttributes(boolean shelvingAllowed, Duration longestShelving, boolean latching, boolean suppressible) {}

    private static final Debounce BIT = new Debounce(Duration.ZERO, Duration.ZERO, 2, 2, 0);
    private static final Debounce TEMPERATURE = seconds(60, 1);
    private static final Debounce PRESSURE = seconds(15, 2);
    private static final Debounce FLOW = seconds(15, 5);
    private static final Debounce LIQUID_LEVEL = seconds(60, 5);
    private static final Debounce ANALYSIS = new Debounce(Duration.ZERO, Duration.ZERO, 1, 2, 0);
    private static final Debounce OTHER_READING = new Debounce(Duration.ZERO, Duration.ZERO, 2, 2, 1);
    private static final Debounce COMMUNICATION = new Debounce(Duration.ofSeconds(10), Duration.ofSeconds(10), 1, 1, 0);
    /** Signals of several requests change one after the other; between them the picture is not of one moment. */
    private static final Debounce COMPOSED = new Debounce(Duration.ofSeconds(10), Duration.ofSeconds(10), 1, 1, 0);

    private static final Debounce AT_ONCE = new Debounce(Duration.ZERO, Duration.ZERO, 1, 1, 0);

    private static Debounce seconds(int delay, double percent) {
        return new Debounce(Duration.ofSeconds(delay), Duration.ofSeconds(delay), 1, 1, percent);
    }

    /** Deadband of rates and discrepancies, in percent of the limit nearest to normal. */
    static final double PERCENT_OF_LIMIT = 10;

    /**
     * @param point the first reading of a level or discrepancy; ignored for other conditions.
     * @param madeByFeature true for an indication that was weighed over many samples already.
     */
    static Debounce debounce(Condition condition, DeviceKind.@Nullable Point point, boolean madeByFeature) {
        boolean ofReading = condition instanceof Condition.Level || condition instanceof Condition.Discrepancy;
        if (ofReading && point != null) {
            return ofReading(point);
        }
        if (condition instanceof Condition.Composed) {
            return COMPOSED;
        }
        boolean told = condition instanceof Condition.IndicationIs || condition instanceof Condition.FieldSays;
        if (told && !madeByFeature) {
            return BIT;
        }
        return condition instanceof Condition.CommunicationLost ? COMMUNICATION : AT_ONCE;
    }

    private static Debounce ofReading(DeviceKind.Point point) {
        if (point.analysisCounter() != null && !point.analysisCounter().equals(point.name())) {
            return ANALYSIS;
        }
        String unit = point.unit().toLowerCase(Locale.ROOT);
        if (List.of("degc", "degf", "k", "°c", "°f").contains(unit)) {
            return TEMPERATURE;
        }
        if (List.of("bar", "mbar", "pa", "hpa", "kpa", "mpa", "psi").contains(unit)) {
            return PRESSURE;
        }
        if (List.of("l/min", "l/h", "l/s", "m3/h", "m3/s", "m3/min").contains(unit)) {
            return FLOW;
        }
        if (List.of("mm", "cm", "m").contains(unit)) {
            return LIQUID_LEVEL;
        }
        return OTHER_READING;
    }

    static ClassAttributes attributes(AlarmClass alarmClass) {
        return switch (alarmClass) {
            case SAFETY -> new ClassAttributes(false, Duration.ZERO, true, false);
            case EQUIPMENT_PROTECTION -> new ClassAttributes(true, Duration.ofHours(1), true, false);
            case EQUIPMENT_HEALTH -> new ClassAttributes(true, Duration.ofDays(1), false, true);
            case AUXILIARY, COMMUNICATIONS, SYSTEM -> new ClassAttributes(true, Duration.ofHours(12), false, true);
            case INSTRUMENT_DIAGNOSTIC -> new ClassAttributes(true, Duration.ofDays(7), false, true);
        };
    }

    /** Classes whose alarms nothing may hide. */
    /** Whether a class protects people or equipment: never folded away, delayed or lowered by anything computed. */
    public static boolean protects(AlarmClass alarmClass) {
        return alarmClass == AlarmClass.SAFETY || alarmClass == AlarmClass.EQUIPMENT_PROTECTION;
    }

    static Trouble trouble(AlarmClass alarmClass) {
        return switch (alarmClass) {
            case SAFETY, EQUIPMENT_PROTECTION, EQUIPMENT_HEALTH, AUXILIARY -> Trouble.TRANSFORMER;
            case INSTRUMENT_DIAGNOSTIC -> Trouble.MONITOR;
            case COMMUNICATIONS -> Trouble.COMMUNICATION;
            case SYSTEM -> Trouble.GATEWAY;
        };
    }
}
