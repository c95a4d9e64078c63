package oilbird.gateway.contract;

import org.jspecify.annotations.Nullable;

/**
 * The first user, as it comes in.
 *
 * @param code as the gateway printed it at its start.
 */
public record SetUpForm(
        @Nullable String code,
        @Nullable String name,
        @Nullable String password) {
    /** Without what must not be shown. */
    @Override
    public String toString() {
        return "a set-up";
    }
}
