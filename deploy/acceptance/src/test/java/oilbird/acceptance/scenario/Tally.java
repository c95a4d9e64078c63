package oilbird.acceptance.scenario;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/** What the outcomes of a part of the suite come to. */
record Tally(String part, List<Outcome> outcomes) {
    List<Outcome> faulty() {
        return outcomes.stream().filter(o -> !o.scenario().healthy()).toList();
    }

    List<Outcome> healthy() {
        return outcomes.stream().filter(o -> o.scenario().healthy()).toList();
    }

    long first() {
        return faulty().stream().filter(o -> o.rank() == 1).count();
    }

    long firstThree() {
        return faulty().stream().filter(o -> o.rank() >= 1 && o.rank() <= 3).count();
    }

    /** Scenarios of which nobody was told anything. */
    List<Outcome> missed() {
        return faulty().stream()
                .filter(o -> o.annunciated() == 0 && o.first().isEmpty())
                .toList();
    }

    long diagnosesOnHealthyDays() {
        return healthy().stream().filter(o -> o.opened() > 0).count();
    }

    int bitsChanged() {
        return outcomes.stream().mapToInt(Outcome::bitsChanged).sum();
    }

    int annunciated() {
        return outcomes.stream().mapToInt(Outcome::annunciated).sum();
    }

    int protectionGroupedAway() {
        return outcomes.stream().mapToInt(Outcome::protectionGroupedAway).sum();
    }

    List<String> keepAwayViolations() {
        List<String> found = new ArrayList<>();
        outcomes.forEach(
                o -> o.keepAwayViolations().forEach(v -> found.add(o.scenario().name() + ": " + v)));
        return found;
    }

    /** Faults near which nobody may be sent, that did not keep people away. */
    List<String> notKeptAway(List<String> faults) {
        return faulty().stream()
                .filter(o -> o.scenario().plays().stream()
                        .anyMatch(p -> faults.contains(p.cause().fault())))
                .filter(o -> o.keptAway().isEmpty())
                .map(o -> o.scenario().name())
                .toList();
    }

    /** Twins by whether they were answered otherwise than the scenario they belong to. */
    Map<Boolean, List<String>> twins() {
        Map<Boolean, List<String>> twins = new LinkedHashMap<>();
        twins.put(true, new ArrayList<>());
        twins.put(false, new ArrayList<>());
        for (Outcome outcome : outcomes) {
            Optional<Outcome> base = outcomes.stream()
                    .filter(o -> o.scenario().twin() == null
                            && o.scenario().name().equals(outcome.scenario().twin()))
                    .findFirst();
            if (base.isPresent()) {
                boolean otherwise = !answer(base.get()).equals(answer(outcome));
                List<String> list = twins.get(otherwise);
                if (list != null) {
                    list.add(base.get().scenario().name() + outcome.scenario().name());
                }
            }
        }
        return twins;
    }

    /** Part of the pairs that were told apart; 1 where there are none. */
    double twinsToldApart() {
        Map<Boolean, List<String>> twins = twins();
        int apart = twins.getOrDefault(true, List.of()).size();
        int same = twins.getOrDefault(false, List.of()).size();
        return apart + same == 0 ? 1 : (double) apart / (apart + same);
    }

    private static String answer(Outcome outcome) {
        return outcome.first().isEmpty() ? "nothing" : String.join(", ", outcome.first());
    }

    void print() {
        Map<Boolean, List<String>> twins = twins();
        int pairs = twins.values().stream().mapToInt(List::size).sum();
        System.out.printf(
                "%n%s: %d scenarios, %d of them healthy, %d twins%n",
                part, outcomes.size(), healthy().size(), pairs);
        line(
                "true cause first",
                "%d of %d, %.0f %%".formatted(first(), faulty().size(), 100.0 * first() / faulty().size()),
                "90 %");
        line(
                "true cause among the first three",
                "%d of %d, %.0f %%".formatted(firstThree(), faulty().size(), 100.0 * firstThree() / faulty().size()),
                "all");
        line(
                "twins answered differently",
                "%d of %d".formatted(twins.getOrDefault(true, List.of()).size(), pairs),
                "all");
        line("healthy days with a diagnosis", String.valueOf(diagnosesOnHealthyDays()), "0");
        line("scenarios of which nobody was told", String.valueOf(missed().size()), "0");
        line(
                "annunciated, against bits that changed",
                "%d against %d, %.1f times fewer"
                        .formatted(annunciated(), bitsChanged(), (double) bitsChanged() / annunciated()),
                "5 times");
        line("protection-class alarms grouped away", String.valueOf(protectionGroupedAway()), "0");
        line("keep-away violations", String.valueOf(keepAwayViolations().size()), "0");
    }

    private static void line(String what, String measured, String aim) {
        System.out.printf("  %-40s %-34s aim %s%n", what, measured, aim);
    }
}
