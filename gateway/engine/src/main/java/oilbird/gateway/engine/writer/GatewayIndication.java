package oilbird.gateway.engine.writer;

import oilbird.mapping.signal.SignalId;

/**
 * The indications that the gateway gives of itself, as device {@code gateway}. Rules are written on them as on any
 * other device's; they come at every change and at every heartbeat.
 */
public enum GatewayIndication {
    /** The disk does not take the event record; events are announced from memory and are lost with a restart. */
    RECORD_NOT_WRITTEN("record-not-written"),
    /** The event record was damaged; it was set aside and a new one begun. Holds until the next start. */
    RECORD_SET_ASIDE("record-set-aside"),
    /** Events announced from memory had to be given up before the disk could take them. Holds until the next start. */
    EVENTS_NOT_RECORDED("events-not-recorded"),
    /** The gateway could not keep up with its devices and lost inputs within the last minute. */
    INPUTS_LOST("inputs-lost"),
    /** The wall clock is unset, not synchronised or has stepped; time stamps may be wrong. */
    CLOCK_NOT_TRUSTED("clock-not-trusted"),
    /** This start could not be written down; a later start might repeat event ids. Holds until the next start. */
    START_NOT_RECORDED("start-not-recorded"),
    /** A link's other side has refused an event for good. Holds until the next start. */
    EVENTS_REFUSED("events-refused"),
    /** The gateway met a fault of its own and passed over an input. Holds until the next start. */
    INTERNAL_FAULT("internal-fault"),
    /** Somebody signed in with the break-glass code. Holds until a new code is made. */
    BREAK_GLASS_USED("break-glass-used"),
    /** Other users of the machine can read or write a file with secrets. Holds until none can. */
    SECRETS_EXPOSED("secrets-exposed"),
    /** The certificate of the gateway's pages is over, or soon is. Holds until there is another. */
    CERTIFICATE_EXPIRING("certificate-expiring"),
    /** A link has nearly as many events waiting as the event record can hold. */
    LINK_FALLS_BEHIND("link-falls-behind"),
    /** Events were removed from the record before a link's other side had them. Holds until the next start. */
    LINK_EVENTS_MISSED("link-events-missed"),
    /** The bound of the event record is too small: events that the station still wants are removed. */
    RECORD_CUT_SHORT("record-cut-short"),
    /** A link has sent more today than its budget allows. Holds until the day is over. */
    LINK_BUDGET_USED("link-budget-used");

    /** Id of the gateway's own device and asset in every station. */
    public static final String DEVICE = "gateway";

    /** The block in which they come. */
    public static final String BLOCK = "self";

    private final String signal;

    GatewayIndication(String signal) {
        this.signal = signal;
    }

    /** Name as written in rules. */
    public String signal() {
        return signal;
    }

    public SignalId id() {
        return new SignalId(DEVICE, signal);
    }
}
