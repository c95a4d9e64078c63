package oilbird.alarm.state;

/** Names of alarm states by IEC 62682 / ISA-18.2, and the disabled state of OPC UA Part 9. */
public enum StateName {
    /** Normal. */
    NORM,
    /** Active, unacknowledged. */
    UNACK,
    /** Active, acknowledged. */
    ACKED,
    /** Returned to normal, unacknowledged. */
    RTNUN,
    /** Latched, unacknowledged. */
    LTUNK,
    /** Latched, acknowledged. */
    LTACK,
    /** Shelved by an operator. */
    SHLVD,
    /** Suppressed by design. */
    DSUPR,
    /** Out of service. */
    OOSRV,
    DISABLED
}
