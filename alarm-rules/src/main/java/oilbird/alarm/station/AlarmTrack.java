package oilbird.alarm.station;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import oilbird.alarm.composite.Composite;
import oilbird.alarm.rule.AlarmRule;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.PlainNumber;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.AlarmPolicy;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.Priority;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** One alarm: its rule's inputs, the last evaluation, and its state. */
final class AlarmTrack implements Timed {
    final int order;
    final RuleInstance rule;
    final AlarmPolicy policy;
    final int timer;
    final List<DeviceTrack> devices = new ArrayList<>();
    private final List<ReadingTrack> readings = new ArrayList<>();
    private final Condition.@Nullable Limited level;
    final @Nullable RateWindow rate;
    private final @Nullable Votes votes;
    private final @Nullable Expressing composed;
    final @Nullable Expressing suppression;
    private @Nullable IndicationTrack indication;
    private int inputs;
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

    /** Each sample is evaluated, whatever the machine waits for. */
    final boolean everySample;

    /** The sign of causes that it tells of. */
    @Nullable
    SignTrack sign;

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
        this.level = rule.condition() instanceof Condition.Limited l ? l : null;
        this.rate = level instanceof Condition.RateOfChange r ? new RateWindow(r) : null;
        AlarmRule.Agreement agreement = rule.agreement();
        this.votes = agreement == null ? null : new Votes(agreement);
        Composite checked = rule.condition() instanceof Condition.Composed c ? c.composite() : null;
        this.composed = checked == null ? null : new Expressing(checked);
        RuleInstance.Suppression when = rule.suppression();
        this.suppression = when == null ? null : new Expressing(when.when());
        this.everySample = rate != null || votes != null;
        this.activations = new long[Math.max(1, chatterCount)];
        Arrays.fill(activations, Long.MIN_VALUE);
    }

    void watch(ReadingTrack reading) {
        (inputs == 0 ? reading.sampled : reading.consulted).add(this);
        inputs++;
        readings.add(reading);
        if (composed != null) {
            composed.add(reading);
        }
        about(reading.device);
    }

    void watch(IndicationTrack watched) {
        (inputs == 0 ? watched.sampled : watched.consulted).add(this);
        inputs++;
        if (composed != null) {
            composed.add(watched);
        } else {
            indication = watched;
        }
        about(watched.device);
    }

    void suppressedBy(ReadingTrack reading) {
        if (suppression != null) {
            suppression.add(reading);
            reading.consulted.add(this);
        }
    }

    void suppressedBy(IndicationTrack watched) {
        if (suppression != null) {
            suppression.add(watched);
            watched.consulted.add(this);
        }
    }

    void about(DeviceTrack device) {
        if (!devices.contains(device)) {
            devices.add(device);
        }
    }

    // ---- evaluation

    void evaluate() {
        judge();
        if (votes == null || condition == IndicationState.CANNOT_BE_TOLD) {
            return;
        }
        if (newSample) {
            votes.take(condition == IndicationState.HOLDS, quality);
        }
        if (condition != IndicationState.HOLDS && votes.answer() == IndicationState.HOLDS) {
            // The sample lies below all limits, the alarm stands all the same.
            priority = state.active() ? state.priority() : policy.priority();
        }
        condition = votes.answer();
        quality = votes.quality();
    }

    private void judge() {
        value = Double.NaN;
        priority = policy.priority();
        if (level != null) {
            evaluateLevel(level);
        } else if (composed != null) {
            composed.evaluate();
            condition = composed.answer();
            quality = composed.quality();
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
        } else if (rule.condition() instanceof Condition.FieldSays field) {
            ReadingTrack reading = readings.get(0);
            String text = reading.raw.text();
            if (text == null || reading.reason.quality() == Quality.BAD) {
                cannotBeTold();
            } else {
                told(field.texts().contains(text) == field.holds(), reading.reason.quality());
            }
        } else {
            ReadingTrack reading = readings.get(0);
            Freshness freshness = reading.freshness;
            boolean unreadable = reading.device.released || reading.block.failure != QualityReason.NONE;
            if (freshness == null || !freshness.known || unreadable) {
                cannotBeTold();
            } else {
                told(freshness.stale, Quality.GOOD);
            }
        }
    }

    private void evaluateLevel(Condition.Limited watched) {
        Quality worst = Quality.GOOD;
        boolean complete = true;
        boolean inMaintenance = false;
        for (int i = 0; i < readings.size(); i++) {
            ReadingTrack reading = readings.get(i);
            worst = worst.worse(reading.reason.quality());
            complete &= reading.raw.number() != null;
            inMaintenance |= reading.device.inMaintenance;
        }
        if (complete) {
            value = number(watched);
        }
        if (rate != null) {
            worst = worst.worse(rate.quality());
        }
        if (Double.isNaN(value) || worst == Quality.BAD) {
            value = Double.NaN;
            cannotBeTold();
            return;
        }
        int reached = reached(watched, value);
        told(reached > 0, worst);
        if (!inMaintenance && beyond(watched, value, Math.max(1, Math.max(reached, standingLimits(watched))), 0)) {
            beyond = value;
        }
        if (reached > 0) {
            priority = watched.limits().get(reached - 1).priority();
        }
    }

    /** What is held against the limits; all readings have a number. */
    private double number(Condition.Limited watched) {
        double first = numberOf(0);
        if (rate != null) {
            ReadingTrack reading = readings.get(0);
            boolean usable = reading.reason.quality() != Quality.BAD && reading.counts();
            if (newSample && usable) {
                rate.add(reading.raw.at().monotonicNanos(), first, reading.reason.quality());
            }
            return rate.slope();
        }
        if (watched instanceof Condition.Discrepancy discrepancy) {
            return apart(discrepancy, first, numberOf(1));
        }
        return readings.size() < 2 ? first : first - numberOf(1);
    }

    private double numberOf(int index) {
        Double number = readings.get(index).raw.number();
        return number == null ? Double.NaN : number;
    }

    private static double apart(Condition.Discrepancy discrepancy, double one, double other) {
        if (one < discrepancy.ignoreBelow() && other < discrepancy.ignoreBelow()) {
            return 0;
        }
        double apart = Math.abs(one - other);
        double mean = Math.abs(one + other) / 2;
        if (!discrepancy.percent() || apart == 0) {
            return apart;
        }
        return mean == 0 ? 200 : Math.min(200, 100 * apart / mean);
    }

    /** How many limits hold: those reached now, and of those that the alarm stands for, those not left by the deadband. */
    private int reached(Condition.Limited watched, double now) {
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

    private static boolean beyond(Condition.Limited watched, double now, int count, double slack) {
        double limit = watched.limits().get(count - 1).value();
        return watched.direction() == Condition.Direction.HIGH ? now >= limit - slack : now <= limit + slack;
    }

    private int standingLimits(Condition.Limited watched) {
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

    /** What was gathered in a maintenance does not count. */
    void voidEvidence() {
        if (votes != null) {
            votes.forget();
        }
        stateChangedOtherwise();
    }

    private void settle() {
        boolean holds = condition == IndicationState.HOLDS;
        wantsEverySample = condition != IndicationState.CANNOT_BE_TOLD
                && (holds != state.active() || (holds && priority != state.priority()));
    }

    // ---- facts for the record

    /** What was seen, as {@code h2 = 180 ppm (limit 150 ppm)}. */
    String describe() {
        String voted = votes == null ? "" : " (" + rule.agreement() + " samples)";
        return describeLast() + voted;
    }

    private String describeLast() {
        if (level != null) {
            StringBuilder text = new StringBuilder(what(level));
            if (condition == IndicationState.CANNOT_BE_TOLD) {
                boolean tooFew = rate != null && Double.isNaN(rate.slope()) && worstReason() == QualityReason.NONE;
                return text.append(" cannot be told: ")
                        .append(tooFew ? "too few samples" : words(worstReason()))
                        .toString();
            }
            if (Double.isNaN(value)) {
                return text.append(" as before").toString();
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
        if (composed != null) {
            return composed.describe();
        }
        if (indication != null) {
            return switch (indication.now.state()) {
                case HOLDS -> indication.id.name() + " holds";
                case DOES_NOT_HOLD -> indication.id.name() + " does not hold";
                case CANNOT_BE_TOLD -> indication.id.name() + " cannot be told: " + words(indication.now.reason());
            };
        }
        ReadingTrack reading = readings.get(0);
        if (rule.condition() instanceof Condition.FieldSays) {
            String text = reading.raw.text();
            return condition == IndicationState.CANNOT_BE_TOLD || text == null
                    ? reading.id.name() + " cannot be told: " + words(reading.reason)
                    : reading.id.name() + " = " + text;
        }
        return switch (condition) {
            case HOLDS -> reading.id.name() + " is overdue";
            case DOES_NOT_HOLD -> reading.id.name() + " is up to date";
            case CANNOT_BE_TOLD -> reading.id.name() + " cannot be told: " + words(reading.reason);
        };
    }

    private String what(Condition.Limited watched) {
        String first = readings.get(0).id.name();
        if (watched instanceof Condition.RateOfChange) {
            return first + " rate";
        }
        if (readings.size() < 2) {
            return first;
        }
        SignalId second = readings.get(1).id;
        if (watched instanceof Condition.Discrepancy) {
            boolean sameName = second.name().equals(first);
            return "|" + (sameName ? readings.get(0).id + " - " + second : first + " - " + second.name()) + "|";
        }
        return first + " - " + second.name();
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

    private double limitNow(Condition.Limited watched) {
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
        return activationsWithin(now, windowNanos) >= activations.length;
    }

    /** Counted up to the number that marks an alarm as chattering. */
    int activationsWithin(long now, long windowNanos) {
        int within = 0;
        for (int i = 0; i < Math.min(activationCount, activations.length); i++) {
            within += now - activations[i] <= windowNanos ? 1 : 0;
        }
        return within;
    }

    /** What was counted of the same alarm before other rules were loaded. */
    void goOnFrom(AlarmTrack before) {
        if (before.activations.length == activations.length) {
            System.arraycopy(before.activations, 0, activations, 0, activations.length);
            activationCount = before.activationCount;
        }
        boolean same = before.rule.condition().equals(rule.condition())
                && before.rule.inputs().equals(rule.inputs());
        if (same && rate != null && before.rate != null) {
            rate.goOnFrom(before.rate);
        }
        if (same
                && votes != null
                && before.votes != null
                && Objects.equals(rule.agreement(), before.rule.agreement())) {
            votes.goOnFrom(before.votes);
        }
        beyond = same ? before.beyond : Double.NaN;
    }

    /** True while one of its readings has not been read since the start. */
    boolean awaitsFirstReading() {
        return readings.stream().anyMatch(r -> r.reason == QualityReason.NOT_YET_READ);
    }

    /** How often its first input brings a sample; 0 where nothing says so. */
    long samplePeriodNanos() {
        if (indication != null) {
            return indication.block == null ? 0 : indication.block.periodNanos;
        }
        long slowest = 0;
        for (ReadingTrack reading : readings) {
            slowest = Math.max(slowest, Math.max(reading.point.updatePeriod().toNanos(), reading.block.periodNanos));
        }
        return slowest;
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
