package oilbird.mapping.signal;

/** Why a value is not of good quality. Every reason but {@link #NONE} has one {@link Quality} it causes. */
public enum QualityReason {
    NONE(Quality.GOOD),
    /** Never read since start. */
    NOT_YET_READ(Quality.BAD),
    /** The device does not answer. */
    UNREACHABLE(Quality.BAD),
    /** The device answered with an exception. */
    REFUSED_BY_DEVICE(Quality.BAD),
    /** The answer broke the protocol, belongs to another request, or is of another type than the map says. */
    INVALID_ANSWER(Quality.BAD),
    /** The device sent its own "no value" code. */
    NO_VALUE(Quality.BAD),
    /** A floating-point value that is not a finite number, or a digit that is no BCD digit. */
    NOT_A_NUMBER(Quality.BAD),
    /** Outside the plausible range of the device map. */
    OUTSIDE_RANGE(Quality.BAD),
    /** A 4-20 mA loop signals failure: at or below the lower failure limit of NAMUR NE 43, as with an open wire. */
    LOOP_FAILED(Quality.BAD),
    /** The same at or above the upper failure limit, as with a short circuit or an input at its stop. */
    LOOP_FAILED_HIGH(Quality.BAD),
    /** The bit that says whether this value is valid says no. */
    DECLARED_INVALID(Quality.BAD),
    /** The device itself declares the value bad, as an OPC UA server does by its status code. */
    DECLARED_BAD(Quality.BAD),
    /** No fresh value within the point's own update period. */
    STALE(Quality.BAD),
    /** An indication holds that makes this reading worthless. */
    WORTHLESS(Quality.BAD),
    /** Made while the device was in maintenance, which is over, and none since: it may be of calibration gas. */
    MADE_IN_MAINTENANCE(Quality.BAD),
    /** Too little was seen yet to tell: a window not yet full, a usual level not yet learnt. */
    NOT_YET_KNOWN(Quality.BAD),
    /** A person has released the device's connection for other use: it is not polled. */
    RELEASED(Quality.BAD),
    /** Another product answers than the map is for. */
    OTHER_PRODUCT(Quality.BAD),
    /** Computed: nothing feeds the computation. */
    NO_INPUT(Quality.BAD),
    /** Computed: the computation is not made for this fluid, equipment or sensor. */
    NOT_COVERED(Quality.BAD),
    /** Computed: the history is too short, or has too few samples. */
    TOO_LITTLE_DATA(Quality.BAD),
    /** Computed: there is no clear answer. */
    NO_CLEAR_ANSWER(Quality.BAD),
    /** A 4-20 mA loop is outside its measuring range but not failed (NAMUR NE 43): truly at least that far. */
    SATURATED(Quality.UNCERTAIN),
    /** The device itself declares the value uncertain, as an OPC UA server does by its status code. */
    DECLARED_UNCERTAIN(Quality.UNCERTAIN),
    /** An indication holds, or held too recently, that makes this reading doubtful. */
    DOUBTFUL(Quality.UNCERTAIN),
    /** The device runs a firmware revision that the map was not checked against. */
    OTHER_FIRMWARE(Quality.UNCERTAIN),
    /** Another master speaks on the serial line, so an answer may have been meant for it. */
    FOREIGN_TRAFFIC(Quality.UNCERTAIN),
    /** The device is in maintenance. */
    IN_MAINTENANCE(Quality.UNCERTAIN),
    /** Computed: copies of the source disagree on a figure, and the answer hangs on it. */
    HANGS_ON_DISPUTED(Quality.UNCERTAIN),
    /** Computed: a measurement error within the stated band would change the answer. */
    CHANGES_WITHIN_ERROR(Quality.UNCERTAIN),
    /** Computed: an input was missing, or did not count, for longer than it may be taken as unchanged. */
    INPUT_GAP(Quality.UNCERTAIN);

    private final Quality quality;

    QualityReason(Quality quality) {
        this.quality = quality;
    }

    public Quality quality() {
        return quality;
    }
}
