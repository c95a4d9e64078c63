package oilbird.gateway.contract;

import com.fasterxml.jackson.core.JacksonException;
import com.fasterxml.jackson.core.JsonLocation;
import com.fasterxml.jackson.core.JsonParser;
import com.fasterxml.jackson.databind.JsonMappingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.cfg.CoercionAction;
import com.fasterxml.jackson.databind.cfg.CoercionInputShape;
import com.fasterxml.jackson.databind.exc.MismatchedInputException;
import com.fasterxml.jackson.databind.exc.UnrecognizedPropertyException;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.type.LogicalType;
import java.io.IOException;
import java.util.stream.Collectors;
import org.jspecify.annotations.Nullable;

/** How forms that come in are read: a key that nobody knows or a value of another kind is a mistake, never passed over. */
public final class Received {
    private static final ObjectMapper JSON = JsonMapper.builder()
            .enable(JsonParser.Feature.STRICT_DUPLICATE_DETECTION)
            .withCoercionConfig(
                    LogicalType.Textual,
                    textual -> textual.setCoercion(CoercionInputShape.Integer, CoercionAction.Fail)
                            .setCoercion(CoercionInputShape.Float, CoercionAction.Fail)
                            .setCoercion(CoercionInputShape.Boolean, CoercionAction.Fail))
            .build();

    /** What was sent is not the form that was asked for. */
    public static final class WrongFormException extends Exception {
        private static final long serialVersionUID = 1L;

        private final @Nullable String field;

        WrongFormException(@Nullable String field, String message) {
            super(message);
            this.field = field;
        }

        /** The key at fault, or null where the whole is. */
        public @Nullable String field() {
            return field;
        }
    }

    private Received() {}

    private static String wanted(JsonMappingException e) {
        Class<?> type = e instanceof MismatchedInputException mismatch ? mismatch.getTargetType() : null;
        if (type == Long.class || type == Integer.class) {
            return "a whole number";
        }
        return type == Boolean.class ? "true or false" : "a text in quotes";
    }

    /**
     * @param json UTF-8; nothing at all gives null.
     */
    @SuppressWarnings("UnusedException") // what is wrong is told; the parser's own words quote its classes
    public static <T> @Nullable T form(byte[] json, Class<T> of) throws WrongFormException {
        if (json.length == 0) {
            return null;
        }
        try {
            return JSON.readValue(json, of);
        } catch (UnrecognizedPropertyException e) {
            String known = e.getKnownPropertyIds() == null
                    ? ""
                    : "; it has "
                            + e.getKnownPropertyIds().stream()
                                    .map(String::valueOf)
                                    .sorted()
                                    .collect(Collectors.joining(", "));
            throw new WrongFormException(
                    e.getPropertyName(), "the form has no key `" + e.getPropertyName() + "`" + known);
        } catch (JsonMappingException e) {
            String field = e.getPath().stream()
                    .map(step -> step.getFieldName() == null ? "" : step.getFieldName())
                    .collect(Collectors.joining("."));
            throw new WrongFormException(
                    field.isEmpty() ? null : field,
                    field.isEmpty() ? "the form is an object in braces" : "`" + field + "` is " + wanted(e));
        } catch (JacksonException e) {
            JsonLocation at = e.getLocation();
            throw new WrongFormException(
                    null,
                    "this is no JSON"
                            + (at == null ? "" : ", line " + at.getLineNr() + ", column " + at.getColumnNr()));
        } catch (IOException e) {
            throw new WrongFormException(null, "this cannot be read");
        }
    }
}
