package oilbird.gateway.engine.record;

import com.fasterxml.jackson.core.JsonFactory;
import com.fasterxml.jackson.core.JsonGenerator;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.state.Actor;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * The one written form of a fact: UTF-8 JSON without blanks, the fields in the order in which the codec writes them,
 * absent values as null. The same fact always gives the same bytes.
 */
final class CanonicalJson {
    private static final JsonFactory FACTORY = new JsonFactory();
    private static final ObjectMapper MAPPER = new ObjectMapper(FACTORY);

    private CanonicalJson() {}

    /** Writes the fields of one object. */
    @FunctionalInterface
    interface Fields {
        void write(JsonGenerator json) throws IOException;
    }

    static byte[] object(Fields fields) {
        ByteArrayOutputStream bytes = new ByteArrayOutputStream(512);
        try (JsonGenerator json = FACTORY.createGenerator(bytes)) {
            json.writeStartObject();
            fields.write(json);
            json.writeEndObject();
        } catch (IOException e) {
            throw new UncheckedIOException("writing to memory", e);
        }
        return bytes.toByteArray();
    }

    /**
     * @throws UnreadableRowException if the bytes are no JSON object.
     */
    static JsonNode parse(byte[] bytes) {
        try {
            JsonNode node = MAPPER.readTree(bytes);
            if (node != null && node.isObject()) {
                return node;
            }
            throw new UnreadableRowException("no JSON object");
        } catch (IOException e) {
            throw new UnreadableRowException("no JSON: " + e.getMessage());
        }
    }

    static void text(JsonGenerator json, String field, @Nullable String value) throws IOException {
        json.writeFieldName(field);
        if (value == null) {
            json.writeNull();
        } else {
            json.writeString(wellFormed(value));
        }
    }

    static void moment(JsonGenerator json, String field, @Nullable Moment at) throws IOException {
        json.writeFieldName(field);
        if (at == null) {
            json.writeNull();
            return;
        }
        json.writeStartObject();
        json.writeNumberField("mono", at.monotonicNanos());
        json.writeNumberField("wall", at.wallMillis());
        json.writeBooleanField("trusted", at.wallTrusted());
        json.writeEndObject();
    }

    static void actor(JsonGenerator json, String field, @Nullable Actor actor) throws IOException {
        json.writeFieldName(field);
        if (actor == null) {
            json.writeNull();
            return;
        }
        json.writeStartObject();
        text(json, "name", actor.name());
        text(json, "door", actor.door());
        json.writeEndObject();
    }

    static void signal(JsonGenerator json, String field, SignalId id) throws IOException {
        json.writeFieldName(field);
        json.writeStartObject();
        text(json, "owner", id.owner());
        text(json, "name", id.name());
        json.writeEndObject();
    }

    static void texts(JsonGenerator json, String field, List<String> texts) throws IOException {
        json.writeArrayFieldStart(field);
        for (String each : texts) {
            json.writeString(wellFormed(each));
        }
        json.writeEndArray();
    }

    /** The shortest decimal number that is read as the same one, on every Java. */
    static void decimal(JsonGenerator json, String field, double value) throws IOException {
        json.writeFieldName(field);
        for (int digits = 15; ; digits++) {
            BigDecimal rounded = new BigDecimal(value).round(new MathContext(digits));
            if (rounded.doubleValue() == value) {
                json.writeNumber(rounded.signum() == 0 ? BigDecimal.ZERO : rounded.stripTrailingZeros());
                return;
            }
        }
    }

    static List<String> texts(JsonNode object, String field) {
        List<String> texts = new ArrayList<>();
        field(object, field).forEach(each -> texts.add(each.asText()));
        return texts;
    }

    static double decimal(JsonNode object, String field) {
        JsonNode value = field(object, field);
        if (!value.isNumber()) {
            throw new UnreadableRowException("field " + field + " is no number");
        }
        return value.doubleValue();
    }

    static JsonNode field(JsonNode object, String field) {
        JsonNode value = object.get(field);
        if (value == null) {
            throw new UnreadableRowException("no field " + field);
        }
        return value;
    }

    static String text(JsonNode object, String field) {
        JsonNode value = field(object, field);
        if (!value.isTextual()) {
            throw new UnreadableRowException("field " + field + " is no text");
        }
        return value.textValue();
    }

    static long number(JsonNode object, String field) {
        JsonNode value = field(object, field);
        if (!value.isIntegralNumber() || !value.canConvertToLong()) {
            throw new UnreadableRowException("field " + field + " is no whole number");
        }
        return value.longValue();
    }

    static boolean truth(JsonNode object, String field) {
        JsonNode value = field(object, field);
        if (!value.isBoolean()) {
            throw new UnreadableRowException("field " + field + " is neither true nor false");
        }
        return value.booleanValue();
    }

    static <E extends Enum<E>> E name(JsonNode object, String field, Class<E> type) {
        String name = text(object, field);
        try {
            return Enum.valueOf(type, name);
        } catch (IllegalArgumentException e) {
            throw new UnreadableRowException("field " + field + " has the unknown value " + name);
        }
    }

    static Moment moment(JsonNode object, String field) {
        JsonNode at = field(object, field);
        return new Moment(number(at, "mono"), number(at, "wall"), truth(at, "trusted"));
    }

    static @Nullable Actor actor(JsonNode object, String field) {
        JsonNode actor = field(object, field);
        return actor.isNull() ? null : new Actor(text(actor, "name"), text(actor, "door"));
    }

    static SignalId signal(JsonNode object, String field) {
        JsonNode id = field(object, field);
        return new SignalId(text(id, "owner"), text(id, "name"));
    }

    /** Half of a surrogate pair has no UTF-8 form; a comment that carries one must not stop the record. */
    private static String wellFormed(String text) {
        StringBuilder mended = null;
        for (int i = 0; i < text.length(); i++) {
            char c = text.charAt(i);
            if (!Character.isSurrogate(c)) {
                continue;
            }
            if (Character.isHighSurrogate(c) && i + 1 < text.length() && Character.isLowSurrogate(text.charAt(i + 1))) {
                i++;
                continue;
            }
            if (mended == null) {
                mended = new StringBuilder(text);
            }
            mended.setCharAt(i, '\uFFFD');
        }
        return mended == null ? text : mended.toString();
    }
}
