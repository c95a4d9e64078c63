package oilbird.alarm.state;

import java.time.Duration;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/**
 * One fact in an alarm's life, with all its memories afterwards, so that whoever is told of the event alone knows how
 * the alarm stands. The station fold numbers it; the event record stores it.
 *
 * @param occurrence the activation it belongs to.
 * @param kind what happened.
 * @param after the alarm's state name afterwards; of {@link Kind#TEST_FORCED} the name that it is forced to.
 * @param confirmed false while it asks for a confirmation.
 * @param shelving whether, and how, it is shelved.
 * @param shelvedFor how much longer from now on; zero where it is not shelved, {@link #NO_LIMIT} without a limit.
 * @param suppressedByDesign by the rule's own logic or from outside.
 * @param reAlarms how often the present activation was annunciated anew.
 * @param annunciate what the operator's display and horn do about it.
 * @param by who or what acted; null for what the process itself did.
 * @param text facts as given, never rendered prose: the evidence of the sample for what the process did; the
 *     comment or reason for a human act, followed by {@code "; permit P"} and {@code "; for PT8H"} where given;
 *     {@code "Acknowledge: ALREADY_ACKNOWLEDGED"} for a refused call (act and {@link Refusal}).
 */
public record AlarmEvent(
        AlarmId alarm,
        long occurrence,
        Kind kind,
        StateName after,
        boolean active,
        boolean acknowledged,
        boolean confirmed,
        boolean latched,
        boolean enabled,
        Shelving.Kind shelving,
        Duration shelvedFor,
        boolean suppressedByDesign,
        boolean outOfService,
        int reAlarms,
        Annunciation annunciate,
        Priority priority,
        Quality quality,
        @Nullable Actor by,
        String text,
        Moment at) {
    /** Shelved without a limit in time. */
    public static final Duration NO_LIMIT = Duration.ofNanos(Long.MAX_VALUE);

    /** What happened to an alarm whose memories are now {@code state}. */
    public static AlarmEvent of(
            AlarmState state, Kind kind, Annunciation annunciate, @Nullable Actor by, String text, Moment at) {
        return new AlarmEvent(
                state.id(),
                state.occurrence(),
                kind,
                state.name(),
                state.active(),
                state.acknowledged(),
                state.confirmed(),
                state.latched(),
                state.enabled(),
                state.shelving().kind(),
                left(state.shelving(), at),
                state.suppressedByDesign(),
                state.outOfService() != null,
                state.reAlarms(),
                annunciate,
                state.priority(),
                state.quality(),
                by,
                text,
                at);
    }

    private static Duration left(Shelving shelving, Moment at) {
        if (shelving.kind() == Shelving.Kind.NONE) {
            return Duration.ZERO;
        }
        return shelving.until() == AlarmState.NEVER
                ? NO_LIMIT
                : Duration.ofNanos(Math.max(0, shelving.until() - at.monotonicNanos()));
    }

    /** True while the alarm is kept from being annunciated by any layer; SuppressedOrShelved of OPC 10000-9. */
    public boolean suppressed() {
        return shelving != Shelving.Kind.NONE || suppressedByDesign || outOfService;
    }

    /** True while it is of interest to who keeps a list of alarms; Retain of OPC 10000-9. */
    public boolean retain() {
        return enabled && (active || !acknowledged || !confirmed || latched);
    }

    /** True while the event's {@code active} is forced by a point test and must not be taken for real. */
    public boolean test() {
        return kind == Kind.TEST_FORCED;
    }

    public enum Kind {
        /** Became active: a new occurrence. */
        RAISED,
        /** The condition no longer holds. */
        RETURNED,
        ACKNOWLEDGED,
        /** Acknowledged by rule or by the return. */
        AUTO_ACKNOWLEDGED,
        /** What the alarm called for has been done. */
        CONFIRMED,
        /** An acknowledged, still active alarm asks again. */
        RE_ALARMED,
        /** A multi-level alarm became more urgent. */
        ESCALATED,
        /** A multi-level alarm became less urgent, still active. */
        EASED,
        RESET,
        SHELVED,
        UNSHELVED,
        /** Shelving ended by time, by one-shot, or by a restart without stored state. */
        AUTO_UNSHELVED,
        SUPPRESSED,
        UNSUPPRESSED,
        REMOVED_FROM_SERVICE,
        PLACED_IN_SERVICE,
        /** The time stated for being out of service is over; it stays out of service. */
        SERVICE_TIME_OVER,
        DISABLED,
        ENABLED,
        QUALITY_CHANGED,
        /**
         * What raised it, or made it more urgent, was seen in maintenance and does not count: it is as it was before.
         * It does not say that the condition is gone.
         */
        VOIDED,
        /** A point test forced the outgoing point; {@code active} is what it was forced to, nothing has happened. */
        TEST_FORCED,
        /** The point test is over; the event has the alarm's true state. */
        TEST_ENDED,
        COMMENTED,
        /** Somebody asked for something the state does not allow; nothing changed. */
        REFUSED
    }

    /** What an operator's display does on an event, by IEC 62682. */
    public enum Annunciation {
        /** What is sounded and shown goes on as it was, or nothing is shown at all. */
        NONE,
        /** Horn and flash begin. */
        START,
        /** Horn and flash end, the alarm stays listed. */
        STEADY,
        /** Still asks for attention, in the form for "returned, unacknowledged". */
        CHANGE_FORM,
        /** Disappears from the list. */
        END
    }
}
