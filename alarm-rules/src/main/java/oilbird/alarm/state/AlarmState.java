package oilbird.alarm.state;

import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/**
 * The memories of one alarm. All are independent; {@link #name()} is derived.
 *
 * <p>Deadlines are monotonic nanoseconds ({@link Moment#monotonicNanos()}), {@link #NEVER} when none. They
 * are worth nothing to another process until {@link AlarmMachine#restart} has moved them.
 *
 * @param condition last told condition, before delays; null until first told.
 * @param confirmed false while an acknowledged alarm asks for a confirmation as well; it changes no state name.
 * @param latched set with {@code active} for a latching alarm, ended by a reset only.
 * @param occurrence counter of activations, 0 before the first; never resets.
 * @param priority present priority; rises with the level of a multi-level alarm.
 * @param quality worst quality of the inputs at the last evaluation.
 * @param pending the change that delays hold back; null for none.
 * @param reAlarms how often the present activation was annunciated anew; 0 while not active.
 * @param lastEvent id of the newest event of this alarm that is not {@code REFUSED}, empty before the first.
 * @param acknowledgedEvent id of the event that the last acknowledgement answered; it lets a repeated call be
 *     told from a stale one.
 * @param confirmedEvent the same for the last confirmation.
 * @param activeSince when it last became active; an escalation does not move it.
 */
public record AlarmState(
        AlarmId id,
        boolean enabled,
        @Nullable Boolean condition,
        boolean active,
        boolean acknowledged,
        boolean confirmed,
        boolean latched,
        Shelving shelving,
        Suppression suppression,
        @Nullable OutOfService outOfService,
        long occurrence,
        Priority priority,
        Quality quality,
        @Nullable Pending pending,
        long reAlarmAt,
        int reAlarms,
        String lastEvent,
        String acknowledgedEvent,
        String confirmedEvent,
        @Nullable Moment activeSince) {

    public static final long NEVER = Long.MAX_VALUE;

    /** An alarm that has never been active: state NORM. */
    public static AlarmState initial(AlarmId id, AlarmPolicy policy) {
        return new AlarmState(
                id,
                true,
                null,
                false,
                true,
                true,
                false,
                Shelving.NONE,
                Suppression.NONE,
                null,
                0,
                policy.priority(),
                Quality.BAD,
                null,
                NEVER,
                0,
                "",
                "",
                "",
                null);
    }

    /** The same memories after the fold has given their newest event its id. */
    public AlarmState withLastEvent(String eventId) {
        return new AlarmState(
                id,
                enabled,
                condition,
                active,
                acknowledged,
                confirmed,
                latched,
                shelving,
                suppression,
                outOfService,
                occurrence,
                priority,
                quality,
                pending,
                reAlarmAt,
                reAlarms,
                eventId,
                acknowledgedEvent,
                confirmedEvent,
                activeSince);
    }

    /** What a point test makes others see: active and unacknowledged, or normal. The alarm itself stays as it is. */
    public AlarmState forced(boolean toActive) {
        return new AlarmState(
                id,
                true,
                condition,
                toActive,
                !toActive,
                true,
                false,
                Shelving.NONE,
                Suppression.NONE,
                null,
                occurrence,
                priority,
                Quality.GOOD,
                null,
                NEVER,
                0,
                lastEvent,
                acknowledgedEvent,
                confirmedEvent,
                activeSince);
    }

    /** True while any layer keeps the alarm from being annunciated. */
    public boolean suppressed() {
        return shelving.kind() != Shelving.Kind.NONE || suppressedByDesign() || outOfService != null;
    }

    /** True while the rule's own logic or somebody outside suppresses it; see {@link Suppression}. */
    public boolean suppressedByDesign() {
        return suppression.holds();
    }

    /** True while there is something about it that a person has not finished with, shown or not. */
    public boolean unfinished() {
        return active || !acknowledged || !confirmed || latched;
    }

    /** True while the alarm asks for somebody's attention. */
    public boolean annunciated() {
        return enabled && !suppressed() && unfinished();
    }

    /** The state's name by IEC 62682; display precedence of layers: out of service, shelved, by design. */
    public StateName name() {
        if (!enabled) {
            return StateName.DISABLED;
        }
        if (outOfService != null) {
            return StateName.OOSRV;
        }
        if (shelving.kind() != Shelving.Kind.NONE) {
            return StateName.SHLVD;
        }
        if (suppressedByDesign()) {
            return StateName.DSUPR;
        }
        if (active) {
            return acknowledged ? StateName.ACKED : StateName.UNACK;
        }
        if (latched) {
            return acknowledged ? StateName.LTACK : StateName.LTUNK;
        }
        return acknowledged ? StateName.NORM : StateName.RTNUN;
    }
}
