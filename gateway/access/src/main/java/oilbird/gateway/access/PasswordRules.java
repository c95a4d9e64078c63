package oilbird.gateway.access;

import java.util.Locale;
import org.jspecify.annotations.Nullable;

/** Which passwords are taken. */
public final class PasswordRules {
    /** Bounds the work of hashing. */
    public static final int LONGEST = 200;

    private PasswordRules() {}

    /**
     * Why the password is not taken; null where it is. Never quotes it.
     *
     * @param shortest characters.
     */
    public static @Nullable String refusal(String password, String user, int shortest) {
        int length = password.codePointCount(0, password.length());
        if (length < shortest) {
            return "a password has at least " + shortest + " characters; several words that do not belong together are"
                    + " good";
        }
        if (length > LONGEST) {
            return "a password has at most " + LONGEST + " characters";
        }
        if (password.codePoints().anyMatch(Character::isISOControl)) {
            return "a password has no control characters";
        }
        if (password.codePoints().distinct().count() < 4) {
            return "a password has more than three different characters";
        }
        if (password.toLowerCase(Locale.ROOT).contains(user.toLowerCase(Locale.ROOT))) {
            return "a password does not contain the name";
        }
        return null;
    }
}
