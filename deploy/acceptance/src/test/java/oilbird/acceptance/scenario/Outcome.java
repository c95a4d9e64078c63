package oilbird.acceptance.scenario;

import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.explain.Explainer;
import oilbird.alarm.explain.Explanation;
import oilbird.alarm.station.StationView;
import org.jspecify.annotations.Nullable;

/**
 * What a station made of a scenario.
 *
 * @param first the likeliest cause of each open diagnosis.
 * @param rank place of the true cause in the diagnosis that lists it; 0 where none does.
 * @param posterior of the true cause; 0 where it is not listed.
 * @param beside open diagnoses that do not list the true cause.
 * @param opened diagnoses that were opened at any time, those that are over among them.
 */
record Outcome(
        Scenario scenario,
        List<String> first,
        int rank,
        double posterior,
        int beside,
        int opened,
        int bitsChanged,
        int annunciated,
        int starts,
        int protectionGroupedAway,
        List<String> keptAway,
        List<String> keepAwayViolations,
        String told) {

    static Outcome of(Scenario scenario, Run run) {
        StationView view = run.view();
        List<String> first = new ArrayList<>();
        int rank = 0;
        double posterior = 0;
        int beside = 0;
        StringBuilder told = new StringBuilder();
        for (Diagnosis diagnosis : view.diagnoses()) {
            Diagnosis.RankedCause likeliest = diagnosis.likeliest();
            first.add(likeliest == null ? "unexplained" : likeliest.cause());
            int place = place(diagnosis, scenario.cause());
            if (place > 0 && (rank == 0 || place < rank)) {
                rank = place;
                posterior = diagnosis.causes().get(place - 1).posterior();
            }
            beside += place == 0 ? 1 : 0;
            told.append(" [");
            diagnosis.causes().stream()
                    .limit(3)
                    .forEach(c -> told.append(" %s %.3f".formatted(c.cause(), c.posterior())));
            told.append(diagnosis.unexplained().isEmpty() ? "" : " unexplained " + diagnosis.unexplained());
            told.append(" signs");
            diagnosis.signs().stream()
                    .filter(s -> s.told() == Diagnosis.Told.HOLDS)
                    .forEach(s -> told.append(' ').append(s.sign()));
            told.append(" ]");
        }
        List<String> keptAway = view.standing().keepAways().stream()
                .filter(k -> k.releasedBy() == null)
                .map(k -> k.asset())
                .toList();
        return new Outcome(
                scenario,
                first,
                rank,
                posterior,
                beside,
                run.opened(),
                run.bitsChanged(),
                run.annunciated(),
                run.starts(),
                run.protectionGroupedAway().size(),
                keptAway,
                violations(run, view, keptAway),
                told.toString());
    }

    /** Place of a true cause in a diagnosis, counted from 1; 0 where it does not list it. */
    static int place(Diagnosis diagnosis, Scenario.@Nullable Cause cause) {
        for (int i = 0; cause != null && i < diagnosis.causes().size(); i++) {
            if (isMeant(diagnosis.causes().get(i), cause)) {
                return i + 1;
            }
        }
        return 0;
    }

    private static boolean isMeant(Diagnosis.RankedCause listed, Scenario.Cause cause) {
        String device = listed.device();
        if (device == null) {
            return listed.cause().equals(cause.target() + ".failed");
        }
        if (cause.target().equals("weather")) {
            return listed.cause().equals(device + "." + cause.fault());
        }
        // The fault model names the phase, which the transformer's own faults in the plant leave open.
        boolean same = listed.cause()
                        .replaceAll("-l[123]$", "")
                        .equals(device + "." + cause.fault().replaceAll("-l[123]$", ""))
                && (!cause.fault().matches(".*-l[123]") || listed.cause().endsWith(cause.fault()));
        return same && (device.equals(cause.target()) || listed.asset().equals(cause.target()));
    }

    /** Checks that would send somebody near an asset from which people are to keep away. */
    private static List<String> violations(Run run, StationView view, List<String> keptAway) {
        Set<String> found = new LinkedHashSet<>();
        Explainer explainer = new Explainer(run.model());
        view.alarms().forEach((id, alarm) -> {
            if (keptAway.contains(id.asset())) {
                Explanation explanation = explainer.explain(view, id);
                for (Explanation.ExplainedCheck each : explanation.checks()) {
                    if (each.check().exposure() >= 1) {
                        found.add(id + ": " + each.check().id());
                    }
                }
            }
        });
        return List.copyOf(found);
    }

    boolean right() {
        return scenario.healthy() ? opened == 0 : rank == 1;
    }

    /** One line of the table. */
    String line() {
        return "%-44s %-44s %4s %6s %4d %5d %4d  %s"
                .formatted(
                        (scenario.twin() == null ? "" : "  ~ ") + scenario.name(),
                        scenario.healthy() ? "healthy" : scenario.cause(),
                        scenario.healthy() ? (right() ? "ok" : "NO") : rank == 0 ? "-" : rank,
                        scenario.healthy() ? "" : "%.2f".formatted(posterior),
                        beside,
                        bitsChanged,
                        annunciated,
                        right() ? String.join(", ", keptAway) : told);
    }
}
