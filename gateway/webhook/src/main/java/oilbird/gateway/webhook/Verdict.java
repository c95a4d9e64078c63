package oilbird.gateway.webhook;

/** What the status of an answer means for the event that was sent (RFC 9110, 15). */
enum Verdict {
    /** The other side has it. */
    TAKEN,
    /** It will never take this event, however often it is sent; the link goes on without it. */
    REFUSED,
    /** It could not process this event; whether the event or the other side is at fault shows later. */
    FAILED,
    /** The event is not at fault: address, authorisation or load. It is sent again. */
    LATER;

    static Verdict of(int status) {
        if (status >= 200 && status < 300) {
            return TAKEN;
        }
        return switch (status) {
            case 400, 406, 409, 411, 413, 414, 415, 417, 422, 431 -> REFUSED;
            case 500, 501, 505, 506, 507, 508 -> FAILED;
            default -> LATER;
        };
    }
}
