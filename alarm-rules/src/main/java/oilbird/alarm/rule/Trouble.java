package oilbird.alarm.rule;

/** Whose trouble an alarm is. The first duty of an explanation is never to confuse them. */
public enum Trouble {
    /** The transformer or what belongs to it, its cooling included. */
    TRANSFORMER,
    /** The monitor that watches the transformer. */
    MONITOR,
    /** The way between monitor and gateway. */
    COMMUNICATION,
    /** The gateway itself. */
    GATEWAY
}
