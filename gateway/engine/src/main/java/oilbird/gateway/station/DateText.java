package oilbird.gateway.station;

import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.time.format.DateTimeParseException;
import oilbird.mapping.text.YamlMapping;
import org.jspecify.annotations.Nullable;

/** Dates in a station file: a day, taken as its beginning in UTC. */
final class DateText {
    private DateText() {}

    /** Null where the date is missing or none, which is told. */
    static @Nullable Instant of(YamlMapping mapping, String key) {
        if (!mapping.has(key)) {
            return null;
        }
        String text = mapping.text(key, "");
        try {
            return LocalDate.parse(text).atStartOfDay().toInstant(ZoneOffset.UTC);
        } catch (DateTimeParseException e) {
            // What does not even look like a date the schema has refused already.
            if (text.length() == "2026-03-31".length()) {
                mapping.problems()
                        .error(
                                mapping.valuePosition(key),
                                "there is no day `" + text + "`",
                                "write one of the calendar");
            }
            return null;
        }
    }
}
