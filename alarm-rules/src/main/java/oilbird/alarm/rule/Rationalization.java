package oilbird.alarm.rule;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.Priority;
import org.jspecify.annotations.Nullable;

/**
 * Why an alarm exists and what it asks for: the record of the rationalization step of ISA-18.2 / IEC 62682.
 *
 * <p>Texts are empty, lists empty and times null where the rule file does not state them; the reader warns.
 *
 * @param causes probable causes, likeliest first.
 * @param confirmation how to verify that the alarm is real.
 * @param consequence what happens with no action.
 * @param response what the operator does.
 * @param timeToRespond time available before the consequence.
 * @param call whom to call, in words that follow "call the".
 * @param limitBasis why the limit has its value.
 * @param alsoHardwired a hardwired alarm or trip announces the same.
 * @param owner who answers for the rule.
 * @param further what only some alarms state.
 */
public record Rationalization(
        AlarmClass alarmClass,
        Priority priority,
        Trouble trouble,
        List<String> causes,
        String confirmation,
        String consequence,
        String response,
        @Nullable Duration timeToRespond,
        String call,
        String limitBasis,
        boolean alsoHardwired,
        String testMethod,
        String owner,
        String rationalizedBy,
        String rationalizedOn,
        String revision,
        Further further) {
    /** How grave the consequence is, in the steps that the alarm review uses. */
    public enum Severity {
        MINOR,
        MAJOR,
        SEVERE
    }

    /**
     * What only some alarms state.
     *
     * @param severity of the consequence; null where it is not stated.
     * @param designLow never below, in the unit of the limits; null where nothing is stated.
     * @param designHigh never above, in the unit of the limits; null where nothing is stated.
     * @param protectionLayer the alarm is credited as a layer of protection (LOPA or similar).
     * @param operatingStates in which the alarm applies as it is.
     * @param related keys of rules that say the same or what follows from it.
     * @param firstOutGroup alarms of which the first is told to be it; empty for none.
     * @param display where else it is shown.
     */
    public record Further(
            @Nullable Severity severity,
            @Nullable Double designLow,
            @Nullable Double designHigh,
            boolean protectionLayer,
            List<String> operatingStates,
            List<String> related,
            String firstOutGroup,
            String display) {
        public static final Further NOTHING = new Further(null, null, null, false, List.of(), List.of(), "", "");

        public Further {
            operatingStates = List.copyOf(operatingStates);
            related = List.copyOf(related);
        }
    }

    public Rationalization {
        causes = List.copyOf(causes);
    }

    /** A record without what only some alarms state. */
    public Rationalization(
            AlarmClass alarmClass,
            Priority priority,
            Trouble trouble,
            List<String> causes,
            String confirmation,
            String consequence,
            String response,
            @Nullable Duration timeToRespond,
            String call,
            String limitBasis,
            boolean alsoHardwired,
            String testMethod,
            String owner,
            String rationalizedBy,
            String rationalizedOn,
            String revision) {
        this(
                alarmClass,
                priority,
                trouble,
                causes,
                confirmation,
                consequence,
                response,
                timeToRespond,
                call,
                limitBasis,
                alsoHardwired,
                testMethod,
                owner,
                rationalizedBy,
                rationalizedOn,
                revision,
                Further.NOTHING);
    }
}
