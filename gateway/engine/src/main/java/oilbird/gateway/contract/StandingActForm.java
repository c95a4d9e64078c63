package oilbird.gateway.contract;

import org.jspecify.annotations.Nullable;

/**
 * What a person sets on the station, as it comes in. Which keys it needs depends on the act.
 *
 * @param by the person behind a program with a token; nobody who is signed in sends it.
 * @param permit the owner's permit or work order number, for maintenance.
 * @param duration ISO 8601 duration until the reminder of a maintenance, or until a test ends by itself.
 * @param forcedTo {@code active} or {@code normal} for an alarm, a number for a reading.
 */
public record StandingActForm(
        @Nullable String by,
        @Nullable String comment,
        @Nullable String reason,
        @Nullable String permit,
        @Nullable String duration,
        @Nullable String forcedTo) {}
