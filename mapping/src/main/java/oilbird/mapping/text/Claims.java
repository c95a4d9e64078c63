package oilbird.mapping.text;

import java.text.Normalizer;
import java.util.List;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * What no text of a file may say, since nobody at a screen can know it: that a circuit or a thing is dead or safe. Names
 * and comments are not looked at. Texts that others have written, and translations, are held against the same words of
 * their languages.
 */
public final class Claims {
    private static final List<String> CLAIMS = List.of(
            // English
            "dead",
            "safe",
            "safely",
            "de-energised",
            "de-energized",
            "deenergised",
            "deenergized",
            "voltage-free",
            // German
            "spannungsfrei(?:e[mnrs]?)?",
            "spannungslos(?:e[mnrs]?)?",
            "stromlos(?:e[mnrs]?)?",
            "gefahrlos(?:e[mnrs]?)?",
            "sicher(?:e[mnrs]?)?",
            // French
            "hors tension",
            "sans tension",
            "sans danger",
            "sans risque",
            "s\u00fbre?s?",
            // Spanish and Portuguese
            "sin tensi\u00f3n",
            "sem tens\u00e3o",
            "desenergizad[oa]s?",
            "segur[oa]s?",
            // Italian
            "fuori tensione",
            "senza tensione",
            "sicur[oaie]",
            // Dutch, Swedish, Polish
            "spanningsloze?",
            "spanningsloos",
            "veilige?",
            "sp\u00e4nningsl\u00f6s[at]?",
            "s\u00e4ker[at]?",
            "ofarlig[at]?",
            "bez napi\u0119cia",
            "bezpieczn[ayei]");

    // Written together, so that a fail-safe contact or a signal's name is not meant.
    private static final Pattern CLAIM =
            Pattern.compile("(?<![\\p{L}_-])(?:" + String.join("|", CLAIMS) + ")(?![\\p{L}_-])", Pattern.UNICODE_CASE);

    /** What is not seen and would part a word. */
    private static final Pattern INVISIBLE = Pattern.compile("[\\u00ad\\u200b-\\u200f\\u2060\\ufeff]");

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
        String plain = INVISIBLE
                .matcher(Normalizer.normalize(scalar.written(), Normalizer.Form.NFKC))
                .replaceAll("")
                .toLowerCase(Locale.ROOT)
                .replaceAll("\\s+", " ");
        Matcher claim = CLAIM.matcher(plain);
        if (claim.find()) {
            scalar.error(
                    "the text says `" + claim.group() + "`",
                    "say what was measured or seen; nothing here may call anything dead or safe");
        }
    }
}
