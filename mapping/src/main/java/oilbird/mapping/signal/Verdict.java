package oilbird.mapping.signal;

/** How a measured value lies to the accepted range. */
public enum Verdict {
    /** Less than a tenth of the lower limit: nothing to speak of is there. */
    NONE,
    BELOW,
    WITHIN,
    ABOVE
}
