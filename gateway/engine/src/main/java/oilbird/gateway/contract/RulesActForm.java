package oilbird.gateway.contract;

import org.jspecify.annotations.Nullable;

/**
 * A person asks for other rules.
 *
 * @param by the person's name.
 * @param folder the station folder that is meant, on the gateway's own machine; refused if the gateway runs on
 *     another one. Absent: whichever it runs on.
 */
public record RulesActForm(@Nullable String by, @Nullable String folder) {}
