package oilbird.gateway.opcua.server.condition;

import java.util.EnumSet;
import java.util.Set;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationEvent;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/**
 * One alarm as a condition: its memories and its last event. There is one for each alarm, so it has no texts of its own;
 * words are made when an event goes out.
 *
 * @param shelving {@code NONE} where it is not shelved.
 * @param unshelveAt monotonic nanoseconds; {@link AlarmState#NEVER} for none.
 * @param lastSeverity severity before the last event, 0 before the first; 0 as well after a restart, until the alarm's
 *     history has been read.
 * @param comment null for none.
 * @param commentBy who made the last comment; empty for nobody.
 * @param newest the event that it is as after; null where it is as the station's picture had it at the start.
 * @param eventId of the last event; empty before the first.
 * @param at source time of the last event; null where that is not known.
 * @param receivedMillis when this server got it; 0 likewise.
 * @param test true while a point test forces it.
 * @param by who or what acted; empty for the process itself.
 */
public record ConditionImage(
        RuleInstance rule,
        ConditionKind kind,
        boolean enabled,
        boolean active,
        boolean acknowledged,
        boolean confirmed,
        boolean latched,
        boolean suppressed,
        boolean outOfService,
        Shelving.Kind shelving,
        long unshelveAt,
        Priority priority,
        int lastSeverity,
        Quality quality,
        @Nullable String comment,
        String commentBy,
        StationEvent.@Nullable OfAlarm newest,
        String eventId,
        @Nullable Moment at,
        long receivedMillis,
        long occurrence,
        boolean test,
        int reAlarms,
        String by) {
    /** Kinds of events whose text is a person's own. */
    private static final Set<Kind> SAID = EnumSet.of(
            Kind.ACKNOWLEDGED,
            Kind.CONFIRMED,
            Kind.RESET,
            Kind.SHELVED,
            Kind.UNSHELVED,
            Kind.SUPPRESSED,
            Kind.UNSUPPRESSED,
            Kind.REMOVED_FROM_SERVICE,
            Kind.PLACED_IN_SERVICE,
            Kind.DISABLED,
            Kind.ENABLED,
            Kind.COMMENTED);

    /** As the station's picture has it. */
    static ConditionImage of(RuleInstance rule, AlarmState state, Quality quality, boolean test) {
        return new ConditionImage(
                rule,
                ConditionKind.of(rule),
                state.enabled(),
                state.active(),
                state.acknowledged(),
                state.confirmed(),
                state.latched(),
                state.suppressedByDesign(),
                state.outOfService() != null,
                state.shelving().kind(),
                state.shelving().until(),
                state.priority(),
                0,
                quality,
                null,
                "",
                null,
                state.lastEvent(),
                null,
                0,
                state.occurrence(),
                test,
                state.reAlarms(),
                "");
    }

    /** An alarm before its first event. */
    static ConditionImage beforeAnything(RuleInstance rule) {
        return of(rule, AlarmState.initial(rule.id(), rule.policy()), Quality.BAD, false);
    }

    /** False for an event that the image already has in it. */
    boolean isBefore(EventId event) {
        if (eventId.isEmpty()) {
            return true;
        }
        EventId last = EventId.parse(eventId);
        return last.incarnation() < event.incarnation()
                || (last.incarnation() == event.incarnation() && last.sequence() < event.sequence());
    }

    /**
     * As it is after an event, which has all memories in it.
     *
     * @param rules the rule in force.
     * @param worst quality as it is to be shown: not better than the event's.
     */
    ConditionImage after(StationEvent.OfAlarm ofAlarm, RuleInstance rules, Quality worst, long receivedAt) {
        AlarmEvent event = ofAlarm.event();
        String said = said(event);
        boolean commented = said != null;
        return new ConditionImage(
                rules,
                rules == rule ? kind : ConditionKind.of(rules),
                event.enabled(),
                event.active(),
                event.acknowledged(),
                event.confirmed(),
                event.latched(),
                event.suppressedByDesign(),
                event.outOfService(),
                event.shelving(),
                until(event),
                event.priority(),
                eventId.isEmpty() ? 0 : Severity.of(priority),
                worst,
                commented ? said : comment,
                commented ? String.valueOf(actor(event)) : commentBy,
                ofAlarm,
                ofAlarm.id().toString(),
                event.at(),
                receivedAt,
                event.occurrence(),
                event.test(),
                event.reAlarms(),
                actor(event));
    }

    private static String actor(AlarmEvent event) {
        return event.by() == null ? "" : event.by().name();
    }

    private static long until(AlarmEvent event) {
        boolean limited =
                event.shelving() != Shelving.Kind.NONE && !event.shelvedFor().equals(AlarmEvent.NO_LIMIT);
        return limited ? event.at().monotonicNanos() + event.shelvedFor().toNanos() : AlarmState.NEVER;
    }

    /**
     * What a person said with an event, without what the event adds to it; null where nothing was said. An empty
     * comment that is an act of its own takes the last one back.
     */
    static @Nullable String said(AlarmEvent event) {
        boolean byPerson = event.by() != null && !event.by().door().equals("rule") && SAID.contains(event.kind());
        if (!byPerson) {
            return null;
        }
        String text = event.text();
        if (event.kind() == Kind.SHELVED) {
            int limit = Math.max(text.lastIndexOf("; for "), text.lastIndexOf("; once, "));
            text = limit < 0 ? text : text.substring(0, limit);
        }
        return text.isEmpty() && event.kind() != Kind.COMMENTED ? null : text;
    }

    /** What the record still knows of the last event, for an image made at the start. */
    ConditionImage with(int before, @Nullable String said, String saidBy, @Nullable Moment when) {
        return new ConditionImage(
                rule,
                kind,
                enabled,
                active,
                acknowledged,
                confirmed,
                latched,
                suppressed,
                outOfService,
                shelving,
                unshelveAt,
                priority,
                before,
                quality,
                said,
                saidBy,
                newest,
                eventId,
                when,
                when == null ? 0 : when.wallMillis(),
                occurrence,
                test,
                reAlarms,
                by);
    }

    /** The same under rules loaded since. */
    ConditionImage under(RuleInstance rules) {
        return rules == rule
                ? this
                : new ConditionImage(
                        rules,
                        ConditionKind.of(rules),
                        enabled,
                        active,
                        acknowledged,
                        confirmed,
                        latched,
                        suppressed,
                        outOfService,
                        shelving,
                        unshelveAt,
                        priority,
                        lastSeverity,
                        quality,
                        comment,
                        commentBy,
                        newest,
                        eventId,
                        at,
                        receivedMillis,
                        occurrence,
                        test,
                        reAlarms,
                        by);
    }

    boolean asksConfirmation() {
        return rule.policy().confirmation();
    }

    boolean suppressedOrShelved() {
        return suppressed || outOfService || shelving != Shelving.Kind.NONE;
    }

    /** Of interest to somebody: OPC 10000-9, 5.5.2 and 5.8.2. */
    boolean retained() {
        return enabled && (active || !acknowledged || !confirmed || latched);
    }
}
