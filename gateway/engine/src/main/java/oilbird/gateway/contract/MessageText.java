package oilbird.gateway.contract;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.function.Function;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;

/**
 * The text that the other side of a link gets with an alarm event: words of the station file with placeholders in braces,
 * such as <code>{asset}: {sentence}</code>. There is no logic in it. Immutable.
 */
public final class MessageText {
    private static final Pattern BRACES = Pattern.compile("\\{([^{}]*)}|[{}]");
    private static final Map<String, Function<AlarmEventForm, String>> PLACEHOLDERS = placeholders();

    private final String template;

    private MessageText(String template) {
        this.template = template;
    }

    private static Map<String, Function<AlarmEventForm, String>> placeholders() {
        Map<String, Function<AlarmEventForm, String>> all = new LinkedHashMap<>();
        all.put("alarm", AlarmEventForm::alarm);
        all.put("asset", AlarmEventForm::assetName);
        all.put("priority", AlarmEventForm::priority);
        all.put("class", event -> event.explanation().alarmClass());
        all.put("kind", AlarmEventForm::kind);
        all.put("state", AlarmEventForm::state);
        all.put("headline", event -> event.explanation().headline());
        all.put("sentence", event -> event.explanation().sentence());
        all.put("trust", event -> event.explanation().trust());
        all.put("call", event -> event.explanation().call());
        all.put("response", event -> event.explanation().response());
        all.put("first_check", MessageText::firstCheck);
        all.put("by", event -> event.by() == null ? "" : event.by().name());
        all.put("text", AlarmEventForm::text);
        all.put("time", AlarmEventForm::at);
        all.put("event", AlarmEventForm::eventId);
        all.put("station", AlarmEventForm::station);
        return all;
    }

    /** Names of all placeholders, without braces. */
    public static List<String> names() {
        return List.copyOf(PLACEHOLDERS.keySet());
    }

    /**
     * What is wrong with a text.
     *
     * @return the placeholders that there are none of, and single braces, as written; empty where nothing is wrong.
     */
    public static List<String> unknown(String template) {
        List<String> unknown = new ArrayList<>();
        for (Matcher braces = BRACES.matcher(template); braces.find(); ) {
            if (braces.group(1) == null || !PLACEHOLDERS.containsKey(braces.group(1))) {
                unknown.add(braces.group());
            }
        }
        return unknown;
    }

    /**
     * @throws IllegalArgumentException for a text in which {@link #unknown} finds something.
     */
    public static MessageText of(String template) {
        if (!unknown(template).isEmpty()) {
            throw new IllegalArgumentException("no placeholders: " + unknown(template));
        }
        return new MessageText(template);
    }

    /** The words for one event. A first check never goes without its cautions, nor near what people are to keep away from. */
    public String of(AlarmEventForm event) {
        return BRACES.matcher(template)
                .replaceAll(found -> Matcher.quoteReplacement(
                        Objects.requireNonNull(PLACEHOLDERS.get(found.group(1))).apply(event)));
    }

    /** The event with its text; another entry of the record as it is. */
    public EventForm onto(EventForm event) {
        return event instanceof AlarmEventForm ofAlarm ? new WordedEventForm(ofAlarm, of(ofAlarm)) : event;
    }

    private static String firstCheck(AlarmEventForm event) {
        ExplanationForm explanation = event.explanation();
        if (explanation.firstChecks().isEmpty()) {
            return explanation.keepAway().stream()
                    .map(each -> "keep away from " + each.asset())
                    .collect(Collectors.joining("; "));
        }
        CheckForm check = explanation.firstChecks().get(0);
        return check.action()
                + check.cautions().stream()
                        .map(caution -> " CAUTION: " + caution.text())
                        .collect(Collectors.joining());
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof MessageText text && text.template.equals(template);
    }

    @Override
    public int hashCode() {
        return template.hashCode();
    }

    @Override
    public String toString() {
        return template;
    }
}
