package oilbird.alarm.state;

/** When an alarm asks for an acknowledgement. */
public enum Acknowledgement {
    /** A person acknowledges; a return does not remove the need (state RTNUN). */
    BY_PERSON,
    /** A person may acknowledge; the return acknowledges by itself. */
    ON_RETURN,
    /** Acknowledged by rule as soon as it is raised (who owns acknowledgement is a station setting). */
    BY_RULE
}
