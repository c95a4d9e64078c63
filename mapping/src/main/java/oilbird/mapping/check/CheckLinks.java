package oilbird.mapping.check;

import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.Suggestion;

/** How checks name each other: what comes next, what comes before, what proves a repair. */
public final class CheckLinks {
    private final Map<String, FirstCheck> known;
    private final Map<String, Position> positions;
    private final Problems problems;

    private CheckLinks(Map<String, FirstCheck> known, Map<String, Position> positions, Problems problems) {
        this.known = known;
        this.positions = positions;
        this.problems = problems;
    }

    /**
     * Adds an error for every name that nobody has, and for every way that comes back to where it began.
     *
     * @param section the checks whose links are looked at.
     * @param others checks that they may name too.
     */
    public static void refuse(CheckReader.Section section, Map<String, FirstCheck> others, Problems problems) {
        Map<String, FirstCheck> known = new LinkedHashMap<>(others);
        known.putAll(section.checks());
        new CheckLinks(known, section.positions(), problems)
                .refuse(section.checks().values());
    }

    /** True where one of the checks names this one. */
    public static boolean isNamed(String name, Collection<FirstCheck> checks) {
        return checks.stream()
                .anyMatch(c -> !c.id().equals(name)
                        && (c.after().contains(name)
                                || name.equals(c.work().proof())
                                || c.outcomes().stream().anyMatch(o -> name.equals(o.next()))));
    }

    private void refuse(Collection<FirstCheck> checks) {
        for (FirstCheck check : checks) {
            names(check).forEach(name -> {
                if (!known.containsKey(name) && !positions.containsKey(name)) {
                    error(
                            check,
                            "the check `" + check.id() + "` names the check `" + name + "`, which is not there",
                            Suggestion.closest(name, known.keySet())
                                    .map(close -> "did you mean " + close + "?")
                                    .orElse("describe it under first_checks, or write another name"));
                }
            });
            if (comesBack(check.id(), true)) {
                error(
                        check,
                        "a dead end: after `" + check.id() + "` the next checks lead back to it",
                        "let one of their outcomes end it: without next, or with proves or hand_over");
            }
            if (comesBack(check.id(), false)) {
                error(
                        check,
                        "the check `" + check.id() + "` can never be reached: what comes before it waits for it",
                        "take one of the names out of after:");
            }
        }
    }

    private static List<String> names(FirstCheck check) {
        List<String> names = new ArrayList<>(check.after());
        String proof = check.work().proof();
        if (proof != null) {
            names.add(proof);
        }
        names.addAll(nexts(check));
        return names;
    }

    private static List<String> nexts(FirstCheck check) {
        List<String> nexts = new ArrayList<>();
        for (FirstCheck.Outcome outcome : check.outcomes()) {
            String next = outcome.next();
            if (next != null) {
                nexts.add(next);
            }
        }
        return nexts;
    }

    /** Whether a way from a check, by what comes next or by what comes before, leads back to it. */
    private boolean comesBack(String start, boolean forward) {
        Set<String> seen = new LinkedHashSet<>();
        List<String> open = new ArrayList<>(List.of(start));
        while (!open.isEmpty()) {
            FirstCheck check = known.get(open.remove(open.size() - 1));
            if (check == null) {
                continue;
            }
            for (String name : forward ? nexts(check) : check.after()) {
                if (name.equals(start)) {
                    return true;
                }
                if (seen.add(name)) {
                    open.add(name);
                }
            }
        }
        return false;
    }

    private void error(FirstCheck check, String what, String remedy) {
        Position at = positions.get(check.id());
        if (at != null) {
            problems.error(at, what, remedy);
        }
    }
}
