package oilbird.gateway.contract;

import org.jspecify.annotations.Nullable;

/** A person signs in, as it comes in. The password of {@code break-glass} is its code. */
public record SignInForm(@Nullable String name, @Nullable String password) {
    /** Without what must not be shown. */
    @Override
    public String toString() {
        return "a sign-in";
    }
}
