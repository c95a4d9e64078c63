package oilbird.alarm.state;

/** Alarm classes on a transformer; their defaults are advice, and a rule may set its own. */
public enum AlarmClass {
    SAFETY,
    EQUIPMENT_PROTECTION,
    EQUIPMENT_HEALTH,
    AUXILIARY,
    INSTRUMENT_DIAGNOSTIC,
    COMMUNICATIONS,
    SYSTEM
}
