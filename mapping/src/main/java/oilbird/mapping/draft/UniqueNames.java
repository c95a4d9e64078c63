package oilbird.mapping.draft;

import java.util.LinkedHashSet;
import java.util.Locale;
import java.util.Set;

/** The names of a draft, each given once. */
final class UniqueNames {
    private static final int LONGEST_NAME = 60;

    private final Set<String> names = new LinkedHashSet<>();

    /** The name in small letters, digits and hyphens, with a number behind it where it is taken. */
    String of(String wanted) {
        String plain =
                wanted.toLowerCase(Locale.ROOT).replaceAll("[^a-z0-9]+", "-").replaceAll("^-+|-+$", "");
        if (plain.length() > LONGEST_NAME) {
            plain = plain.substring(0, LONGEST_NAME).replaceAll("-+$", "");
        }
        if (plain.isEmpty() || !Character.isLetter(plain.charAt(0))) {
            plain = plain.isEmpty() ? "unnamed" : "n-" + plain;
        }
        // The word "spare" has a meaning of its own in a list of bits.
        String unique = plain.equals("spare") ? "spare-1" : plain;
        for (int i = 2; !names.add(unique); i++) {
            unique = plain + "-" + i;
        }
        return unique;
    }
}
