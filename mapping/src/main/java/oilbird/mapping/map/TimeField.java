package oilbird.mapping.map;

/** One part of a date and time that a device gives in parts. */
public enum TimeField {
    /** Two digits mean 2000 to 2099. */
    YEAR,
    MONTH,
    DAY,
    HOUR,
    MINUTE,
    SECOND,
    MILLISECOND,
    /** Day of the week, or anything else that says nothing of the time. */
    UNUSED
}
