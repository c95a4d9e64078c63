package oilbird.alarm.rule;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import oilbird.alarm.composite.Composite;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.Priority;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problem;
import org.jspecify.annotations.Nullable;

/** What an alarm review would ask about bound rules. Nothing here refuses a rule. */
final class RuleReview {
    /** Below this many alarms their shares say nothing. */
    private static final int ENOUGH_FOR_SHARES = 50;
    // ISA-18.2-2016, 16.4.8, by public summaries: about 80 % low, 15 % medium, 5 % high. How far is far is our choice.
    private static final double MOST_HIGH = 0.15;
    private static final double LEAST_LOW = 0.5;

    /** Two readings each within 15 % can differ by this without a change; accuracy from memory. */
    private static final double GAS_DIFFERENCE_PERCENT = 30;

    private final StationFacts station;
    // The same question on a thousand devices is one question.
    private final Set<Problem> questions = new LinkedHashSet<>();

    private RuleReview(StationFacts station) {
        this.station = station;
    }

    static List<Problem> of(List<RuleInstance> instances, StationFacts station) {
        RuleReview review = new RuleReview(station);
        for (RuleInstance instance : instances) {
            review.time(instance);
            review.measurementError(instance);
            review.designLimits(instance);
            review.suppression(instance);
            review.possibility(instance);
        }
        review.duplicates(instances);
        review.shares(instances);
        return new ArrayList<>(review.questions);
    }

    private void ask(Position at, String what, String remedy) {
        questions.add(Problem.warning(at, what, remedy));
    }

    // ---- time

    /** The delay that the reader sees is told by the reader; this is about defaults, overrides and samples. */
    private void time(RuleInstance instance) {
        AlarmRule rule = instance.rule();
        Duration within = rule.record().timeToRespond();
        if (within == null || within.isZero()) {
            return;
        }
        Duration stated = rule.behaviour().onDelay();
        if (stated != null && stated.compareTo(within) >= 0) {
            return;
        }
        AlarmRule.Agreement agreement = instance.agreement();
        int samples = agreement == null ? instance.policy().onSamples() : agreement.agreeing();
        Duration wait = instance.policy()
                .onDelay()
                .plus(period(instance.inputs().get(0)).multipliedBy(samples - 1L));
        if (wait.compareTo(within) >= 0) {
            ask(
                    rule.places().at("respond_within"),
                    "with its delay and samples the alarm comes only after the time to respond",
                    "ask for fewer samples or a shorter delay, or state a longer respond_within");
        }
    }

    private Duration period(SignalId signal) {
        StationFacts.Device device = station.device(signal.owner()).orElse(null);
        if (device == null) {
            return Duration.ZERO;
        }
        Duration update = device.kind()
                .point(signal.name())
                .map(DeviceKind.Point::updatePeriod)
                .orElse(Duration.ZERO);
        Duration polled = device.kind().blocks().stream()
                .filter(b -> b.signals().contains(signal.name()))
                .map(DeviceKind.Block::period)
                .findFirst()
                .orElse(Duration.ZERO);
        return update.compareTo(polled) > 0 ? update : polled;
    }

    // ---- measurement error

    /** Detection limits in service in ppm, from memory (IEC 60567 could not be read). */
    private static @Nullable Double detectionLimit(String point) {
        return switch (point) {
            case "hydrogen", "h2" -> 5.0;
            case "methane", "ch4", "ethane", "c2h6", "ethylene", "c2h4", "acetylene", "c2h2" -> 1.0;
            case "carbon-monoxide", "co", "carbon-dioxide", "co2" -> 25.0;
            case "oxygen", "o2" -> 500.0;
            case "nitrogen", "n2" -> 2000.0;
            default -> null;
        };
    }

    private void measurementError(RuleInstance instance) {
        if (!(instance.condition() instanceof Condition.Limited limited)
                || limited.limits().isEmpty()) {
            return;
        }
        SignalId input = instance.inputs().get(0);
        Double detected = detectionLimit(input.name());
        Optional<DeviceKind.Point> point =
                station.device(input.owner()).flatMap(d -> d.kind().point(input.name()));
        if (detected == null || point.isEmpty() || !point.get().unit().equals("ppm")) {
            return;
        }
        double limit = Math.abs(limited.limits().get(0).value());
        Position at = instance.rule().places().at("when");
        String shown = PlainNumber.of(detected);
        if (limited instanceof Condition.Discrepancy discrepancy && discrepancy.percent()) {
            if (limit < GAS_DIFFERENCE_PERCENT) {
                ask(
                        at,
                        "the limit lies inside the measurement error: two readings of a gas, each within 15 %, can"
                                + " differ by 30 % (accuracy from memory, not from a standard that was read)",
                        "write 30 or more, or state in limit_basis what is known of both instruments");
            }
            return;
        }
        double change = limited instanceof Condition.RateOfChange rate
                ? limit * rate.window().toMillis() / rate.per().toMillis()
                : limit;
        if (change < detected) {
            ask(
                    at,
                    (limited instanceof Condition.RateOfChange
                                    ? "over its window the limit is a change of "
                                    : "the limit ")
                            + PlainNumber.of(change) + " ppm"
                            + (limited instanceof Condition.RateOfChange ? ", which" : "")
                            + " lies inside the measurement error: the usual detection limit in service is " + shown
                            + " ppm (from memory, not from a standard that was read)",
                    "write a limit above it, or state in limit_basis what is known of the instrument");
        }
    }

    // ---- design limits

    private void designLimits(RuleInstance instance) {
        if (!(instance.condition() instanceof Condition.Limited limited) || limited.limits().isEmpty()) {
            return;
        }
        Rationalization.Further further = instance.rule().record().further();
        boolean high = limited.direction() == Condition.Direction.HIGH;
        Double design = high ? further.designHigh() : further.designLow();
        double first = limited.limits().get(0).value();
        if (design != null && (high ? first >= design : first <= design)) {
            ask(
                    instance.rule().places().at("design_limits"),
                    "the alarm comes at " + PlainNumber.of(first) + ", when the design limit "
                            + PlainNumber.of(design) + " is reached already",
                    "set the limit so that there is time to respond");
        }
    }

    // ---- suppression

    private void suppression(RuleInstance instance) {
        RuleInstance.Suppression suppression = instance.suppression();
        if (suppression == null) {
            return;
        }
        boolean plain = suppression.inputs().size() == 1
                && suppression.when().text().strip().matches("[a-z0-9_.]+");
        boolean itself = plain
                && suppression.inputs().equals(instance.inputs())
                && (!(instance.condition() instanceof Condition.IndicationIs is) || is.holds());
        if (itself && !(instance.condition() instanceof Condition.Limited)) {
            ask(
                    instance.rule().places().at("suppressed_when"),
                    "the alarm is suppressed exactly while its condition holds, so it can never fire",
                    "suppress it by something else, or delete the rule");
        }
    }

    // ---- expressions that contradict themselves

    private void possibility(RuleInstance instance) {
        RuleInstance.Suppression suppression = instance.suppression();
        if (suppression != null && !suppression.when().possible(true)) {
            ask(
                    instance.rule().places().at("suppressed_when"),
                    "`" + suppression.when().text().strip() + "` can never be true, so nothing is ever suppressed",
                    "correct it, or delete it");
        } else if (suppression != null && !suppression.when().possible(false)) {
            ask(
                    instance.rule().places().at("suppressed_when"),
                    "`" + suppression.when().text().strip() + "` is always true, so the rule can never fire",
                    "correct it, or delete the rule");
        }
        Composite composite = instance.condition() instanceof Condition.Composed c ? c.composite() : null;
        if (composite == null) {
            return;
        }
        Position at = instance.rule().places().at("when", "expression");
        if (!composite.possible(true)) {
            ask(
                    at,
                    "`" + composite.text().strip() + "` can never be true, whatever its signals say, so the rule can"
                            + " never fire",
                    "correct the comparisons, or the ranges in the map");
        } else if (!composite.possible(false)) {
            ask(
                    at,
                    "`" + composite.text().strip() + "` is always true, whatever its signals say, so the alarm can"
                            + " never return",
                    "correct the comparisons, or the ranges in the map");
        } else if (suppression != null
                && suppression.when().possible(false)
                && !composite.possibleWithout(
                        suppression.when(),
                        name -> signal(composite.names(), instance.inputs(), name),
                        name -> signal(suppression.when().names(), suppression.inputs(), name))) {
            ask(
                    instance.rule().places().at("suppressed_when"),
                    "whenever the condition holds the alarm is suppressed, so it can never fire",
                    "suppress it by something else, or delete the rule");
        }
    }

    private static String signal(List<String> names, List<SignalId> inputs, String name) {
        return inputs.get(names.indexOf(name)).toString();
    }

    // ---- duplicates

    /** What makes two alarms say the same. */
    private record Cause(String kind, List<SignalId> inputs) {}

    private void duplicates(List<RuleInstance> instances) {
        Map<Cause, RuleInstance> first = new LinkedHashMap<>();
        for (RuleInstance instance : instances) {
            RuleInstance before = first.putIfAbsent(new Cause(kind(instance.condition()), instance.inputs()), instance);
            if (before != null && !before.rule().key().equals(instance.rule().key())) {
                ask(
                        instance.rule().places().at("when"),
                        "`" + instance.rule().key() + "` watches for the same as `"
                                + before.rule().key() + "` at "
                                + before.rule().places().at()
                                + ", so one cause gives two alarms",
                        "delete one of the two, or make one alarm with several limits of it");
            }
        }
    }

    private static String kind(Condition condition) {
        if (condition instanceof Condition.IndicationIs is) {
            return is.holds() ? "holds" : "does not hold";
        }
        if (condition instanceof Condition.RateOfChange rate) {
            return "rate " + rate.direction() + " " + rate.window();
        }
        if (condition instanceof Condition.Limited limited) {
            return limited.getClass().getSimpleName() + " " + limited.direction();
        }
        if (condition instanceof Condition.FieldSays field) {
            return (field.holds() ? "says " : "says none of ") + field.texts();
        }
        return condition instanceof Condition.Composed composed
                ? composed.expression().text()
                : condition.getClass().getSimpleName();
    }

    // ---- shares of priorities

    private void shares(List<RuleInstance> instances) {
        List<RuleInstance> counted = instances.stream()
                .filter(i -> i.policy().alarmClass() != AlarmClass.INSTRUMENT_DIAGNOSTIC)
                .toList();
        if (counted.size() < ENOUGH_FOR_SHARES) {
            return;
        }
        double all = counted.size();
        long high = counted.stream()
                .filter(i ->
                        i.policy().priority() == Priority.CRITICAL || i.policy().priority() == Priority.MAJOR)
                .count();
        long low = counted.stream()
                .filter(i -> i.policy().priority() == Priority.WARNING)
                .count();
        if (high / all > MOST_HIGH || low / all < LEAST_LOW) {
            ask(
                    counted.get(0).rule().places().at("priority"),
                    "of " + counted.size() + " alarms (instrument diagnostics not counted) " + percent(high / all)
                            + " % are critical or major, " + percent((all - high - low) / all) + " % minor and "
                            + percent(low / all) + " % warning",
                    "about 5, 15 and 80 % are common practice; let the alarm review look at the priorities");
        }
    }

    private static String percent(double share) {
        return Long.toString(Math.round(share * 100));
    }
}
