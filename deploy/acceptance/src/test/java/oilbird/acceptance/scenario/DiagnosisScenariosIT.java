package oilbird.acceptance.scenario;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import java.util.Set;
import java.util.stream.Collectors;
import oilbird.gateway.station.Station;
import org.junit.jupiter.api.Test;

/**
 * The demo plant plays faults whose causes are known; the station, with the maps, rules and fault models of the demo,
 * says what it makes of them.
 *
 * <p>Scenarios were written from the plant's physics, before the fault models used what features find. Fault models
 * were then corrected by reason, seeing the answers of the first seed only; another seed, which nobody looked at while
 * doing so, is the part held out; it was drawn when the correcting was over, and its
 * single answers are not printed, so that nobody corrects by them.
 */
class DiagnosisScenariosIT {
    private static final long SEED = 1;
    private static final long HELD_OUT = 8762324;
    private static final Duration HELD_OUT_UP_TO = Duration.ofHours(10);

    /** Design: discharge, fast gas rise, bushing fault and incomplete tap change keep people away. */
    private static final List<String> KEEP_AWAY = List.of(
            "arcing",
            "low-energy-discharge",
            "partial-discharge",
            "bushing-layer-breakdown",
            "tap-change-incomplete",
            "sensor-earth-l1");

    @Test
    void whatTheStationMakesOfKnownFaults() {
        Station station = Suite.station();
        List<Scenario> scenarios = Suite.scenarios();
        assertThat(scenarios.stream().filter(s -> s.twin() == null))
                .as("each with a twin, and healthy days")
                .hasSizeGreaterThanOrEqualTo(60);

        Tally seen = play(new Suite(station, SEED, 1), "Seed seen while correcting", scenarios);
        // Both of a pair, or the twin has nothing to differ from.
        Set<String> tooLong = scenarios.stream()
                .filter(s -> s.judged().compareTo(HELD_OUT_UP_TO) > 0)
                .map(s -> s.twin() == null ? s.name() : s.twin())
                .collect(Collectors.toSet());
        Tally heldOut = play(
                new Suite(station, HELD_OUT, 1),
                "Seed held out, scenarios of up to 10 h",
                scenarios.stream()
                        .filter(s -> !tooLong.contains(s.twin() == null ? s.name() : s.twin()))
                        .toList());

        System.out.printf(
                "%-44s %-44s %4s %6s %4s %5s %4s%n", "scenario", "true cause", "rank", "post.", "else", "bits", "told");
        seen.outcomes().forEach(o -> System.out.println(o.line()));
        seen.print();
        heldOut.print();
        for (Tally tally : List.of(seen, heldOut)) {
            assertThat(tally.protectionGroupedAway())
                    .as("protection-class alarms grouped away")
                    .isZero();
            assertThat(tally.keepAwayViolations()).as("keep-away violations").isEmpty();
            assertThat(tally.notKeptAway(KEEP_AWAY))
                    .as("faults that must keep people away")
                    .isEmpty();
            assertThat(tally.missed())
                    .as("%s: faults of which nobody was told", tally.part())
                    .isEmpty();
            assertThat(tally.diagnosesOnHealthyDays())
                    .as("%s: healthy days with a diagnosis, be it for a minute", tally.part())
                    .isZero();
            assertThat((double) tally.first() / tally.faulty().size())
                    .as("%s: true cause first", tally.part())
                    .isGreaterThanOrEqualTo(LEAST_FIRST);
            assertThat(tally.faulty())
                    .as("%s: true cause among the first three", tally.part())
                    .allMatch(o -> o.rank() >= 1 && o.rank() <= 3);
            assertThat(tally.twinsToldApart())
                    .as("%s: twins answered otherwise than the scenario they belong to", tally.part())
                    .isGreaterThanOrEqualTo(tally == seen ? 1 : LEAST_TOLD_APART_HELD_OUT);
            assertThat((double) tally.bitsChanged() / tally.annunciated())
                    .as("%s: bit changes for each annunciation", tally.part())
                    .isGreaterThanOrEqualTo(LEAST_FEWER);
        }
    }

    private static final double LEAST_FIRST = 0.9;
    private static final double LEAST_FEWER = 5;

    /** Measured on all scenarios of the seed held out: 62 of 63 pairs; the aim is all. */
    private static final double LEAST_TOLD_APART_HELD_OUT = 0.95;

    private static Tally play(Suite suite, String part, List<Scenario> scenarios) {
        return new Tally(part, scenarios.parallelStream().map(suite::play).toList());
    }
}
