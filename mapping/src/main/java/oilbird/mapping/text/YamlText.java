package oilbird.mapping.text;

import java.util.List;
import java.util.Locale;
import java.util.regex.Pattern;

/** Writes texts so that they are read back as they were, in braces too. */
public final class YamlText {
    private static final Pattern SAFE = Pattern.compile("[A-Za-z][A-Za-z0-9 ()/._+%-]{0,198}");
    private static final List<String> MISTAKABLE = List.of("true", "false", "null", "yes", "no", "on", "off", "y", "n");

    private YamlText() {}

    /** The text itself where nobody can mistake it for something else, otherwise in double quotes. */
    public static String of(String text) {
        if (SAFE.matcher(text).matches()
                && !text.endsWith(" ")
                && !MISTAKABLE.contains(text.toLowerCase(Locale.ROOT))) {
            return text;
        }
        StringBuilder quoted = new StringBuilder("\"");
        text.codePoints().forEach(c -> {
            if (c == '"' || c == '\\') {
                quoted.append('\\').appendCodePoint(c);
            } else if (c < 0x20 || c == 0x7F || c == 0x85 || c == 0x2028 || c == 0x2029 || c == 0xFEFF) {
                quoted.append(String.format("\\u%04x", c));
            } else {
                quoted.appendCodePoint(c);
            }
        });
        return quoted.append('"').toString();
    }

    /** The text on one line without control characters, for a comment. */
    public static String comment(String text) {
        StringBuilder plain = new StringBuilder();
        text.codePoints()
                .forEach(c -> plain.appendCodePoint(
                        Character.isISOControl(c) || c == 0x2028 || c == 0x2029 || c == 0xFEFF ? ' ' : c));
        return plain.toString().strip();
    }
}
