package oilbird.alarm.transformer;

/** What the gas analyser can tell apart. */
public enum SensorKind {
    /** Every gas that it reports is measured on its own: a laboratory or a multi-gas monitor. */
    SEPARATE_GASES,
    /** Hydrogen alone. */
    HYDROGEN_ONLY,
    /** One figure for a weighted mixture of gases: no gas of it can be compared with a limit or put in a ratio. */
    COMPOSITE
}
