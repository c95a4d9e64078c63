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
 * @param confirmation after an acknowledgement the alarm also asks for a confirmation that what it called for has been
 *     done (OPC 10000-9, 5.7.4; IEC 62682 has no such state).
 * @param reAlarmTime an acknowledged, still active alarm is annunciated anew this long after it was
 *     acknowledged; zero never.
 * @param shelvingAllowed false for classes that nobody may shelve.
 * @param maxShelveTime longest timed shelving accepted; ends one-shot shelving too (OPC 10000-9, 5.8.2).
 * @param suppressionAllowed false for an alarm that names a cause: neither design nor anybody outside suppresses it.
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
        boolean confirmation,
        Duration reAlarmTime,
        boolean shelvingAllowed,
        Duration maxShelveTime,
        boolean suppressionAllowed) {
    public AlarmPolicy {
        if (onDelay.isNegative() || offDelay.isNegative() || reAlarmTime.isNegative()) {
            throw new IllegalArgumentException("a delay cannot be negative");
        }
        if (onSamples < 1 || offSamples < 1) {
            throw new IllegalArgumentException("at least one sample must be asked for");
        }
        if (shelvingAllowed && (maxShelveTime.isZero() || maxShelveTime.isNegative())) {
            throw new IllegalArgumentException("an alarm that may be shelved needs a longest shelving time");
        }
    }

    /** An alarm that asks for no confirmation. */
    public AlarmPolicy(
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
            boolean suppressionAllowed) {
        this(
                alarmClass,
                priority,
                onDelay,
                offDelay,
                onSamples,
                offSamples,
                latching,
                acknowledgement,
                false,
                reAlarmTime,
                shelvingAllowed,
                maxShelveTime,
                suppressionAllowed);
    }
}
