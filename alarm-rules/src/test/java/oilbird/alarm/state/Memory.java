package oilbird.alarm.state;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/** Alarm states and policies as the tests write them down, without going through the machine. */
final class Memory {
    static final AlarmId ID = new AlarmId("T1", "cooling.fan-stopped");
    static final Actor OPERATOR = new Actor("A. Fenwick (invented)", "page");
    static final Duration MAX_SHELVE = Duration.ofSeconds(60);

    boolean enabled = true;
    boolean active;
    boolean acknowledged = true;
    boolean confirmed = true;
    boolean latched;
    Shelving.Kind shelving = Shelving.Kind.NONE;
    long shelvedUntil = 1_000;
    boolean suppressed;
    boolean overruled;
    boolean fromOutside;
    boolean removed;
    long reminder = AlarmState.NEVER;
    long occurrence = 7;
    Priority priority = Priority.MINOR;
    Quality quality = Quality.GOOD;

    @Nullable
    Pending pending;

    long reAlarm = AlarmState.NEVER;
    String lastEvent = "e7";
    String acknowledgedEvent = "e6";
    String confirmedEvent = "e5";

    /** Second {@code s} of a monotonic clock, under a trusted wall clock. */
    static Moment second(long s) {
        return new Moment(nanos(s), 1_790_000_000_000L + s * 1_000, true);
    }

    static long nanos(long s) {
        return s == AlarmState.NEVER ? AlarmState.NEVER : s * 1_000_000_000L;
    }

    /** A policy with everything at its plainest. */
    static AlarmPolicy plain() {
        return policy(false, Acknowledgement.BY_PERSON, 0, 1, 0);
    }

    static AlarmPolicy policy(
            boolean latching, Acknowledgement acknowledgement, int delaySeconds, int samples, int reAlarmSeconds) {
        return new AlarmPolicy(
                AlarmClass.EQUIPMENT_HEALTH,
                Priority.MINOR,
                Duration.ofSeconds(delaySeconds),
                Duration.ofSeconds(delaySeconds),
                samples,
                samples,
                latching,
                acknowledgement,
                Duration.ofSeconds(reAlarmSeconds),
                true,
                MAX_SHELVE,
                true);
    }

    static AlarmPolicy restricted(AlarmPolicy p, boolean shelvingAllowed, boolean suppressionAllowed) {
        return new AlarmPolicy(
                p.alarmClass(),
                p.priority(),
                p.onDelay(),
                p.offDelay(),
                p.onSamples(),
                p.offSamples(),
                p.latching(),
                p.acknowledgement(),
                p.confirmation(),
                p.reAlarmTime(),
                shelvingAllowed,
                p.maxShelveTime(),
                suppressionAllowed);
    }

    /** The same policy, but the alarm asks for a confirmation too. */
    static AlarmPolicy confirmed(AlarmPolicy p) {
        return new AlarmPolicy(
                p.alarmClass(),
                p.priority(),
                p.onDelay(),
                p.offDelay(),
                p.onSamples(),
                p.offSamples(),
                p.latching(),
                p.acknowledgement(),
                true,
                p.reAlarmTime(),
                p.shelvingAllowed(),
                p.maxShelveTime(),
                p.suppressionAllowed());
    }

    /** The memories that go by this name; without layers unless the name is one of a layer. */
    static Memory named(StateName name) {
        Memory m = new Memory();
        switch (name) {
            case NORM -> {}
            case UNACK -> m.set(true, false, false);
            case ACKED -> m.set(true, true, false);
            case RTNUN -> m.set(false, false, false);
            case LTUNK -> m.set(false, false, true);
            case LTACK -> m.set(false, true, true);
            case SHLVD -> m.shelving = Shelving.Kind.TIMED;
            case DSUPR -> m.suppressed = true;
            case OOSRV -> m.removed = true;
            case DISABLED -> m.enabled = false;
        }
        return m;
    }

    Memory set(boolean active, boolean acknowledged, boolean latched) {
        this.active = active;
        this.acknowledged = acknowledged;
        this.latched = latched;
        return this;
    }

    Memory once() {
        shelving = Shelving.Kind.ONE_SHOT;
        return this;
    }

    /** All eight combinations of active, acknowledged and latched, under the given layer. */
    static List<Memory> each(StateName layer) {
        List<Memory> all = new ArrayList<>();
        for (int bits = 0; bits < 8; bits++) {
            all.add(named(layer).set((bits & 1) != 0, (bits & 2) != 0, (bits & 4) != 0));
        }
        return all;
    }

    AlarmState state() {
        return new AlarmState(
                ID,
                enabled,
                active,
                active,
                acknowledged,
                confirmed,
                latched,
                shelving == Shelving.Kind.NONE
                        ? Shelving.NONE
                        : new Shelving(
                                shelving,
                                nanos(shelvedUntil),
                                second(shelvedUntil).wallMillis(),
                                OPERATOR,
                                "fan on order"),
                new Suppression(suppressed, overruled, fromOutside ? OPERATOR : null, fromOutside ? "load test" : ""),
                removed
                        ? new OutOfService(
                                OPERATOR,
                                "fan exchange",
                                "P-12",
                                nanos(reminder),
                                reminder == AlarmState.NEVER
                                        ? 0
                                        : second(reminder).wallMillis())
                        : null,
                occurrence,
                priority,
                quality,
                pending,
                nanos(reAlarm),
                0,
                lastEvent,
                acknowledgedEvent,
                confirmedEvent,
                active ? second(0) : null);
    }
}
