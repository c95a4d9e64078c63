package oilbird.alarm.state;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.state.AlarmEvent.Annunciation;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.Pending.Change;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/**
 * The state machine of one alarm, after IEC 62682 / ISA-18.2 with the refusals of OPC 10000-9 (OPC UA Part 9).
 *
 * <p>T01 to T44 in the comments are the rows of {@code alarm_state_transitions.csv}, which the tests read and
 * hold against this class row by row. "Condition true" in a row means {@code active}, that is after the delays.
 *
 * <p>What the rows leave open is decided here:
 *
 * <ul>
 *   <li>Deadlines that have passed are handled in their own order before the input, so the outcome does not
 *       depend on how punctually {@link AlarmInput.Elapsed} is sent.
 *   <li>A delay asks for time and samples; both must be satisfied. A gap (bad data, or doubtful data that
 *       would clear) drops what is pending, and the delay starts from zero. Escalation waits for the on-delay
 *       and easing for the off-delay, as raise and return do.
 *   <li>An escalation is an activation (T11), also of an alarm that is not acknowledged yet.
 *   <li>Suppressed alarms go on being evaluated and recorded, only not annunciated. Leaving one layer while
 *       another still holds changes that layer only; leaving the last one re-evaluates (T24 to T28, T34, T35,
 *       T37, T38): active asks for a new acknowledgement, a latch is kept with its acknowledgement, anything
 *       else is normal.
 *   <li>Layers are independent: an alarm may be shelved while it is suppressed by design or out of service.
 *   <li>A disabled alarm keeps its memories and takes note of condition and quality, but nothing comes of it
 *       until it is enabled; then what the delays let through takes effect at once (T40). Operator calls on it
 *       are refused; removing from and placing in service are not ("any", T36), so that maintenance of an
 *       asset covers its disabled alarms too.
 *   <li>Evidence of a maintenance that counts for nothing afterwards (calibration gas) is voided when the maintenance
 *       ends: an alarm that it raised is no longer active, one that it made more urgent is as urgent as before, and
 *       delays start from zero. What was active before stays active. The alarm has not returned: its condition cannot
 *       be told until a value that counts comes.
 *   <li>Confirmation (OPC 10000-9, 5.7.4) is a memory beside those of the standard and changes no name: it is asked for
 *       once an alarm whose policy wants it is acknowledged, by whomever, and no longer when it asks for
 *       an acknowledgement anew. An alarm that waits for it stays on the list; its latch is not reset before.
 *   <li>Suppression from outside (OPC 10000-9, 5.8.8 to 5.8.11) is a memory beside the rule's own logic; lifting it
 *       lifts what the logic asks for too, until the logic changes its answer.
 *   <li>A return acknowledges a latching alarm by itself only where the station acknowledges by rule (T06).
 * </ul>
 *
 * <p>An instance is one step in progress: the memories while they change, and the events so far.
 */
public final class AlarmMachine {
    private static final Duration LONGEST = Duration.ofNanos(Long.MAX_VALUE);
    private static final long NANOS_PER_MILLI = 1_000_000L;

    private final AlarmState before;
    private final AlarmPolicy policy;
    private final Moment at;

    private boolean enabled;
    private @Nullable Boolean condition;
    private boolean active;
    private boolean acknowledged;
    private boolean confirmed;
    private boolean latched;
    private Shelving shelving;
    private Suppression suppression;
    private @Nullable OutOfService outOfService;
    private long occurrence;
    private Priority priority;
    private Quality quality;
    private @Nullable Pending pending;
    private long reAlarmAt;
    private int reAlarms;
    private String acknowledgedEvent;
    private String confirmedEvent;
    private @Nullable Moment activeSince;

    private boolean annunciated;
    private List<AlarmEvent> events = List.of();
    private @Nullable Refusal refusal;

    private AlarmMachine(AlarmState state, AlarmPolicy policy, Moment at) {
        this.before = state;
        this.policy = policy;
        this.at = at;
        enabled = state.enabled();
        condition = state.condition();
        active = state.active();
        acknowledged = state.acknowledged();
        confirmed = state.confirmed();
        latched = state.latched();
        shelving = state.shelving();
        suppression = state.suppression();
        outOfService = state.outOfService();
        occurrence = state.occurrence();
        priority = state.priority();
        quality = state.quality();
        pending = state.pending();
        reAlarmAt = state.reAlarmAt();
        reAlarms = state.reAlarms();
        acknowledgedEvent = state.acknowledgedEvent();
        confirmedEvent = state.confirmedEvent();
        activeSince = state.activeSince();
        annunciated = state.annunciated();
    }

    /**
     * What {@code input} makes of {@code state}. Pure: the same arguments give the same step.
     *
     * @param policy the alarm's policy of the rule set in force; it may differ from that of the step before.
     */
    public static AlarmStep step(AlarmState state, AlarmInput input, AlarmPolicy policy) {
        AlarmMachine machine = new AlarmMachine(state, policy, input.at());
        machine.handleDeadlines();
        machine.handle(input);
        return machine.finish();
    }

    /**
     * Moves a stored state to the monotonic origin of this process.
     *
     * <p>Shelving, the service reminder and re-alarm go on for the time that was left at {@code savedAt}, less
     * the time the gateway was down where the wall clock was trusted both then and now. Whatever is over by
     * now is due at once: {@link AlarmStep#wakeAt()} is {@code now}. Pending delays start from zero.
     *
     * @param stored as it was stored by an earlier process.
     * @param savedAt the last moment at which that process is known to have run (the newest commit will do),
     *     in its own monotonic time; null if unknown: then shelving cannot be restored and ends (T32), the
     *     service reminder is due, and re-alarm starts from zero.
     * @param now in this process's monotonic time.
     */
    public static AlarmStep restart(AlarmState stored, @Nullable Moment savedAt, Moment now, AlarmPolicy policy) {
        AlarmMachine machine = new AlarmMachine(stored, policy, now);
        machine.restart(savedAt);
        return machine.finish();
    }

    private void handle(AlarmInput input) {
        if (input instanceof AlarmInput.Evaluated evaluated) {
            evaluate(evaluated);
        } else if (input instanceof AlarmInput.SuppressByDesign logic) {
            suppressByDesign(logic);
        } else if (input instanceof AlarmInput.EvidenceVoided voided) {
            voidEvidence(voided);
        } else if (input instanceof AlarmInput.Act act) {
            Refusal reason = handle(act);
            if (reason != null) {
                refuse(act, reason);
            }
        }
        // Elapsed: the deadlines were all there was to it.
    }

    /** Does what was asked for, or says why not. */
    private @Nullable Refusal handle(AlarmInput.Act act) {
        if (act instanceof AlarmInput.RemoveFromService remove) {
            return removeFromService(remove);
        } else if (act instanceof AlarmInput.PlaceInService place) {
            return placeInService(place);
        } else if (act instanceof AlarmInput.Enable enable) {
            return enable(enable);
        } else if (!enabled) {
            return act instanceof AlarmInput.Disable ? Refusal.ALREADY_DISABLED : Refusal.DISABLED;
        } else if (act instanceof AlarmInput.Disable disable) {
            disable(disable);
            return null;
        } else if (act instanceof AlarmInput.Acknowledge acknowledge) {
            return acknowledge(acknowledge);
        } else if (act instanceof AlarmInput.Confirm confirm) {
            return confirm(confirm);
        } else if (act instanceof AlarmInput.Reset reset) {
            return reset(reset);
        } else if (act instanceof AlarmInput.ShelveTimed shelve) {
            return shelve(Shelving.Kind.TIMED, shelve.duration(), act.by(), shelve.reason());
        } else if (act instanceof AlarmInput.ShelveOneShot shelve) {
            return shelve(Shelving.Kind.ONE_SHOT, policy.maxShelveTime(), act.by(), shelve.reason());
        } else if (act instanceof AlarmInput.Unshelve unshelve) {
            return unshelve(unshelve);
        } else if (act instanceof AlarmInput.Suppress suppress) {
            return suppress(suppress);
        } else if (act instanceof AlarmInput.Unsuppress unsuppress) {
            return unsuppress(unsuppress);
        } else if (act instanceof AlarmInput.Comment comment) {
            return comment(comment);
        }
        throw new IllegalStateException("no such act: " + act);
    }

    // The condition: T01 to T11, T14, T16, T19, T29, T41.

    private void evaluate(AlarmInput.Evaluated sample) {
        boolean told = sample.condition() != IndicationState.CANNOT_BE_TOLD && sample.quality() != Quality.BAD;
        Quality newQuality = told ? sample.quality() : Quality.BAD;
        boolean qualityChanged = newQuality != quality;
        boolean ofInterest = enabled && (active || !acknowledged || !confirmed || latched);
        int eventsBefore = events.size();

        quality = newQuality;
        if (told) {
            boolean holds = sample.condition() == IndicationState.HOLDS;
            condition = holds;
            pending = counted(changeAskedFor(holds, sample), sample);
            if (enabled && pendingDue() <= at.monotonicNanos()) {
                change();
            }
        } else {
            pending = null;
        }
        if (qualityChanged && ofInterest && events.size() == eventsBefore) {
            transition(Kind.QUALITY_CHANGED, Annunciation.NONE, null, sample.evidence()); // T41
        }
    }

    /** Uncertain data may raise and escalate, never ease or clear. */
    private @Nullable Change changeAskedFor(boolean holds, AlarmInput.Evaluated sample) {
        boolean mayClear = sample.quality() == Quality.GOOD;
        if (!active) {
            return holds ? Change.RAISE : null;
        }
        if (!holds) {
            return mayClear ? Change.RETURN : null;
        }
        if (sample.priority().moreUrgentThan(priority)) {
            return Change.ESCALATE;
        }
        return mayClear && priority.moreUrgentThan(sample.priority()) ? Change.EASE : null;
    }

    private @Nullable Pending counted(@Nullable Change asked, AlarmInput.Evaluated sample) {
        if (asked == null) {
            return null;
        }
        long since = at.monotonicNanos();
        int samples = 1;
        Pending running = pending;
        if (running != null && running.change() == asked) {
            since = running.since();
            samples = Math.min(running.samples() + 1, samplesNeeded(asked));
        }
        return new Pending(asked, since, samples, sample.priority(), sample.evidence());
    }

    private int samplesNeeded(Change change) {
        return switch (change) {
            case RAISE, ESCALATE -> policy.onSamples();
            case RETURN, EASE -> policy.offSamples();
        };
    }

    private Duration delay(Change change) {
        return switch (change) {
            case RAISE, ESCALATE -> policy.onDelay();
            case RETURN, EASE -> policy.offDelay();
        };
    }

    private long pendingDue() {
        Pending held = pending;
        if (held == null || held.samples() < samplesNeeded(held.change())) {
            return AlarmState.NEVER;
        }
        return later(held.since(), delay(held.change()));
    }

    /** Lets the pending change through. */
    private void change() {
        Pending held = pending;
        if (held == null) {
            return;
        }
        pending = null;
        switch (held.change()) {
            case RAISE -> raise(held);
            case RETURN -> returnToNormal(held);
            case ESCALATE -> escalate(held);
            case EASE -> ease(held);
        }
    }

    private void raise(Pending held) {
        boolean sounding = latched && !acknowledged; // T16: goes on; T01, T14, T19: starts
        active = true;
        asksAnew();
        latched = latched || policy.latching();
        occurrence++;
        priority = held.priority();
        activeSince = at;
        transition(Kind.RAISED, sounding ? Annunciation.NONE : Annunciation.START, null, held.evidence());
        acknowledgeByRule();
    }

    private void returnToNormal(Pending held) {
        active = false;
        latched = latched || policy.latching(); // a rule set loaded meanwhile may latch
        reAlarms = 0;
        boolean byItself = !acknowledged
                && switch (policy.acknowledgement()) {
                    case BY_PERSON -> false;
                    case ON_RETURN -> !latched;
                    case BY_RULE -> true;
                };
        if (byItself) {
            acknowledged();
        }
        Annunciation form = acknowledged
                ? Annunciation.STEADY // T09; T05 and T08 end
                : latched ? Annunciation.NONE : Annunciation.CHANGE_FORM; // T06, T04
        transition(Kind.RETURNED, form, null, held.evidence());
        if (byItself) {
            transition(
                    Kind.AUTO_ACKNOWLEDGED,
                    Annunciation.NONE,
                    rule(),
                    policy.acknowledgement().name()); // T05
        }
        if (shelving.kind() == Shelving.Kind.ONE_SHOT) {
            shelving = Shelving.NONE;
            leaveLayer(Kind.AUTO_UNSHELVED, null, "returned"); // T24, T24L
        }
    }

    private void escalate(Pending held) {
        asksAnew();
        occurrence++;
        priority = held.priority();
        transition(Kind.ESCALATED, Annunciation.START, null, held.evidence()); // T11
        acknowledgeByRule();
    }

    private void ease(Pending held) {
        priority = held.priority();
        transition(Kind.EASED, Annunciation.NONE, null, held.evidence());
    }

    private void acknowledgeByRule() {
        if (policy.acknowledgement() == Acknowledgement.BY_RULE) {
            acknowledged();
            transition(
                    Kind.AUTO_ACKNOWLEDGED,
                    Annunciation.STEADY,
                    rule(),
                    policy.acknowledgement().name());
        }
    }

    private void asksAnew() {
        acknowledged = false;
        confirmed = true;
    }

    private void acknowledged() {
        acknowledged = true;
        confirmed = !policy.confirmation();
    }

    private void voidEvidence(AlarmInput.EvidenceVoided voided) {
        AlarmInput.Before memories = voided.before();
        boolean raisedSince = active && !memories.active();
        boolean escalatedSince = active && memories.active() && priority.moreUrgentThan(memories.priority());
        condition = null;
        Pending running = pending;
        boolean upwards = running != null && (running.change() == Change.RAISE || running.change() == Change.ESCALATE);
        if (upwards || raisedSince || escalatedSince) {
            pending = null;
        }
        if (!raisedSince && !escalatedSince) {
            return;
        }
        boolean wasAcknowledged = acknowledged;
        priority = memories.priority();
        acknowledged = acknowledged || memories.acknowledged(); // what a person has seen meanwhile stays seen
        confirmed = !acknowledged || (wasAcknowledged && confirmed) || memories.confirmed();
        Annunciation form = wasAcknowledged == acknowledged ? Annunciation.NONE : Annunciation.STEADY;
        if (raisedSince) {
            active = false;
            latched = latched && memories.latched();
            reAlarms = 0;
            form = acknowledged ? Annunciation.STEADY : latched ? Annunciation.NONE : Annunciation.CHANGE_FORM;
        }
        transition(Kind.VOIDED, form, null, voided.reason());
    }

    private Actor rule() {
        return new Actor(before.id().rule(), "rule");
    }

    // Deadlines: T10, T25, T26 and delays that run out between two samples.

    private void handleDeadlines() {
        while (wakeAt() <= at.monotonicNanos()) {
            long due = wakeAt();
            if (due == shelving.until()) {
                shelving = Shelving.NONE;
                leaveLayer(Kind.AUTO_UNSHELVED, null, "time over"); // T25, T26, T26L
            } else if (due == serviceReminder()) {
                remindOfService();
            } else if (enabled && due == pendingDue()) {
                change();
            } else {
                asksAnew();
                reAlarms++;
                transition(Kind.RE_ALARMED, Annunciation.START, null, "time over"); // T10
                acknowledgeByRule();
            }
        }
    }

    private void remindOfService() {
        OutOfService service = outOfService;
        if (service != null) {
            outOfService = service.until(AlarmState.NEVER, service.untilWallMillis());
            transition(Kind.SERVICE_TIME_OVER, Annunciation.NONE, null, withPermit(service.reason(), service.permit()));
        }
    }

    private long serviceReminder() {
        OutOfService service = outOfService;
        return service == null ? AlarmState.NEVER : service.until();
    }

    private long wakeAt() {
        long reAlarm = policy.reAlarmTime().isZero() ? AlarmState.NEVER : reAlarmAt;
        long change = enabled ? pendingDue() : AlarmState.NEVER;
        return Math.min(Math.min(shelving.until(), serviceReminder()), Math.min(change, reAlarm));
    }

    // Acknowledge, reset, comment: T03, T12, T13, T15, T17, T18, T20, T43, T44.

    private @Nullable Refusal acknowledge(AlarmInput.Acknowledge act) {
        String seen = act.eventId();
        if (acknowledged && seen != null && seen.equals(acknowledgedEvent)) {
            return Refusal.ALREADY_ACKNOWLEDGED; // the same call again: T12, OPC 10000-9, 5.7.3
        }
        if (isStale(seen)) {
            return Refusal.EVENT_UNKNOWN; // T44
        }
        if (acknowledged) {
            return Refusal.ALREADY_ACKNOWLEDGED; // T12
        }
        acknowledged();
        acknowledgedEvent = before.lastEvent();
        transition(Kind.ACKNOWLEDGED, Annunciation.STEADY, act.by(), act.comment()); // T03, T15; T13 ends
        return null;
    }

    private @Nullable Refusal confirm(AlarmInput.Confirm act) {
        String seen = act.eventId();
        if (confirmed && acknowledged && seen != null && seen.equals(confirmedEvent)) {
            return Refusal.ALREADY_CONFIRMED; // the same call again
        }
        if (isStale(seen)) {
            return Refusal.EVENT_UNKNOWN;
        }
        if (!acknowledged) {
            return Refusal.NOT_ACKNOWLEDGED;
        }
        if (confirmed) {
            return Refusal.ALREADY_CONFIRMED;
        }
        confirmed = true;
        confirmedEvent = before.lastEvent();
        transition(Kind.CONFIRMED, Annunciation.NONE, act.by(), act.comment());
        return null;
    }

    private @Nullable Refusal reset(AlarmInput.Reset act) {
        if (active || !latched || !acknowledged || !confirmed) {
            return Refusal.NOT_LATCHED; // T17, T20; OPC 10000-9, 5.8.5
        }
        latched = false;
        transition(Kind.RESET, Annunciation.END, act.by(), act.comment()); // T18
        return null;
    }

    private @Nullable Refusal comment(AlarmInput.Comment act) {
        if (isStale(act.eventId())) {
            return Refusal.EVENT_UNKNOWN;
        }
        transition(Kind.COMMENTED, Annunciation.NONE, act.by(), act.comment()); // T43
        return null;
    }

    private boolean isStale(@Nullable String seen) {
        return seen != null && !seen.equals(before.lastEvent());
    }

    // Shelving: T21 to T32.

    private @Nullable Refusal shelve(Shelving.Kind kind, Duration duration, Actor by, String reason) {
        if (!policy.shelvingAllowed()) {
            return Refusal.SHELVING_NOT_ALLOWED; // T21, T23: class allows
        }
        if (shelving.kind() == kind) {
            return Refusal.ALREADY_SHELVED; // T31; from one kind to the other is allowed, OPC 10000-9, 5.8.17
        }
        if (duration.isZero() || duration.isNegative() || duration.compareTo(policy.maxShelveTime()) > 0) {
            return Refusal.SHELVING_TIME; // T22
        }
        long until = later(at.monotonicNanos(), duration);
        shelving = new Shelving(kind, until, wall(until), by, reason);
        String limit = kind == Shelving.Kind.TIMED ? "; for " + duration : "; once, for at most " + duration;
        transition(Kind.SHELVED, Annunciation.END, by, reason + limit); // T21, T23
        return null;
    }

    private @Nullable Refusal unshelve(AlarmInput.Unshelve act) {
        if (shelving.kind() == Shelving.Kind.NONE) {
            return Refusal.NOT_SHELVED; // T30
        }
        shelving = Shelving.NONE;
        leaveLayer(Kind.UNSHELVED, act.by(), act.comment()); // T27, T28, T28L
        return null;
    }

    // Suppression by design: T33 to T35L.

    private void suppressByDesign(AlarmInput.SuppressByDesign answer) {
        Suppression was = suppression;
        suppression = policy.suppressionAllowed() // T33: never for the cause alarm
                ? was.answered(answer.suppressed())
                : Suppression.NONE;
        Actor logic = new Actor(answer.logic(), "rule");
        if (suppression.logic() && !was.logic()) {
            transition(Kind.SUPPRESSED, Annunciation.END, logic, answer.logic()); // T33
        } else if (was.holds() && !suppression.equals(was)) {
            leaveLayer(Kind.UNSUPPRESSED, logic, answer.logic()); // T34, T35, T35L
        }
        // An answer that was overruled ends without anybody seeing a change.
    }

    private @Nullable Refusal suppress(AlarmInput.Suppress act) {
        if (!policy.suppressionAllowed()) {
            return Refusal.SUPPRESSION_NOT_ALLOWED;
        }
        if (suppression.fromOutside()) {
            return Refusal.ALREADY_SUPPRESSED;
        }
        suppression = suppression.from(act.by(), act.reason());
        transition(Kind.SUPPRESSED, Annunciation.END, act.by(), act.reason());
        return null;
    }

    private @Nullable Refusal unsuppress(AlarmInput.Unsuppress act) {
        if (!suppression.holds()) {
            return Refusal.NOT_SUPPRESSED;
        }
        suppression = suppression.lifted();
        leaveLayer(Kind.UNSUPPRESSED, act.by(), act.comment());
        return null;
    }

    // Out of service: T36 to T38L.

    private @Nullable Refusal removeFromService(AlarmInput.RemoveFromService act) {
        if (outOfService != null) {
            return Refusal.ALREADY_OUT_OF_SERVICE;
        }
        Duration duration = act.duration();
        if (duration.isNegative()) {
            return Refusal.SERVICE_TIME;
        }
        boolean limited = !duration.isZero();
        long until = limited ? later(at.monotonicNanos(), duration) : AlarmState.NEVER;
        outOfService = new OutOfService(act.by(), act.reason(), act.permit(), until, wall(until));
        String text = withPermit(act.reason(), act.permit()) + (limited ? "; for " + duration : "");
        transition(Kind.REMOVED_FROM_SERVICE, Annunciation.END, act.by(), text); // T36
        return null;
    }

    private @Nullable Refusal placeInService(AlarmInput.PlaceInService act) {
        if (outOfService == null) {
            return Refusal.NOT_OUT_OF_SERVICE;
        }
        outOfService = null;
        leaveLayer(Kind.PLACED_IN_SERVICE, act.by(), act.comment()); // T37, T38, T38L
        return null;
    }

    private static String withPermit(String reason, String permit) {
        return permit.isEmpty() ? reason : reason + "; permit " + permit;
    }

    // Disable and enable: T39, T40.

    private void disable(AlarmInput.Disable act) {
        enabled = false;
        transition(Kind.DISABLED, Annunciation.END, act.by(), act.reason()); // T39
    }

    private @Nullable Refusal enable(AlarmInput.Enable act) {
        if (enabled) {
            return Refusal.ALREADY_ENABLED;
        }
        if (pendingDue() <= at.monotonicNanos()) {
            change();
        }
        enabled = true;
        leaveLayer(Kind.ENABLED, act.by(), act.reason()); // T40
        return null;
    }

    /** Re-evaluates after a layer, or being disabled, has ended. */
    private void leaveLayer(Kind kind, @Nullable Actor by, String reason) {
        boolean stillHidden = !enabled || memories().suppressed();
        if (stillHidden) {
            transition(kind, Annunciation.NONE, by, reason);
        } else if (active) {
            asksAnew();
            transition(kind, Annunciation.START, by, reason); // T25, T27, T34, T37, T40
            acknowledgeByRule();
        } else if (latched) {
            transition(kind, Annunciation.STEADY, by, reason); // rows ending in L
        } else {
            acknowledged = true;
            transition(
                    kind, confirmed ? Annunciation.NONE : Annunciation.STEADY, by, reason); // T24, T26, T28, T35, T38
        }
    }

    // Restart: T32.

    private void restart(@Nullable Moment savedAt) {
        pending = null;
        if (savedAt == null) {
            restartWithoutTime();
        } else {
            rebase(Rebase.between(savedAt, at));
        }
    }

    private void rebase(Rebase rebase) {
        Shelving shelf = shelving;
        if (shelf.kind() != Shelving.Kind.NONE) {
            long until = rebase.deadline(shelf.until());
            long wall = rebase.wall(shelf.until(), shelf.untilWallMillis());
            shelving = new Shelving(shelf.kind(), until, wall, shelf.by(), shelf.reason());
        }
        OutOfService service = outOfService;
        if (service != null) {
            long wall = rebase.wall(service.until(), service.untilWallMillis());
            outOfService = service.until(rebase.deadline(service.until()), wall);
        }
        reAlarmAt = rebase.deadline(reAlarmAt);
        Moment since = activeSince;
        if (since != null) {
            long nanos = rebase.instant(since.monotonicNanos());
            activeSince = new Moment(nanos, since.wallMillis(), since.wallTrusted());
        }
    }

    private void restartWithoutTime() {
        OutOfService service = outOfService;
        if (service != null && service.until() != AlarmState.NEVER) {
            outOfService = service.until(at.monotonicNanos(), service.untilWallMillis());
        }
        if (reAlarmAt != AlarmState.NEVER) {
            reAlarmAt = later(at.monotonicNanos(), policy.reAlarmTime());
        }
        Moment since = activeSince;
        if (since != null) {
            activeSince = new Moment(at.monotonicNanos(), since.wallMillis(), since.wallTrusted());
        }
        if (shelving.kind() != Shelving.Kind.NONE) {
            shelving = Shelving.NONE;
            leaveLayer(Kind.AUTO_UNSHELVED, null, "restart, time left not known"); // T32
        }
    }

    private void refuse(AlarmInput.Act act, Refusal reason) {
        refusal = reason;
        transition(Kind.REFUSED, Annunciation.NONE, act.by(), act.getClass().getSimpleName() + ": " + reason);
    }

    /**
     * The one place where something happens to an alarm: called after the memories have changed, with the
     * reason.
     *
     * @param form what the display does if the alarm is shown afterwards; an alarm that is not shown
     *     disappears, or nothing happens.
     */
    private void transition(Kind kind, Annunciation form, @Nullable Actor by, String reason) {
        AlarmState after = memories();
        boolean shown = after.annunciated();
        Annunciation annunciation = shown ? form : annunciated ? Annunciation.END : Annunciation.NONE;
        annunciated = shown;

        boolean mayAskAgain =
                shown && active && acknowledged && !policy.reAlarmTime().isZero();
        if (!mayAskAgain) {
            reAlarmAt = AlarmState.NEVER;
        } else if (reAlarmAt == AlarmState.NEVER) {
            reAlarmAt = later(at.monotonicNanos(), policy.reAlarmTime());
        }

        if (events.isEmpty()) {
            events = new ArrayList<>(2);
        }
        events.add(AlarmEvent.of(after, kind, annunciation, by, reason, at));
    }

    private AlarmState memories() {
        return new AlarmState(
                before.id(),
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
                before.lastEvent(),
                acknowledgedEvent,
                confirmedEvent,
                activeSince);
    }

    private AlarmStep finish() {
        AlarmState after = memories();
        return new AlarmStep(after.equals(before) ? before : after, events, wakeAt(), refusal);
    }

    /** The wall time of a deadline, 0 where there is none. */
    private long wall(long deadline) {
        return deadline == AlarmState.NEVER ? 0 : at.wallMillis() + (deadline - at.monotonicNanos()) / NANOS_PER_MILLI;
    }

    private static long later(long nanos, Duration duration) {
        if (duration.compareTo(LONGEST) >= 0) {
            return AlarmState.NEVER;
        }
        long sum = nanos + duration.toNanos();
        return sum < nanos ? AlarmState.NEVER : sum;
    }
}
