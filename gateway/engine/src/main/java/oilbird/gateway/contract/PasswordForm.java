package oilbird.gateway.contract;

import org.jspecify.annotations.Nullable;

/** A person changes the own password, as it comes in. */
public record PasswordForm(@Nullable String old, @Nullable String next) {
    /** Without what must not be shown. */
    @Override
    public String toString() {
        return "a change of a password";
    }
}
