package oilbird.gateway.modbus;

import oilbird.mapping.signal.QualityReason;

/** Why a request brought no valid answer. Each one closes a connection of Modbus TCP; a serial line is let fall silent. */
public enum Fault {
    HOST_UNKNOWN("host name cannot be resolved", QualityReason.UNREACHABLE),
    CONNECTION_REFUSED("connection refused", QualityReason.UNREACHABLE),
    CONNECT_TIMEOUT("no connection within the deadline", QualityReason.UNREACHABLE),
    CONNECT_FAILED("no connection", QualityReason.UNREACHABLE),
    PORT_MISSING("serial port cannot be opened", QualityReason.UNREACHABLE),
    PORT_LOST("serial port is gone", QualityReason.UNREACHABLE),
    NO_ANSWER("no answer within the deadline", QualityReason.UNREACHABLE),
    ANSWER_TOO_SLOW("answer not whole within the deadline", QualityReason.UNREACHABLE),
    CLOSED("connection closed by the device instead of an answer", QualityReason.UNREACHABLE),
    CLOSED_INSIDE_ANSWER("connection closed by the device inside an answer", QualityReason.UNREACHABLE),
    CONNECTION_RESET("connection reset", QualityReason.UNREACHABLE),
    UNASKED_BYTES("bytes came that no request had asked for", QualityReason.INVALID_ANSWER),
    WRONG_TRANSACTION("answer for another transaction id", QualityReason.INVALID_ANSWER),
    WRONG_PROTOCOL("protocol id is not 0", QualityReason.INVALID_ANSWER),
    LENGTH_OUT_OF_BOUNDS("length field is not 2 to 254", QualityReason.INVALID_ANSWER),
    WRONG_UNIT("answer of another unit id", QualityReason.INVALID_ANSWER),
    WRONG_FUNCTION("answer to another function", QualityReason.INVALID_ANSWER),
    WRONG_BYTE_COUNT("byte count is not what was asked for", QualityReason.INVALID_ANSWER),
    WRONG_LENGTH("length field does not fit the answer inside", QualityReason.INVALID_ANSWER),
    MORE_THAN_ONE_ANSWER("more bytes follow the answer", QualityReason.INVALID_ANSWER),
    BAD_CRC("checksum of the answer is wrong", QualityReason.INVALID_ANSWER),
    NOISE("bytes that are no frame", QualityReason.INVALID_ANSWER),
    FOREIGN_TRAFFIC(
            "a frame that no request of ours explains, so another master speaks on the line",
            QualityReason.INVALID_ANSWER),
    LINE_NEVER_SILENT("the line never falls silent", QualityReason.INVALID_ANSWER),
    OWN_ECHO("our own request came back; say echo: true for this line", QualityReason.INVALID_ANSWER),
    ECHO_DIFFERS("the echo is not what was sent, so something else drives the wires", QualityReason.INVALID_ANSWER),
    MALFORMED_IDENTIFICATION("identification cannot be read", QualityReason.INVALID_ANSWER);

    private final String words;
    private final QualityReason quality;

    Fault(String words, QualityReason quality) {
        this.words = words;
        this.quality = quality;
    }

    /** For the engineer; no full stop, no device name. */
    public String words() {
        return words;
    }

    /** What becomes of the readings that the request was for. */
    public QualityReason quality() {
        return quality;
    }
}
