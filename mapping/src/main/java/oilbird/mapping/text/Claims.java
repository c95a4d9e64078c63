package oilbird.mapping.text;

import java.util.List;
import java.util.Locale;

/**
 * What no text of a file may say, since nobody at a screen can know it: that a circuit or a thing is dead or safe. Names
 * and comments are not looked at.
 */
public final class Claims {
    // Written together, so that a fail-safe contact or a signal's name is not meant.
    private static final String BETWEEN_WORDS = "[^a-z_-]+";
    private static final List<String> CLAIMS =
            List.of("dead", "safe", "safely", "de-energised", "de-energized", "deenergised", "deenergized", "voltage-free");

    private Claims() {}

    /** Adds an error for each text below this node that claims it. */
    public static void refuse(YamlNode node) {
        if (node instanceof YamlMapping mapping) {
            mapping.entries().forEach(entry -> refuse(entry.value()));
        } else if (node instanceof YamlList list) {
            list.items().forEach(Claims::refuse);
        } else if (node instanceof YamlScalar scalar && scalar.kind() == YamlScalar.Kind.TEXT) {
            refuse(scalar);
        }
    }

    private static void refuse(YamlScalar scalar) {
        for (String word : scalar.written().toLowerCase(Locale.ROOT).split(BETWEEN_WORDS, -1)) {
            if (CLAIMS.contains(word)) {
                scalar.error(
                        "the text says `" + word + "`",
                        "say what was measured or seen; nothing here may call anything dead or safe");
                return;
            }
        }
    }
}
