package oilbird.mapping.text;

import java.util.Collection;
import java.util.List;
import java.util.Locale;
import org.jspecify.annotations.Nullable;

/** Words the mistakes that both the schema check and the typed views find, so that they read alike. */
final class Mistakes {
    private static final List<String> YES = List.of("yes", "on", "y");
    private static final List<String> NO = List.of("no", "off", "n");
    private static final int LONGEST_QUOTE = 40;

    private Mistakes() {}

    /** The offending text in backquotes, shortened and on one line. */
    static String quoted(String text) {
        StringBuilder shown = new StringBuilder("`");
        text.codePoints()
                .limit(LONGEST_QUOTE)
                .forEach(c -> shown.appendCodePoint(Character.isISOControl(c) || c == 0x2028 || c == 0x2029 ? '?' : c));
        if (text.codePointCount(0, text.length()) > LONGEST_QUOTE) {
            shown.append("...");
        }
        return shown.append('`').toString();
    }

    static String typeName(String jsonType) {
        return switch (jsonType) {
            case "object" -> "keys and values";
            case "array" -> "a list";
            case "string" -> "a text";
            case "integer" -> "a whole number";
            case "number" -> "a number";
            case "boolean" -> "true or false";
            case "null" -> "nothing";
            default -> jsonType;
        };
    }

    static void missingKey(YamlMapping mapping, String key) {
        mapping.error("the key " + quoted(key) + " is missing", "add " + key + ": here");
    }

    static void wrongType(YamlNode node, String... wantedTypes) {
        wrongType(node, List.of(wantedTypes), "");
    }

    /**
     * @param ownRemedy what the schema says to write; empty for nothing.
     */
    static void wrongType(YamlNode node, List<String> wanted, String ownRemedy) {
        String names =
                String.join(" or ", wanted.stream().map(Mistakes::typeName).toList());
        String what = node.shown() + " stands in place of " + names;
        String remedy = ownRemedy.isEmpty() ? "write " + names : ownRemedy;
        if (node instanceof YamlScalar scalar) {
            String written = scalar.written();
            String lower = written.toLowerCase(Locale.ROOT);
            if (scalar.kind() == YamlScalar.Kind.NOTHING) {
                what = "no value is given";
                remedy = "write " + names + ", or delete the key";
            } else if (wanted.contains("boolean") && YES.contains(lower)) {
                what = quoted(written) + " is a text, not true or false";
                remedy = "write true";
            } else if (wanted.contains("boolean") && NO.contains(lower)) {
                what = quoted(written) + " is a text, not true or false";
                remedy = "write false";
            } else if (wanted.contains("boolean") && (lower.equals("true") || lower.equals("false"))) {
                remedy = "write " + lower + " in lower case, without quotes";
            } else if (wanted.contains("string") && scalar.kind() != YamlScalar.Kind.TEXT) {
                what = quoted(written) + " is "
                        + (scalar.kind() == YamlScalar.Kind.TRUTH ? "true or false" : "a number") + ", not a text";
                remedy = ownRemedy.isEmpty() ? "put it in quotes: \"" + written + "\"" : ownRemedy;
            } else if (scalar.kind() == YamlScalar.Kind.TEXT
                    && !scalar.plain()
                    && (wanted.contains("integer") || wanted.contains("number"))) {
                what = quoted(written) + " in quotes is a text, not " + names;
                remedy = "write it without quotes";
            } else if (written.matches("[-+]?[0-9]{1,20},[0-9]{1,20}") && wanted.contains("number")) {
                remedy = "write the decimal sign as a point: " + written.replace(',', '.');
            }
        }
        node.problems().misshapen(node.position(), what, remedy);
    }

    static void notOneOf(YamlNode node, Collection<String> allowed) {
        String written = node instanceof YamlScalar scalar ? scalar.written() : "";
        notOneOf(node, otherWords(written, allowed));
    }

    static void notOneOf(YamlNode node, String remedy) {
        node.problems().misshapen(node.position(), node.shown() + " is not known here", remedy);
    }

    static String otherWords(String written, Collection<String> allowed) {
        return Suggestion.closest(written, allowed)
                .map(close -> "did you mean " + close + "?"
                        + (allowed.size() > 1 && allowed.size() <= 12 ? " (one of " + list(allowed) + ")" : ""))
                .orElse((allowed.size() > 1 ? "write one of " : "write ") + list(allowed));
    }

    static void unknownKey(YamlMapping mapping, String key, Collection<String> known) {
        String cut = textBeforeComma(mapping, key);
        if (cut != null) {
            mapping.problems()
                    .error(
                            mapping.keyPosition(key),
                            "the key " + quoted(key) + " is not known here; a comma in braces ends the text before it",
                            "if it belongs to that text, put the text in quotes: \"" + cut + "\"");
            return;
        }
        List<String> free = known.stream().filter(k -> !mapping.has(k)).toList();
        String remedy = Suggestion.closest(key, known)
                .map(close -> mapping.has(close)
                        ? "delete it; " + close + " is already given"
                        : "did you mean " + close + "?")
                .orElse(
                        free.isEmpty()
                                ? "delete it; all keys known here are given"
                                : "delete it, or use one of " + list(free));
        mapping.problems().error(mapping.keyPosition(key), "the key " + quoted(key) + " is not known here", remedy);
    }

    /** The text that a comma in braces seems to have cut in two; null where nothing looks like it. */
    private static @Nullable String textBeforeComma(YamlMapping mapping, String key) {
        if (!mapping.inBraces()
                || !(mapping.get(key) instanceof YamlScalar nothing)
                || !nothing.plain()
                || !nothing.written().isEmpty()) {
            return null;
        }
        String before = null;
        for (YamlMapping.Entry entry : mapping.entries()) {
            if (entry.key().equals(key)) {
                return before == null ? null : before + ", " + key;
            }
            if (!(entry.value() instanceof YamlScalar scalar)) {
                before = null;
            } else if (before != null && scalar.plain() && scalar.written().isEmpty()) {
                before = before + ", " + entry.key();
            } else {
                before = scalar.kind() == YamlScalar.Kind.TEXT && scalar.plain() ? scalar.written() : null;
            }
        }
        return null;
    }

    static String list(Collection<String> words) {
        return String.join(", ", words);
    }
}
