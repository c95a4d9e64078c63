package oilbird.gateway.contract;

import org.jspecify.annotations.Nullable;

/**
 * Asks for a test message over a link: form {@code oilbird.link-test/1}.
 *
 * @param by name of the person, where a program asks.
 * @param within how long to wait for the other side, an ISO 8601 duration up to a minute; 15 s where it is left out.
 */
public record LinkTestForm(@Nullable String by, @Nullable String within) {}
