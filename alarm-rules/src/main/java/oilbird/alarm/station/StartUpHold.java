package oilbird.alarm.station;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import oilbird.alarm.rule.RuleDefaults;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;

/**
 * The time in which a station starts: after a start of the gateway, and after all its devices were silent at once and
 * one of them answers again. New alarms wait until every device has answered, at most for the station's own time; one
 * indication of the gateway, {@link #STARTING_UP}, speaks for all of them meanwhile.
 *
 * <p>Alarms that protect people and equipment never wait, nor do those of the gateway itself; what was active before
 * stays so.
 */
final class StartUpHold implements Timed {
    /** Name of the gateway's indication. */
    static final String STARTING_UP = "starting-up";

    private static final int LEAST_SILENT = 2;
    /** An ordinary start is over sooner and not worth a word. */
    private static final long WORTH_TELLING_NANOS = Duration.ofSeconds(5).toNanos();

    final int timer;
    private final long longestNanos;
    private final Deadlines deadlines;
    private final Set<DeviceTrack> devices;
    private final Set<DeviceTrack> awaited = new LinkedHashSet<>();
    private final List<AlarmTrack> held = new ArrayList<>();
    private boolean on;
    private long since;
    private boolean blackout;

    /**
     * @param longest zero for no hold at all.
     * @param devices those that are asked over a line.
     */
    StartUpHold(Duration longest, Deadlines deadlines, Set<DeviceTrack> devices) {
        this.timer = deadlines.newOwner();
        this.longestNanos = longest.toNanos();
        this.deadlines = deadlines;
        this.devices = new LinkedHashSet<>(devices);
    }

    IndicationState told() {
        return on ? IndicationState.HOLDS : IndicationState.DOES_NOT_HOLD;
    }

    void begin(Moment at) {
        if (longestNanos > 0 && !devices.isEmpty()) {
            on = true;
            since = at.monotonicNanos();
            awaited.addAll(devices);
            deadlines.set(timer, at.monotonicNanos() + longestNanos);
        }
    }

    /** True if this ends the hold. */
    boolean answered(DeviceTrack device, Moment at) {
        if (blackout) {
            blackout = false;
            begin(at);
        }
        return on && awaited.remove(device) && awaited.isEmpty();
    }

    void lost() {
        blackout |= longestNanos > 0
                && !on
                && devices.size() >= LEAST_SILENT
                && devices.stream().allMatch(d -> d.lost);
    }

    /** True if the alarm must not rise now; it is evaluated anew at the end. */
    boolean holdsBack(AlarmTrack alarm) {
        boolean waits = on
                && !alarm.state.active()
                && alarm.condition == IndicationState.HOLDS
                && !RuleDefaults.protects(alarm.policy.alarmClass())
                && alarm.devices.stream().anyMatch(devices::contains);
        if (waits && !held.contains(alarm)) {
            held.add(alarm);
        }
        return waits;
    }

    /** Ends it and gives the alarms that waited. */
    List<AlarmTrack> end() {
        on = false;
        awaited.clear();
        deadlines.set(timer, Deadlines.NEVER);
        List<AlarmTrack> waited = List.copyOf(held);
        held.clear();
        return waited;
    }

    /** Before other rules are put on the station. */
    void forgetAlarms() {
        held.clear();
    }

    boolean worthTelling(Moment at) {
        return at.monotonicNanos() - since >= WORTH_TELLING_NANOS;
    }

    /** Devices that have not answered since it began. */
    List<String> silent() {
        return awaited.stream().map(d -> d.facts.id()).toList();
    }
}
