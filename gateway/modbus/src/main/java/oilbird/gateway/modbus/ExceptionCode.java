package oilbird.gateway.modbus;

import oilbird.mapping.signal.QualityReason;

/**
 * What a device or Modbus gateway answers instead of data.
 *
 * <p>MODBUS Application Protocol V1.1b3, 7. Code 07 stood in older documents; 09 was never defined there.
 */
public enum ExceptionCode {
    ILLEGAL_FUNCTION(0x01, "illegal function", Reaction.SUSPEND),
    ILLEGAL_DATA_ADDRESS(0x02, "illegal data address", Reaction.SUSPEND),
    ILLEGAL_DATA_VALUE(0x03, "illegal data value", Reaction.SUSPEND),
    SERVER_DEVICE_FAILURE(0x04, "server device failure", Reaction.RETRY_BLOCK),
    ACKNOWLEDGE(0x05, "acknowledge, still working on it", Reaction.BACK_OFF),
    SERVER_DEVICE_BUSY(0x06, "server device busy", Reaction.BACK_OFF),
    NEGATIVE_ACKNOWLEDGE(0x07, "negative acknowledge", Reaction.RETRY_BLOCK),
    MEMORY_PARITY_ERROR(0x08, "memory parity error", Reaction.RETRY_BLOCK),
    UNDEFINED_09(0x09, "not defined by the standard", Reaction.RETRY_BLOCK),
    GATEWAY_PATH_UNAVAILABLE(0x0A, "gateway path unavailable", Reaction.UNIT_LOST),
    GATEWAY_TARGET_FAILED_TO_RESPOND(0x0B, "gateway target device failed to respond", Reaction.UNIT_LOST),
    /** Any other code. */
    UNDEFINED(-1, "not defined by the standard", Reaction.RETRY_BLOCK);

    /** What the poller does about an exception. */
    public enum Reaction {
        /** The request itself is wrong, so the device map is: not repeated at poll rate, told once. */
        SUSPEND,
        /** This request failed, others may not: repeated after a back-off of its own. */
        RETRY_BLOCK,
        /** The device has no time: all its requests wait. */
        BACK_OFF,
        /** The device behind a Modbus gateway is away; other units on the connection are not. */
        UNIT_LOST
    }

    private static final ExceptionCode[] ALL = values();

    private final int code;
    private final String words;
    private final Reaction reaction;

    ExceptionCode(int code, String words, Reaction reaction) {
        this.code = code;
        this.words = words;
        this.reaction = reaction;
    }

    /**
     * @param code as received, 0 to 255.
     */
    public static ExceptionCode of(int code) {
        for (ExceptionCode known : ALL) {
            if (known.code == code) {
                return known;
            }
        }
        return UNDEFINED;
    }

    public String words() {
        return words;
    }

    public Reaction reaction() {
        return reaction;
    }

    /** What becomes of the readings that the request was for. */
    public QualityReason quality() {
        return reaction == Reaction.UNIT_LOST ? QualityReason.UNREACHABLE : QualityReason.REFUSED_BY_DEVICE;
    }
}
