package oilbird.alarm.state;

/**
 * Why a human act was refused, with the OPC UA Part 9 status a client would get.
 *
 * <p>Symbols and meanings: OPC 10000-9, 5.5 to 5.8.
 */
public enum Refusal {
    ALREADY_ACKNOWLEDGED("Bad_ConditionBranchAlreadyAcked", "the alarm is already acknowledged"),
    EVENT_UNKNOWN("Bad_EventIdUnknown", "the alarm has changed since the event you saw; look again"),
    ALREADY_CONFIRMED("Bad_ConditionBranchAlreadyConfirmed", "the alarm asks for no confirmation, or has it already"),
    NOT_ACKNOWLEDGED("Bad_InvalidState", "only an acknowledged alarm can be confirmed"),
    NOT_LATCHED(
            "Bad_InvalidState",
            "only a latched alarm whose condition is gone can be reset, once it is acknowledged and, where it asks for"
                    + " that, confirmed"),
    ALREADY_SHELVED("Bad_ConditionAlreadyShelved", "the alarm is already shelved"),
    NOT_SHELVED("Bad_ConditionNotShelved", "the alarm is not shelved"),
    SHELVING_TIME("Bad_ShelvingTimeOutOfRange", "the time is zero, negative or longer than this alarm allows"),
    SHELVING_NOT_ALLOWED("Bad_MethodInvalid", "alarms of this class cannot be shelved"),
    ALREADY_SUPPRESSED("Bad_InvalidState", "the alarm is already suppressed from outside"),
    NOT_SUPPRESSED("Bad_InvalidState", "the alarm is not suppressed"),
    SUPPRESSION_NOT_ALLOWED(
            "Bad_MethodInvalid", "alarms of this class, and alarms that name a cause, cannot be suppressed"),
    DISABLED("Bad_ConditionDisabled", "the alarm is disabled"),
    ALREADY_DISABLED("Bad_ConditionAlreadyDisabled", "the alarm is already disabled"),
    ALREADY_ENABLED("Bad_ConditionAlreadyEnabled", "the alarm is already enabled"),
    ALREADY_OUT_OF_SERVICE("Bad_InvalidState", "the alarm is already out of service"),
    NOT_OUT_OF_SERVICE("Bad_InvalidState", "the alarm is not out of service"),
    SERVICE_TIME("Bad_InvalidArgument", "the time out of service is negative"),
    NOTHING_OF_THAT_NAME("Bad_NodeIdUnknown", "the station has nothing of that name"),
    ALREADY_IN_MAINTENANCE("Bad_InvalidState", "it is already in maintenance"),
    POINTS_NOT_VERIFIED(
            "Bad_InvalidState",
            "the alarm is out of service until its points have been compared with the local display"),
    NOT_IN_MAINTENANCE("Bad_InvalidState", "it is not in maintenance"),
    READING_UNKNOWN("Bad_NodeIdUnknown", "the station has no such reading"),
    NOT_UNDER_TEST("Bad_InvalidState", "it is not under test"),
    NOT_KEPT_AWAY("Bad_InvalidState", "nobody is kept away from it"),
    TEST_TIME("Bad_InvalidArgument", "a test lasts longer than nothing and at most one hour"),
    MAINTENANCE_TIME("Bad_InvalidArgument", "the time until the reminder is zero or negative"),
    ALREADY_RELEASED("Bad_InvalidState", "its connection is already released"),
    NOT_RELEASED("Bad_InvalidState", "its connection is not released"),
    RELEASE_TIME("Bad_InvalidArgument", "a release lasts longer than nothing and at most eight hours"),
    OTHER_DEVICES(
            "Bad_InvalidState",
            "devices, assets or maps differ from those that run; only a start of the gateway takes them over"),
    NOTHING_COMPUTED("Bad_NodeIdUnknown", "the station computes nothing of an asset of that name"),
    SAMPLE_KNOWN("Bad_InvalidState", "a sample of that laboratory and time is entered already; withdraw it first"),
    SAMPLE_UNKNOWN("Bad_NodeIdUnknown", "no sample of that laboratory and time is entered"),
    SAMPLE_AHEAD("Bad_InvalidArgument", "the time of sampling lies in the future"),
    SAMPLES_FULL("Bad_InvalidState", "so many laboratory samples are kept already that the oldest must be withdrawn"),
    ALARM_UNKNOWN("Bad_NodeIdUnknown", "there is no such alarm in the rules that are loaded");

    private final String opcUaStatus;
    private final String message;

    Refusal(String opcUaStatus, String message) {
        this.opcUaStatus = opcUaStatus;
        this.message = message;
    }

    /** True where not an alarm's state refuses, but the station: it knows no such thing, or is in another state. */
    public boolean ofStation() {
        return compareTo(NOTHING_OF_THAT_NAME) >= 0;
    }

    /** True where it asks for something by a name that the station does not have. */
    public boolean isOfUnknownName() {
        return opcUaStatus.equals("Bad_NodeIdUnknown");
    }

    public String opcUaStatus() {
        return opcUaStatus;
    }

    public String message() {
        return message;
    }
}
