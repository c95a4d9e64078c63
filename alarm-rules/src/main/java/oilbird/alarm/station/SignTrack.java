package oilbird.alarm.station;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.diagnosis.Diagnosis.Told;
import oilbird.alarm.diagnosis.Sign;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/**
 * One sign of the fault models with what is known of it now. A sign that held and cannot be told any more goes on
 * holding: bad data never clears anything.
 */
final class SignTrack {
    // At least so long, and two polls, an indication without an alarm must not hold before it counts as gone: one that
    // flaps makes one diagnosis and not one each time.
    private static final long CALM_NANOS = Duration.ofSeconds(5).toNanos();

    final int index;
    final Sign sign;
    /** Null where the sign is the condition of an alarm. */
    final @Nullable IndicationTrack indication;
    /** Alarms whose activity says whether the sign holds; empty where its indication does so alone. */
    final List<AlarmTrack> alarms = new ArrayList<>();
    /** Nobody has compared it with the local display, so nothing follows from it. */
    final boolean unverified;

    boolean holds;
    boolean asLastTold;
    /** Since when it holds, or since when its indication does while the alarm still waits. */
    @Nullable
    Moment since;

    /** Monotonic nanoseconds at which an indication that no longer holds is believed not to. */
    long calmAt = Deadlines.NEVER;

    Told told = Told.CANNOT_BE_TOLD;

    SignTrack(int index, Sign sign, @Nullable IndicationTrack indication, boolean unverified) {
        this.index = index;
        this.sign = sign;
        this.indication = indication;
        this.unverified = unverified;
    }

    /** Looks again; true where something changed. */
    boolean look(Moment now) {
        Told before = told;
        boolean lastBefore = asLastTold;
        Told seen = seen();
        if (seen == Told.HOLDS && since == null) {
            since = now;
        }
        boolean begins = alarms.isEmpty() ? seen == Told.HOLDS : anyActive();
        boolean told = seen != Told.CANNOT_BE_TOLD;
        if (unverified || inMaintenance()) {
            end();
            this.told = Told.CANNOT_BE_TOLD;
        } else if (begins) {
            holds = true;
            asLastTold = !told;
            calmAt = Deadlines.NEVER;
            this.told = Told.HOLDS;
        } else if (holds && !told && alarms.isEmpty()) {
            asLastTold = true;
            calmAt = Deadlines.NEVER;
        } else if (holds && alarms.isEmpty() && !calm(now)) {
            this.told = Told.HOLDS;
        } else {
            boolean waits = seen == Told.HOLDS;
            if (waits) {
                holds = false;
                asLastTold = false;
            } else {
                end();
            }
            this.told = told && !waits ? Told.DOES_NOT_HOLD : Told.CANNOT_BE_TOLD;
        }
        return before != this.told || lastBefore != asLastTold;
    }

    private void end() {
        holds = false;
        asLastTold = false;
        since = null;
        calmAt = Deadlines.NEVER;
    }

    private boolean calm(Moment now) {
        if (calmAt == Deadlines.NEVER) {
            calmAt = now.monotonicNanos()
                    + Math.max(CALM_NANOS, 2 * uncertainty().toNanos());
        }
        return calmAt <= now.monotonicNanos();
    }

    private boolean anyActive() {
        for (AlarmTrack alarm : alarms) {
            if (alarm.state.active()) {
                return true;
            }
        }
        return false;
    }

    /** What the indication, or the alarm's condition before its delays, says. */
    private Told seen() {
        IndicationState state = indication == null ? alarms.get(0).condition : indication.now.state();
        return switch (state) {
            case HOLDS -> Told.HOLDS;
            case DOES_NOT_HOLD -> Told.DOES_NOT_HOLD;
            case CANNOT_BE_TOLD -> Told.CANNOT_BE_TOLD;
        };
    }

    /** True while nothing has been heard of it since the start. */
    boolean awaitsFirstReading() {
        return indication == null
                ? alarms.get(0).awaitsFirstReading()
                : indication.now.reason() == QualityReason.NOT_YET_READ;
    }

    private boolean inMaintenance() {
        if (indication != null) {
            return indication.device.inMaintenance;
        }
        return alarms.get(0).devices.stream().anyMatch(d -> d.inMaintenance);
    }

    /** By how much earlier it may have begun than it was seen. */
    Duration uncertainty() {
        if (indication != null) {
            return Duration.ofNanos(
                    indication.block == null ? slowest(indication.device) : indication.block.periodNanos);
        }
        return Duration.ofNanos(alarms.get(0).samplePeriodNanos());
    }

    /** A device is lost with whichever of its requests fails first, and again. */
    private static long slowest(DeviceTrack device) {
        long slowest = 0;
        long fastest = Long.MAX_VALUE;
        for (BlockTrack block : device.blocks.values()) {
            slowest = Math.max(slowest, block.periodNanos);
            fastest = block.periodNanos > 0 ? Math.min(fastest, block.periodNanos) : fastest;
        }
        return fastest == Long.MAX_VALUE ? slowest : 2 * fastest;
    }
}
