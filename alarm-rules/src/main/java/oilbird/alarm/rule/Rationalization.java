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
        String revision) {
    public Rationalization {
        causes = List.copyOf(causes);
    }
}
