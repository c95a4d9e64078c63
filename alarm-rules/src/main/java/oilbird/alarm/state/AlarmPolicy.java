package oilbird.alarm.state;

import java.time.Duration;

/**
 * How one alarm behaves; fixed while a rule set is loaded.
 *
 * @param onDelay how long the condition must hold before the alarm is active; zero for at once.
 * @param offDelay how long the condition must not hold before the alarm returns; zero for at once.
 * @param onSamples how many consecutive samples must hold as well, at least 1.
 * @param offSamples how many consecutive samples must not hold as well, at least 1.
 * @param latching the alarm stays until an operator reset after the condition returned.
 * @param reAlarmTime an acknowledged, still active alarm is annunciated anew after this time; zero never.
 * @param shelvingAllowed false for classes that nobody may shelve.
 * @param maxShelveTime longest timed shelving accepted.
 * @param suppressionAllowed false for an alarm that names a cause: design suppression never applies.
 */
public record AlarmPolicy(
        AlarmClass alarmClass,
        Priority priority,
        Duration onDelay,
        Duration offDelay,
        int onSamples,
        int offSamples,
        boolean latching,
        Acknowledgement acknowledgement,
        Duration reAlarmTime,
        boolean shelvingAllowed,
        Duration maxShelveTime,
        boolean suppressionAllowed) {}
