package oilbird.demoplant.room;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.time.ZoneId;
import java.time.format.DateTimeFormatter;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/**
 * One alarm event as a control room reads it: what happened, whether the readings can be trusted, and what to check
 * first.
 *
 * @param eventId the same for every repetition of the same fact
 * @param kind what happened to the alarm: {@code raised}, {@code returned}, {@code acknowledged} and so on
 * @param alarm which alarm
 * @param asset name of what it is about, empty when not said
 * @param sounds whether it asks for the operator's attention anew
 * @param priority its priority, empty when none is given
 * @param sentence what happened, one plain sentence
 * @param trust whether the readings can be trusted, empty when nothing is said
 * @param firstChecks the first checks, in order
 * @param call whom to call, empty when nobody is named
 * @param within within which time, empty when not said
 * @param at when it happened, as sent
 */
record AlarmNotice(
        String eventId,
        String kind,
        String alarm,
        String asset,
        boolean sounds,
        String priority,
        String sentence,
        String trust,
        List<Check> firstChecks,
        String call,
        String within,
        String at) {
    private static final ObjectMapper JSON = new ObjectMapper();
    private static final DateTimeFormatter TIME_OF_DAY =
            DateTimeFormatter.ofPattern("HH:mm:ss", Locale.ROOT).withZone(ZoneId.systemDefault());

    private static final List<String> EXPOSURES =
            List.of("screen only", "look from outside", "open a cabinet", "touch or measure", "outage needed");

    AlarmNotice {
        firstChecks = List.copyOf(firstChecks);
    }

    /**
     * One first check.
     *
     * @param what what to do
     * @param exposure how near one comes, in words
     * @param cautions what to mind
     */
    record Check(String what, String exposure, List<String> cautions) {
        Check {
            cautions = List.copyOf(cautions);
        }
    }

    /** A message that is no alarm event; the text says why. */
    static final class Unreadable extends Exception {
        private static final long serialVersionUID = 1L;

        Unreadable(String message) {
            super(message);
        }
    }

    static JsonNode object(byte[] payload) throws Unreadable {
        JsonNode event;
        try {
            event = JSON.readTree(new String(payload, StandardCharsets.UTF_8));
        } catch (JsonProcessingException notJson) {
            throw new Unreadable("not JSON: " + notJson.getOriginalMessage());
        }
        if (!event.isObject()) {
            throw new Unreadable("not a JSON object");
        }
        return event;
    }

    /** Reads the JSON of one event. */
    static AlarmNotice read(byte[] payload) throws Unreadable {
        JsonNode event = object(payload);
        List<Check> checks = new ArrayList<>();
        for (JsonNode check : event.path("firstChecks")) {
            List<String> cautions = new ArrayList<>();
            check.path("cautions")
                    .forEach(caution -> cautions.add(caution.path("text").asText()));
            checks.add(new Check(check.path("do").asText(), optional(check, "exposureText"), cautions));
        }
        return new AlarmNotice(
                required(event, "eventId"),
                required(event, "kind"),
                required(event, "alarm"),
                optional(event, "assetName"),
                required(event, "annunciate").equals("start"),
                optional(event, "priority"),
                required(event, "sentence"),
                optional(event, "trust"),
                checks,
                optional(event, "call"),
                optional(event, "within"),
                required(event, "at"));
    }

    /** Whether it tells in words what happened and what to check first. */
    boolean isExplained() {
        return !sentence.isBlank()
                && !firstChecks.isEmpty()
                && !firstChecks.get(0).what().isBlank();
    }

    /** The event in plain words; several lines when it asks for attention, one when not. */
    String print() {
        if (!sounds) {
            return timeOfDay() + "  " + kind + ": " + sentence + "  [" + alarm + "]";
        }
        StringBuilder text = new StringBuilder();
        text.append(timeOfDay()).append("  ALARM");
        if (!priority.isBlank()) {
            text.append(", priority ").append(priority);
        }
        text.append(asset.isBlank() ? "" : "  " + asset);
        text.append("  [").append(alarm).append("]\n").append(sentence).append('\n');
        if (!sentence.contains(trust)) {
            text.append(trust).append('\n');
        }
        if (!sentence.contains(call)) {
            text.append("Call: ").append(call);
            text.append(within.isBlank() ? "" : ", within " + inWords(within)).append('\n');
        }
        if (!firstChecks.isEmpty()) {
            Check check = firstChecks.get(0);
            text.append("First check: ").append(check.what());
            text.append(check.exposure().isBlank() ? "" : " (" + check.exposure() + ")")
                    .append('\n');
            check.cautions()
                    .forEach(caution ->
                            text.append("  Caution: ").append(caution).append('\n'));
        }
        if (firstChecks.size() > 1) {
            text.append("More checks on the page: ")
                    .append(firstChecks.size() - 1)
                    .append('\n');
        }
        return text.toString().stripTrailing();
    }

    private String timeOfDay() {
        try {
            return TIME_OF_DAY.format(Instant.parse(at));
        } catch (DateTimeParseException otherForm) {
            return at;
        }
    }

    /** An ISO 8601 duration as people say it, such as {@code 2 h 30 min}. */
    private static String inWords(String duration) {
        Duration time;
        try {
            time = Duration.parse(duration);
        } catch (DateTimeParseException otherForm) {
            return duration;
        }
        List<String> parts = new ArrayList<>();
        addPart(parts, time.toDays(), "d");
        addPart(parts, time.toHoursPart(), "h");
        addPart(parts, time.toMinutesPart(), "min");
        addPart(parts, time.toSecondsPart(), "s");
        return parts.isEmpty() ? "0 s" : String.join(" ", parts);
    }

    private static void addPart(List<String> parts, long count, String unit) {
        if (count > 0) {
            parts.add(count + " " + unit);
        }
    }

    static String required(JsonNode event, String field) throws Unreadable {
        String text = event.path(field).asText("");
        if (text.isEmpty()) {
            throw new Unreadable("no \"" + field + "\"");
        }
        return text;
    }

    private static String optional(JsonNode event, String field) {
        JsonNode node = event.path(field);
        return node.isNull() ? "" : node.asText("");
    }
}
