package oilbird.alarm.transformer;

/** Whether the on-load tap changer's oil or gas can reach the main tank. */
public enum TapChanger {
    NONE,
    /** Its own tank and conservator, nothing passes. */
    SEPARATE,
    /** Oil or gas passes to the main tank or a common conservator: acetylene there may come from switching. */
    COMMUNICATING,
    UNKNOWN
}
