package oilbird.gateway.contract;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.Locale;
import oilbird.mapping.signal.Moment;

/** How values are written in every form. */
public final class Written {
    private static final DateTimeFormatter RFC_3339 =
            DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm:ss.SSSX").withZone(ZoneOffset.UTC);
    private static final ObjectMapper JSON = new ObjectMapper();

    private Written() {}

    /** UTF-8 JSON. */
    public static byte[] json(Object form) {
        try {
            return JSON.writeValueAsString(form).getBytes(StandardCharsets.UTF_8);
        } catch (JsonProcessingException e) {
            throw new IllegalStateException("a form that cannot be written: " + form.getClass(), e);
        }
    }

    public static String time(Moment at) {
        return time(at.wallMillis());
    }

    /**
     * @param wallMillis milliseconds since 1970-01-01T00:00:00Z.
     */
    public static String time(long wallMillis) {
        return RFC_3339.format(Instant.ofEpochMilli(wallMillis));
    }

    /** {@code RE_ALARMED} becomes {@code re-alarmed}. */
    public static String name(Enum<?> value) {
        return value.name().toLowerCase(Locale.ROOT).replace('_', '-');
    }
}
