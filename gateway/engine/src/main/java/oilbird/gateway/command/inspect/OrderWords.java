package oilbird.gateway.command.inspect;

import java.time.DateTimeException;
import java.time.Duration;
import java.time.LocalDate;
import java.time.ZoneId;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.mapping.map.Verification;
import org.jspecify.annotations.Nullable;

/** The words of one {@code inspect} command: options, and the address of what is looked at. */
public final class OrderWords {
    private static final Pattern SECONDS = Pattern.compile("([0-9]{1,5}) ?(ms|s|m|min)");

    private final Map<String, String> given;
    private final @Nullable String address;

    private OrderWords(Map<String, String> given, @Nullable String address) {
        this.given = given;
        this.address = address;
    }

    /**
     * @param withValue options whose value is the next word.
     * @param alone options without one.
     * @throws WrongOrderException for an option that is unknown or lacks its value, and for a second address.
     */
    public static OrderWords of(List<String> words, Set<String> withValue, Set<String> alone)
            throws WrongOrderException {
        Map<String, String> given = new LinkedHashMap<>();
        String address = null;
        for (int i = 0; i < words.size(); i++) {
            String word = words.get(i);
            if (alone.contains(word)) {
                given.put(word, "");
            } else if (withValue.contains(word)) {
                if (i + 1 == words.size()) {
                    throw new WrongOrderException(word + " needs a value");
                }
                given.put(word, words.get(++i));
            } else if (word.startsWith("-") || address != null) {
                throw new WrongOrderException("inspect does not know \"" + word + "\"");
            } else {
                address = word;
            }
        }
        return new OrderWords(given, address);
    }

    /** The word that is no option; null if there is none. */
    public @Nullable String address() {
        return address;
    }

    public boolean has(String option) {
        return given.containsKey(option);
    }

    /** The option's value; empty if it is not given. */
    public String text(String option) {
        return given.getOrDefault(option, "");
    }

    /** The time that an option gives. */
    public Duration duration(String option, Duration absent) throws WrongOrderException {
        if (!has(option)) {
            return absent;
        }
        Matcher matcher = SECONDS.matcher(text(option));
        if (!matcher.matches() || Integer.parseInt(matcher.group(1)) == 0) {
            throw new WrongOrderException(option + " takes a time such as 500ms, 30s or 2m");
        }
        int count = Integer.parseInt(matcher.group(1));
        return switch (matcher.group(2)) {
            case "ms" -> Duration.ofMillis(count);
            case "s" -> Duration.ofSeconds(count);
            default -> Duration.ofMinutes(count);
        };
    }

    /** Who compares ({@code --by}), and when ({@code --on}; today if it is not given). */
    public Verification mark() throws WrongOrderException {
        try {
            return new Verification(
                    text("--by"), has("--on") ? LocalDate.parse(text("--on")) : LocalDate.now(ZoneId.systemDefault()));
        } catch (DateTimeException noDay) {
            throw new WrongOrderException("--on takes a day such as 2026-03-31, not \"" + text("--on") + "\"");
        }
    }
}
