package oilbird.mapping.check;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.regex.Pattern;
import oilbird.mapping.signal.Caution;
import oilbird.mapping.signal.Circuit;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.Measurement;
import oilbird.mapping.signal.Verdict;
import oilbird.mapping.signal.Work;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.YamlMapping;
import org.jspecify.annotations.Nullable;

/**
 * Refuses a first check that would endanger people, equipment or evidence. What is done is taken from {@code does:} and
 * from the words of the action, so that a check that says less than it asks for is held against the same rules.
 */
final class CheckLint {
    /** An imperative stands at the head of a clause. */
    private static final String HEAD = "(?i)(?:^|[.;:,]\\s+|\\band\\s+|\\bthen\\s+)";
    /** A few words between verb and thing, of the same clause. */
    private static final String WORDS = "\\s+(?:(?!and\\b|but\\b|nothing\\b|to\\b|with\\b)[\\w'-]+\\s+){0,5}?";

    private static final Map<Work.Act, Pattern> SAYS = new LinkedHashMap<>();
    private static final Map<Circuit, Pattern> OPENS = new LinkedHashMap<>();

    static {
        SAYS.put(Work.Act.MEASURE, Pattern.compile(HEAD + "(?:measure|put the meter)\\b"));
        SAYS.put(
                Work.Act.TURN_VALVE,
                Pattern.compile(HEAD + "(?:turn|open|close|shut|operate|unscrew)" + WORDS + "valves?\\b"));
        SAYS.put(
                Work.Act.HANDLE_BOARD,
                Pattern.compile(HEAD + "(?:unplug|pull|pull out|remove|take out|reseat|plug in|touch)" + WORDS
                        + "(?:boards?|cards?|modules?)\\b"));
        SAYS.put(Work.Act.REPLACE, Pattern.compile(HEAD + "(?:replace|exchange|swap)\\s+(?!nothing)"));
        SAYS.put(
                Work.Act.RESTART,
                Pattern.compile(HEAD + "(?:restart|reboot|power[- ]cycle|reset|cycle the power)\\b(?! nothing)"));
        String opens = HEAD + "(?:open|disconnect|break|interrupt|lift|unplug|undo|pull|part)" + WORDS;
        OPENS.put(Circuit.CURRENT_LOOP, Pattern.compile(opens + "(?:loops?\\b|4-20\\s?mA)"));
        OPENS.put(Circuit.CURRENT_TRANSFORMER, Pattern.compile(opens + "(?:CTs?\\b|current transformers?\\b)"));
        OPENS.put(
                Circuit.BUSHING_TAP,
                Pattern.compile(opens + "(?:bushing taps?|test taps?|bushing sensors?|tap caps?|sensor leads?)\\b"));
    }

    private final FirstCheck check;
    private final Position at;
    private final YamlMapping node;

    private CheckLint(FirstCheck check, Position at, YamlMapping node) {
        this.check = check;
        this.at = at;
        this.node = node;
    }

    /** Adds an error for everything that a check may not be. */
    static void refuse(FirstCheck check, Position at, YamlMapping node) {
        new CheckLint(check, at, node).refuse();
    }

    private void refuse() {
        tellMissingCautions();
        Set<Work.Act> acts = acts();
        for (Work.Act act : acts) {
            act(act);
        }
        circuit(acts);
        measurement();
        likelihoods();
    }

    private Set<Work.Act> acts() {
        Set<Work.Act> acts = EnumSet.of(check.work().act());
        SAYS.forEach((act, words) -> {
            if (words.matcher(check.action()).find()) {
                acts.add(act);
            }
        });
        if (OPENS.values().stream().anyMatch(p -> p.matcher(check.action()).find())) {
            acts.add(Work.Act.OPEN_CIRCUIT);
        }
        // Whoever exchanges or mends a board has it in the hand.
        if (check.work().circuit() == Circuit.BOARD && check.work().act().changes()) {
            acts.add(Work.Act.HANDLE_BOARD);
        }
        return acts;
    }

    // ---- cautions

    private void tellMissingCautions() {
        if (check.exposure() >= Caution.S01.minExposure() && !check.cautions().contains(Caution.S01)) {
            error(
                    "exposure",
                    "the check `" + check.id() + "` opens a cabinet or more, without the caution S01",
                    "add S01 (" + Caution.S01.appliesTo() + ") to its cautions");
        } else if (check.exposure() == 1 && check.cautions().isEmpty()) {
            error(
                    "exposure",
                    "the check `" + check.id() + "` sends somebody near energised equipment without a caution",
                    "add at least S25 and S28 to its cautions");
        }
    }

    private void circuit(Set<Work.Act> acts) {
        Circuit circuit = check.work().circuit();
        boolean touches = acts.stream().anyMatch(a -> a != Work.Act.LOOK);
        for (Caution caution : circuit.cautions()) {
            if (caution.minExposure() <= check.exposure()) {
                need(caution, "its circuit");
            } else if (touches) {
                error(
                        "exposure",
                        "the check `" + check.id() + "` touches a circuit whose caution " + caution + " ("
                                + caution.appliesTo() + ") begins at exposure " + caution.minExposure(),
                        "raise the exposure to " + caution.minExposure());
            }
        }
        if (acts.contains(Work.Act.OPEN_CIRCUIT)) {
            OPENS.forEach((of, words) -> {
                if (of == circuit || words.matcher(check.action()).find()) {
                    opened(of);
                }
            });
            if (circuit.neverOpenedInService() && !OPENS.containsKey(circuit)) {
                opened(circuit);
            }
        }
    }

    private void opened(Circuit circuit) {
        if (check.exposure() < 4 || !check.work().prepared().contains(Work.Preparation.ASSET_OUT_OF_SERVICE)) {
            error(
                    check.exposure() < 4 ? "exposure" : "prepared",
                    "the check `" + check.id() + "` opens a circuit in service: " + words(circuit),
                    "leave it closed and look or measure without opening it; or make it exposure 4 with prepared:"
                            + " [asset-out-of-service]");
        }
    }

    private static String words(Circuit circuit) {
        return switch (circuit) {
            case CURRENT_LOOP -> "a 4-20 mA loop";
            case CURRENT_TRANSFORMER -> "the secondary circuit of a current transformer";
            case BUSHING_TAP -> "a bushing tap or its lead";
            case CORE_EARTH -> "the core's earth link";
            default -> circuit.name();
        };
    }

    // ---- what is done

    private void act(Work.Act act) {
        switch (act) {
            case LOOK, MEND, SET, OPEN_CIRCUIT -> {
                // nothing of their own; opening depends on the circuit
            }
            case MEASURE -> {
                least(3, "measures");
                if (check.measurement() == null || check.measurement().energised()) {
                    need(Caution.S03, "proving the tester before and after");
                }
            }
            case TURN_VALVE -> least(4, "turns a valve");
            case HANDLE_BOARD -> {
                least(3, "handles a board");
                need(Caution.S17, "electrostatic precautions");
                confirmed("handles a board", Work.Preparation.isolation());
                confirmed("handles a board", List.of(Work.Preparation.ELECTROSTATIC));
            }
            case REPLACE -> {
                least(3, "replaces a part");
                need(Caution.S02, "isolating every source");
                confirmed("replaces a part", Work.Preparation.isolation());
                if (check.work().proof() == null) {
                    error(
                            "proof",
                            "the check `" + check.id() + "` replaces a part without a proof after it",
                            "add proof: with the check that shows that it works now");
                }
            }
            case RESTART -> confirmed("restarts a device", List.of(Work.Preparation.WORDS_SAVED));
        }
        if (check.work().act().changes() && act == check.work().act() && act != Work.Act.RESTART) {
            least(3, "changes something");
        }
    }

    private void least(int exposure, String what) {
        if (check.exposure() < exposure) {
            error(
                    "exposure",
                    "the check `" + check.id() + "` " + what + " at exposure " + check.exposure(),
                    "make it exposure " + exposure
                            + (exposure == 4 ? ", or let its position mark be looked at only" : " or higher"));
        }
    }

    private void need(Caution caution, String why) {
        if (!check.cautions().contains(caution)) {
            error(
                    "cautions",
                    "the check `" + check.id() + "` lacks the caution " + caution + " (" + caution.text() + "), for "
                            + why,
                    "add " + caution + " to its cautions");
        }
    }

    private void confirmed(String what, List<Work.Preparation> needed) {
        List<String> missing = needed.stream()
                .filter(p -> !check.work().prepared().contains(p))
                .map(CheckLint::written)
                .toList();
        if (!missing.isEmpty()) {
            error(
                    "prepared",
                    "the check `" + check.id() + "` " + what + " before it is confirmed that "
                            + String.join(
                                    " and ",
                                    needed.stream()
                                            .filter(p ->
                                                    !check.work().prepared().contains(p))
                                            .map(Work.Preparation::text)
                                            .toList()),
                    "add " + String.join(", ", missing) + " to prepared:");
        }
    }

    private static String written(Work.Preparation preparation) {
        return preparation.name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    // ---- measurements

    private void measurement() {
        Measurement of = check.measurement();
        if (of == null) {
            boolean measures = acts().contains(Work.Act.MEASURE);
            String accepted = check.accepted();
            if (node.has("measures")
                    || measures && (accepted == null || accepted.chars().noneMatch(Character::isDigit))) {
                error(
                        node.has("measures") ? "measures" : "action",
                        "the check `" + check.id() + "` measures something without range and unit",
                        "add measures: {quantity: ..., unit: V, from: ..., to: ...}, or state range and unit in"
                                + " accepted:");
            }
            return;
        }
        boolean range = of.base() == Measurement.Base.RATED_SUPPLY || of.from() != null || of.to() != null;
        if (!range) {
            error(
                    "measures",
                    "the check `" + check.id() + "` measures something without a range",
                    "add from: and to:, or base: rated-supply");
        }
        Double from = of.from();
        Double to = of.to();
        if (from != null && to != null && from > to) {
            error("measures", "the range ends below its beginning", "exchange from and to");
        }
        if (of.base() != Measurement.Base.WRITTEN && !of.unit().equals("V")) {
            error("measures", "a supply is measured in `" + of.unit() + "`", "write unit: V");
        }
        boolean both = of.base() == Measurement.Base.RATED_SUPPLY;
        covered(Verdict.WITHIN, true);
        covered(Verdict.BELOW, both || from != null);
        covered(Verdict.ABOVE, both || to != null);
        covered(Verdict.NONE, false);
    }

    private void covered(Verdict verdict, boolean needed) {
        long count = check.outcomes().stream()
                .filter(o -> o.when().contains(verdict))
                .count();
        String name = verdict.name().toLowerCase(Locale.ROOT);
        if (count > 1 || needed && count == 0) {
            error(
                    "outcomes",
                    count > 1
                            ? "two outcomes are for a value that is " + name
                            : "no outcome says what a value means that is " + name,
                    "write when: " + name + " at exactly one outcome");
        }
    }

    // ---- what outcomes say

    private void likelihoods() {
        Map<String, Double> sums = new LinkedHashMap<>();
        Map<String, Integer> counts = new LinkedHashMap<>();
        for (FirstCheck.Outcome outcome : check.outcomes()) {
            outcome.given().forEach((cause, probability) -> {
                sums.merge(cause, probability, Double::sum);
                counts.merge(cause, 1, Integer::sum);
            });
            if (!outcome.when().isEmpty() && check.measurement() == null && !node.has("measures")) {
                error("outcomes", "an outcome is for a measured value, and nothing is measured", "add measures:");
            }
        }
        int all = check.outcomes().size();
        sums.forEach((cause, sum) -> {
            boolean complete = Integer.valueOf(all).equals(counts.get(cause));
            if (sum > 1.005 || complete && sum < 0.995) {
                error(
                        "outcomes",
                        "the probabilities of all outcomes with `" + cause + "` come to "
                                + new BigDecimal(sum)
                                        .round(new MathContext(4))
                                        .stripTrailingZeros()
                                        .toPlainString()
                                + " and not to 1",
                        "correct them, or leave the cause out at one outcome, which then has the rest");
            }
        });
    }

    private void error(@Nullable String key, String what, String remedy) {
        Position position = key != null && node.has(key) ? node.valuePosition(key) : at;
        node.problems().error(position, what, remedy);
    }
}
