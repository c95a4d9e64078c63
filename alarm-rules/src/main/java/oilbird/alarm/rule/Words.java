package oilbird.alarm.rule;

import java.util.List;
import java.util.function.Consumer;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.mapping.text.Suggestion;
import oilbird.mapping.text.YamlNode;

/** Words of a file with placeholders, of which sentences are made. */
public final class Words {
    private static final Pattern PLACEHOLDER = Pattern.compile("\\{([^{}]*)\\}");

    private Words() {}

    /**
     * Tells of placeholders that stand for nothing, and of a full stop in the middle of a sentence to be.
     *
     * @param placeholders the names that stand for something.
     * @param use the remedy where none of them is close.
     * @param known is given each placeholder that stands for something.
     */
    public static void check(YamlNode words, List<String> placeholders, String use, Consumer<String> known) {
        String text = words.asText();
        Matcher matcher = PLACEHOLDER.matcher(text);
        while (matcher.find()) {
            String name = matcher.group(1);
            if (placeholders.contains(name)) {
                known.accept(name);
            } else {
                words.error(
                        "`{" + name + "}` stands for nothing",
                        Suggestion.closest(name, placeholders)
                                .map(close -> "did you mean {" + close + "}?")
                                .orElse(use));
            }
        }
        if (text.endsWith(".")) {
            words.warning("the text ends in a full stop", "leave it out; a sentence is made of it");
        }
    }

    /**
     * The words with every placeholder replaced.
     *
     * @param value present value with its unit.
     * @param limit the limit that counts, with its unit.
     */
    public static String filled(String words, RuleInstance rule, String value, String limit) {
        String device = rule.device() == null ? "" : rule.device().name();
        return words.replace("{device}", device)
                .replace("{asset}", rule.asset().name())
                .replace("{value}", value)
                .replace("{limit}", limit);
    }
}
