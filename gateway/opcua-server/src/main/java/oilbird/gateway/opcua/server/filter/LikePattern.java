package oilbird.gateway.opcua.server.filter;

import java.util.regex.Pattern;
import java.util.regex.PatternSyntaxException;
import org.jspecify.annotations.Nullable;

/**
 * Patterns of the Like operator (OPC 10000-4, 7.7.3): {@code %} any string, {@code _} any character, {@code \} the next
 * character as it is, {@code [ ]} one of a list or range, {@code [^ ]} none of it.
 */
final class LikePattern {
    private static final int LONGEST = 1_000;

    private LikePattern() {}

    /** The pattern as a regular expression of the whole string; null where it is none: a list that does not end. */
    static @Nullable Pattern compile(String like) {
        if (like.length() > LONGEST) {
            return null;
        }
        StringBuilder regex = new StringBuilder();
        for (int i = 0; i < like.length(); i++) {
            char c = like.charAt(i);
            if (c == '%') {
                // several in a row say the same as one, and cost time
                if (!regex.toString().endsWith(".*+") && !regex.toString().endsWith(".*")) {
                    regex.append(".*");
                }
            } else if (c == '_') {
                regex.append('.');
            } else if (c == '\\') {
                if (i + 1 == like.length()) {
                    return null;
                }
                quote(regex, like.charAt(++i));
            } else if (c == '[') {
                int end = list(like, i + 1, regex);
                if (end < 0) {
                    return null;
                }
                i = end;
            } else {
                quote(regex, c);
            }
        }
        try {
            return Pattern.compile(regex.toString(), Pattern.DOTALL);
        } catch (PatternSyntaxException e) {
            return null;
        }
    }

    /** Returns where the list ends, or -1. */
    private static int list(String like, int from, StringBuilder regex) {
        int i = from;
        regex.append('[');
        if (i < like.length() && like.charAt(i) == '^') {
            regex.append('^');
            i++;
        }
        int first = i;
        for (; i < like.length(); i++) {
            char c = like.charAt(i);
            if (c == ']' && i > first) {
                regex.append(']');
                return i;
            }
            if (c == '-' && i > first && i + 1 < like.length() && like.charAt(i + 1) != ']') {
                regex.append('-');
            } else if (c == '\\' && i + 1 < like.length()) {
                quote(regex, like.charAt(++i));
            } else {
                quote(regex, c);
            }
        }
        return -1;
    }

    private static void quote(StringBuilder regex, char c) {
        if (!Character.isLetterOrDigit(c) && c < 128) {
            regex.append('\\');
        }
        regex.append(c);
    }
}
