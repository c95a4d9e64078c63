package oilbird.gateway.engine.record;

import static oilbird.gateway.engine.record.CanonicalJson.field;
import static oilbird.gateway.engine.record.CanonicalJson.number;
import static oilbird.gateway.engine.record.CanonicalJson.parse;

import com.fasterxml.jackson.databind.JsonNode;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.station.Remembered;

/** The stored form of a remembered piece, without its key; instants as they are, like the deadlines of alarms. */
final class RememberedCodec {
    private static final int VERSION = 1;

    private RememberedCodec() {}

    static byte[] write(Remembered piece) {
        return CanonicalJson.object(json -> {
            json.writeNumberField("v", VERSION);
            json.writeArrayFieldStart("texts");
            for (String text : piece.texts()) {
                json.writeString(text);
            }
            json.writeEndArray();
            json.writeArrayFieldStart("instants");
            for (long instant : piece.instants()) {
                json.writeNumber(instant);
            }
            json.writeEndArray();
            json.writeArrayFieldStart("numbers");
            for (double value : piece.numbers()) {
                json.writeNumber(value);
            }
            json.writeEndArray();
        });
    }

    /**
     * @throws UnreadableRowException if the bytes are no known version.
     */
    static Remembered read(String key, byte[] bytes) {
        JsonNode json = parse(bytes);
        if (number(json, "v") != VERSION) {
            throw new UnreadableRowException("unknown version " + number(json, "v"));
        }
        List<String> texts = new ArrayList<>();
        field(json, "texts").forEach(text -> texts.add(text.textValue()));
        List<Long> instants = new ArrayList<>();
        field(json, "instants").forEach(instant -> instants.add(instant.longValue()));
        List<Double> numbers = new ArrayList<>();
        field(json, "numbers").forEach(value -> numbers.add(value.doubleValue()));
        return new Remembered(key, texts, instants, numbers, false);
    }
}
