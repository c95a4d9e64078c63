package oilbird.mapping.signal;

/** The three answers to whether a named state of a device or asset holds. */
public enum IndicationState {
    HOLDS,
    DOES_NOT_HOLD,
    /** Bad data is never "does not hold". */
    CANNOT_BE_TOLD
}
