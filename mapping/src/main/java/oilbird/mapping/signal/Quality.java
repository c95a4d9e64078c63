package oilbird.mapping.signal;

/** How far a value may be used, in the three steps of an OPC UA status code's severity. */
public enum Quality {
    /** May raise and may clear an alarm. */
    GOOD,
    /** May raise an alarm, never clears one. */
    UNCERTAIN,
    /** Neither raises nor clears; it cannot be told. */
    BAD;

    /** The worse of the two. */
    public Quality worse(Quality other) {
        return compareTo(other) >= 0 ? this : other;
    }
}
