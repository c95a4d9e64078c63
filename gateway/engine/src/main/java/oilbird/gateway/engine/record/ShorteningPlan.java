package oilbird.gateway.engine.record;

import oilbird.alarm.station.StationEvent;
import oilbird.mapping.signal.SignalId;

/**
 * Which events are removed from a record, those removed earlier included.
 *
 * @param fromPosition of the first of them.
 * @param toPosition of the last of them.
 * @param first id of the first event.
 * @param last id of the last event.
 * @param hash of the last of them, on which the rest stands, in hexadecimal digits.
 */
public record ShorteningPlan(long fromPosition, long toPosition, String first, String last, String hash) {
    /** What the event is about that says it. */
    public static final SignalId SUBJECT = new SignalId("gateway", "record");

    /** What the event says; compared word for word when the record is verified. */
    public String text() {
        return "events " + first + " to " + last + " (positions " + fromPosition + " to " + toPosition
                + ") are removed; the rest stands on " + hash;
    }

    boolean isSaidBy(StationEvent event) {
        return event instanceof StationEvent.Notice notice
                && notice.kind() == StationEvent.Notice.Kind.RECORD_SHORTENED
                && notice.text().equals(text());
    }
}
