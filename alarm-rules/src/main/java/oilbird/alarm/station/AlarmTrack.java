package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.PlainNumber;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.AlarmPolicy;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.Priority;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/** One alarm: its rule's inputs, the last evaluation, and its state. */
final class AlarmTrack implements Timed {
    final int order;
    final RuleInstance rule;
    final AlarmPolicy policy;
    final int timer;
    final List<DeviceTrack> devices = new ArrayList<>();
    private final List<ReadingTrack> readings = new ArrayList<>();
    private final Condition.@Nullable Level level;
    private @Nullable IndicationTrack indication;
    private final long[] activations;
    private int activationCount;

    AlarmState state;

    // The last evaluation.
    IndicationState condition = IndicationState.CANNOT_BE_TOLD;
    Quality quality = Quality.BAD;
    Priority priority;
    private double value = Double.NaN;
    /** The newest value that lay beyond the limit that the alarm stands for, without help of the deadband. */
    private double beyond = Double.NaN;

    // What the machine was last told; null when it must be told again.
    private @Nullable IndicationState toldCondition;
    private Quality toldQuality = Quality.BAD;
    private Priority toldPriority;

    /** The machine waits for samples: delays are counted, or it has not heard anything yet. */
    boolean wantsEverySample = true;

    boolean newSample;
    boolean queued;
    String evidence = "";

    AlarmTrack(int order, RuleInstance rule, AlarmPolicy policy, AlarmState state, int timer, int chatterCount) {
        this.order = order;
        this.rule = rule;
        this.policy = policy;
        this.state = state;
        this.timer = timer;
        this.priority = policy.priority();
        this.toldPriority = policy.priority();
        this.level = rule.condition() instanceof Condition.Level l ? l : null;
        this.activations = new long[Math.max(1, chatterCount)];
        Arrays.fill(activations, Long.MIN_VALUE);
    }

    void watch(ReadingTrack reading) {
        (readings.isEmpty() ? reading.sampled : reading.consulted).add(this);
        readings.add(reading);
        about(reading.device);
    }

    void watch(IndicationTrack watched) {
        indication = watched;
        watched.sampled.add(this);
        about(watched.device);
    }

    void about(DeviceTrack device) {
        if (!devices.contains(device)) {
            devices.add(device);
        }
    }

    // ---- evaluation

    void evaluate() {
        value = Double.NaN;
        priority = policy.priority();
        if (level != null) {
            evaluateLevel(level);
        } else if (indication != null) {
            boolean wanted = !(rule.condition() instanceof Condition.IndicationIs is) || is.holds();
            IndicationState told = indication.now.state();
            if (told == IndicationState.CANNOT_BE_TOLD) {
                cannotBeTold();
            } else {
                told(
                        (told == IndicationState.HOLDS) == wanted,
                        indication.now.reason().quality());
            }
        } else {
            ReadingTrack reading = readings.get(0);
            Freshness freshness = reading.freshness;
            if (freshness == null || !freshness.known || reading.block.failure != QualityReason.NONE) {
                cannotBeTold();
            } else {
                told(freshness.stale, Quality.GOOD);
            }
        }
    }

    private void evaluateLevel(Condition.Level watched) {
        Quality worst = Quality.GOOD;
        double sum = 0;
        boolean complete = true;
        for (int i = 0; i < readings.size(); i++) {
            ReadingTrack reading = readings.get(i);
            Double number = reading.raw.number();
            worst = worst.worse(reading.reason.quality());
            if (number == null) {
                complete = false;
            } else {
                sum = i == 0 ? number : sum - number;
            }
        }
        if (complete) {
            value = sum;
        }
        if (!complete || worst == Quality.BAD) {
            cannotBeTold();
            return;
        }
        int reached = reached(watched, sum);
        told(reached > 0, worst);
        if (beyond(watched, sum, Math.max(1, Math.max(reached, standingLimits(watched))), 0)) {
            beyond = sum;
        }
        if (reached > 0) {
            priority = watched.limits().get(reached - 1).priority();
        }
    }

    /** How many limits hold: those reached now, and of those that the alarm stands for, those not left by the deadband. */
    private int reached(Condition.Level watched, double now) {
        int standing = standingLimits(watched);
        List<Condition.Limit> limits = watched.limits();
        for (int count = limits.size(); count > 0; count--) {
            boolean holds = beyond(watched, now, count, count <= standing ? watched.deadband() : 0);
            if (holds) {
                return count;
            }
        }
        return 0;
    }

    private static boolean beyond(Condition.Level watched, double now, int count, double slack) {
        double limit = watched.limits().get(count - 1).value();
        return watched.direction() == Condition.Direction.HIGH ? now >= limit - slack : now <= limit + slack;
    }

    private int standingLimits(Condition.Level watched) {
        if (!state.active()) {
            return 0;
        }
        List<Condition.Limit> limits = watched.limits();
        for (int count = limits.size(); count > 0; count--) {
            if (!limits.get(count - 1).priority().moreUrgentThan(state.priority())) {
                return count;
            }
        }
        return 1;
    }

    private void told(boolean holds, Quality of) {
        condition = holds ? IndicationState.HOLDS : IndicationState.DOES_NOT_HOLD;
        quality = of;
    }

    private void cannotBeTold() {
        condition = IndicationState.CANNOT_BE_TOLD;
        quality = Quality.BAD;
    }

    // ---- what the machine knows

    /** True when the machine must hear of the last evaluation. */
    boolean worthTelling() {
        return (wantsEverySample && newSample)
                || condition != toldCondition
                || quality != toldQuality
                || priority != toldPriority;
    }

    void wasTold() {
        toldCondition = condition;
        toldQuality = quality;
        toldPriority = priority;
        settle();
    }

    /** After anything but an evaluation changed the state, the next sample is told whatever it says. */
    void stateChangedOtherwise() {
        toldCondition = null;
        wantsEverySample = true;
    }

    private void settle() {
        boolean holds = condition == IndicationState.HOLDS;
        wantsEverySample = condition != IndicationState.CANNOT_BE_TOLD
                && (holds != state.active() || (holds && priority != state.priority()));
    }

    // ---- facts for the record

    /** What was seen, as {@code h2 = 180 ppm (limit 150 ppm)}. */
    String describe() {
        if (level != null) {
            StringBuilder text = new StringBuilder(readings.get(0).id.name());
            for (int i = 1; i < readings.size(); i++) {
                text.append(" - ").append(readings.get(i).id.name());
            }
            if (condition == IndicationState.CANNOT_BE_TOLD) {
                return text.append(" cannot be told: ")
                        .append(words(worstReason()))
                        .toString();
            }
            String unit = level.unit().isEmpty() ? "" : " " + level.unit();
            text.append(" = ").append(PlainNumber.of(value)).append(unit);
            text.append(" (limit ").append(PlainNumber.of(limitNow(level))).append(unit);
            if (condition == IndicationState.DOES_NOT_HOLD && level.deadband() > 0) {
                text.append(", deadband ")
                        .append(PlainNumber.of(level.deadband()))
                        .append(unit);
            }
            text.append(')');
            if (quality == Quality.UNCERTAIN) {
                text.append(", ").append(words(worstReason()));
            }
            return text.toString();
        }
        if (indication != null) {
            return switch (indication.now.state()) {
                case HOLDS -> indication.id.name() + " holds";
                case DOES_NOT_HOLD -> indication.id.name() + " does not hold";
                case CANNOT_BE_TOLD -> indication.id.name() + " cannot be told: " + words(indication.now.reason());
            };
        }
        ReadingTrack reading = readings.get(0);
        return switch (condition) {
            case HOLDS -> reading.id.name() + " is overdue";
            case DOES_NOT_HOLD -> reading.id.name() + " is up to date";
            case CANNOT_BE_TOLD -> reading.id.name() + " cannot be told: " + words(reading.reason);
        };
    }

    private QualityReason worstReason() {
        QualityReason worst = QualityReason.NONE;
        for (ReadingTrack reading : readings) {
            QualityReason reason = reading.reason;
            if (reason.quality().compareTo(worst.quality()) > 0) {
                worst = reason;
            }
        }
        return worst;
    }

    private static String words(QualityReason reason) {
        return reason.name().toLowerCase(Locale.ROOT).replace('_', ' ');
    }

    private double limitNow(Condition.Level watched) {
        int reached = condition == IndicationState.HOLDS ? reached(watched, value) : 0;
        int counting = Math.max(1, Math.max(reached, standingLimits(watched)));
        return watched.limits().get(counting - 1).value();
    }

    // ---- chattering and view

    void activated(long at) {
        activations[activationCount % activations.length] = at;
        activationCount++;
    }

    private boolean chattering(long now, long windowNanos) {
        if (activationCount < activations.length) {
            return false;
        }
        long oldest = activations[activationCount % activations.length];
        return now - oldest <= windowNanos;
    }

    List<StationEvent.Doubt> doubts() {
        if (devices.size() == 1) {
            return devices.get(0).doubts();
        }
        List<StationEvent.Doubt> all = new ArrayList<>();
        devices.forEach(d -> all.addAll(d.doubts()));
        return all;
    }

    StationView.AlarmView view(long now, long chatterWindowNanos) {
        double telling = state.active() && !Double.isNaN(beyond) ? beyond : value;
        return new StationView.AlarmView(
                rule,
                state,
                doubts(),
                chattering(now, chatterWindowNanos),
                evidence,
                Double.isNaN(telling) ? null : (Double) telling,
                level == null ? null : (Double) limitNow(level));
    }
}
