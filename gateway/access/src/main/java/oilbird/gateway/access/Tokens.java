package oilbird.gateway.access;

import java.time.Instant;
import java.util.Set;

/** Makes tokens for programs. */
public final class Tokens {
    private Tokens() {}

    /**
     * A new token.
     *
     * @param text what the program sends; told once and kept nowhere.
     */
    public record Made(Accounts.Token token, String text) {
        /** Without the secret. */
        @Override
        public String toString() {
            return "a token of " + token.name();
        }
    }

    public static Made make(String name, Set<Action> scope, Instant now, Instant expires) {
        String id = Secrets.randomHex(8);
        String secret = Secrets.random();
        return new Made(new Accounts.Token(name, id, Secrets.digest(secret), scope, now, expires), id + "." + secret);
    }
}
