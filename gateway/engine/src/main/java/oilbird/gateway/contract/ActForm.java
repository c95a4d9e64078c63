package oilbird.gateway.contract;

import org.jspecify.annotations.Nullable;

/**
 * A human act on an alarm, as it comes in. Which keys it needs depends on the act.
 *
 * @param by the person behind a program with a token; nobody who is signed in sends it.
 * @param eventId the event the person saw, for an acknowledgement or a comment; absent to mean the newest.
 * @param duration ISO 8601 duration: of timed shelving, absent for one-shot; or until the reminder of an alarm that is
 *     taken out of service, absent for none.
 * @param permit permit or work order number of an alarm that is taken out of service.
 */
public record ActForm(
        @Nullable String by,
        @Nullable String comment,
        @Nullable String eventId,
        @Nullable String reason,
        @Nullable String duration,
        @Nullable String permit) {}
