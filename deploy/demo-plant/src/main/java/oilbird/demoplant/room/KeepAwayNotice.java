package oilbird.demoplant.room;

import com.fasterxml.jackson.databind.JsonNode;

/**
 * People are to keep away from something, or need not any more.
 *
 * @param eventId the same for every repetition of the same fact
 * @param asset what they are to keep away from
 * @param released true where the control room has released it
 * @param text one plain sentence
 */
record KeepAwayNotice(String eventId, String asset, boolean released, String text) {
    static KeepAwayNotice read(byte[] payload) throws AlarmNotice.Unreadable {
        JsonNode event = AlarmNotice.object(payload);
        return new KeepAwayNotice(
                AlarmNotice.required(event, "eventId"),
                AlarmNotice.required(event, "asset"),
                AlarmNotice.required(event, "kind").equals("released"),
                AlarmNotice.required(event, "text"));
    }

    String print() {
        return (released ? "KEEP-AWAY RELEASED  " : "KEEP AWAY  ") + "[" + asset + "]\n" + text;
    }
}
