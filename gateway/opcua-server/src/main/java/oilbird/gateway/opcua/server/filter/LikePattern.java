package oilbird.gateway.opcua.server.filter;

import java.util.ArrayList;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * A pattern of the Like operator (OPC 10000-4, 7.7.3): {@code %} any string, {@code _} any character, {@code \} the next
 * character as it is, {@code [ ]} one of a list or range, {@code [^ ]} none of it.
 *
 * <p>Matching takes at most the product of both lengths, whatever the pattern: clients write them, and all clients wait.
 */
final class LikePattern {
    private static final int LONGEST = 1_000;

    /** One place of the pattern. */
    private sealed interface Place {
        boolean takes(char c);
    }

    private record AnyString() implements Place {
        @Override
        public boolean takes(char c) {
            return true;
        }
    }

    private record AnyCharacter() implements Place {
        @Override
        public boolean takes(char c) {
            return true;
        }
    }

    private record Exactly(char wanted) implements Place {
        @Override
        public boolean takes(char c) {
            return c == wanted;
        }
    }

    /** @param ranges pairs of first and last character. */
    private record OneOf(boolean none, String ranges) implements Place {
        @Override
        public boolean takes(char c) {
            boolean in = false;
            for (int i = 0; i < ranges.length(); i += 2) {
                in |= c >= ranges.charAt(i) && c <= ranges.charAt(i + 1);
            }
            return in != none;
        }
    }

    private final List<Place> places;

    private LikePattern(List<Place> places) {
        this.places = places;
    }

    /** Null where it is none: a list that does not end, a range the wrong way round, nothing after the last backslash. */
    static @Nullable LikePattern compile(String like) {
        if (like.length() > LONGEST) {
            return null;
        }
        List<Place> places = new ArrayList<>();
        for (int i = 0; i < like.length(); i++) {
            char c = like.charAt(i);
            if (c == '%') {
                places.add(new AnyString());
            } else if (c == '_') {
                places.add(new AnyCharacter());
            } else if (c == '\\') {
                if (i + 1 == like.length()) {
                    return null;
                }
                places.add(new Exactly(like.charAt(++i)));
            } else if (c == '[') {
                i = list(like, i + 1, places);
                if (i < 0) {
                    return null;
                }
            } else {
                places.add(new Exactly(c));
            }
        }
        return new LikePattern(List.copyOf(places));
    }

    /** Returns where the list ends, or -1. */
    private static int list(String like, int from, List<Place> places) {
        boolean none = from < like.length() && like.charAt(from) == '^';
        StringBuilder ranges = new StringBuilder();
        for (int i = none ? from + 1 : from; i < like.length(); i++) {
            char c = like.charAt(i);
            if (c == ']' && !ranges.isEmpty()) {
                places.add(new OneOf(none, ranges.toString()));
                return i;
            }
            if (c == '\\' && i + 1 < like.length()) {
                c = like.charAt(++i);
            }
            boolean range = i + 2 < like.length() && like.charAt(i + 1) == '-' && like.charAt(i + 2) != ']';
            char last = range ? like.charAt(i + 2) : c;
            if (last < c) {
                return -1;
            }
            ranges.append(c).append(last);
            i += range ? 2 : 0;
        }
        return -1;
    }

    /** True if the whole text is as the pattern says. */
    boolean matches(String text) {
        int at = 0;
        int place = 0;
        int star = -1;
        int starAt = 0;
        while (at < text.length()) {
            if (place < places.size() && places.get(place) instanceof AnyString) {
                star = place++;
                starAt = at;
            } else if (place < places.size() && places.get(place).takes(text.charAt(at))) {
                place++;
                at++;
            } else if (star >= 0) {
                // the last "any string" takes one character more
                place = star + 1;
                at = ++starAt;
            } else {
                return false;
            }
        }
        while (place < places.size() && places.get(place) instanceof AnyString) {
            place++;
        }
        return place == places.size();
    }
}
