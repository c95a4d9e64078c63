package oilbird.acceptance.scenario;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.function.ToDoubleFunction;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.gateway.station.Station;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/**
 * Guided fault-finding on the scenarios of the diagnosis, from the diagnosis that the station makes of each to the
 * proved cause, once in the computed order and once in the order of the lists.
 */
class GuidedScenariosIT {
    /** Seen while the library was made. */
    private static final long SEEN = 1;

    /** Drawn at random when that was over. */
    private static final long HELD_OUT = 12649044;

    private static final int TECHNICIANS = 40;
    private static final Duration LONGEST = Duration.ofHours(10);

    private record Case(Scenario scenario, Diagnosis diagnosis, String cause) {}

    private record Both(Case of, Guiding.Search computed, Guiding.Search listed, Guiding.Search listAlone) {}

    @ParameterizedTest
    @ValueSource(longs = {SEEN, HELD_OUT})
    void theComputedOrderNeedsFewerOrEqualStepsAndNoHigherExposureThanTheLists(long seed) {
        Station station = Suite.station();
        Suite suite = new Suite(station, seed, 1);
        List<Case> cases = Suite.scenarios().parallelStream()
                .filter(s -> !s.healthy() && s.judged().compareTo(LONGEST) <= 0)
                .flatMap(s -> cases(suite, s).stream())
                .toList();
        Guiding guiding = new Guiding(station.model().causes());
        List<Both> searches = new ArrayList<>();
        for (Case each : cases) {
            for (int technician = 0; technician < TECHNICIANS; technician++) {
                long chances = each.scenario().name().hashCode() * 31L + technician + (seed - SEEN) * 1_000_003L;
                String cause = Guiding.meant(each.diagnosis(), each.cause(), chances);
                searches.add(new Both(
                        each,
                        guiding.search(each.diagnosis(), cause, guiding.computed(), chances),
                        guiding.search(each.diagnosis(), cause, guiding.listedToTheEnd(each.diagnosis()), chances),
                        guiding.search(each.diagnosis(), cause, guiding.listed(each.diagnosis()), chances)));
            }
        }
        print(searches, cases);
        for (Case each : cases) {
            assertThat(guiding.exposureWhileKeptAway(each.diagnosis()))
                    .as(
                            "%s: highest exposure of any check proposed while people keep away",
                            each.scenario().name())
                    .isZero();
        }
        assertThat(cases)
                .as("faults with a diagnosis that lists the true cause")
                .hasSizeGreaterThanOrEqualTo(40);
        assertThat(mean(searches, b -> b.computed().steps()))
                .as("mean number of steps")
                .isLessThanOrEqualTo(mean(searches, b -> b.listed().steps()));
        assertThat(mean(searches, b -> b.computed().exposure()))
                .as("mean highest exposure")
                .isLessThanOrEqualTo(mean(searches, b -> b.listed().exposure()));
        List<Both> bothProve = searches.stream()
                .filter(b -> b.computed().found() && b.listed().found())
                .toList();
        line("computed, where both come to the true cause", bothProve, Both::computed);
        line("lists, where both come to the true cause", bothProve, Both::listed);
        assertThat(mean(bothProve, b -> b.computed().steps()))
                .as("mean number of steps where both orders come to the true cause")
                .isLessThanOrEqualTo(mean(bothProve, b -> b.listed().steps()));
        assertThat(mean(bothProve, b -> b.computed().exposure()))
                .as("mean highest exposure where both orders come to the true cause")
                .isLessThanOrEqualTo(mean(bothProve, b -> b.listed().exposure()));
        // The lists ask two and a half times as much before they decide. Measured: 96.6 against 95.9 % with the seed
        // seen,
        // 96.6 against 96.8 % with the one held out; asserted is that it is not worse beyond chance.
        double listed = share(searches, b -> b.listed().found() ? 1 : 0);
        double chance = 2 * Math.sqrt(listed * (1 - listed) / searches.size());
        assertThat(share(searches, b -> b.computed().found() ? 1 : 0))
                .as("share that comes to the true cause")
                .isGreaterThanOrEqualTo(listed - chance);
    }

    private static List<Case> cases(Suite suite, Scenario scenario) {
        List<Case> cases = new ArrayList<>();
        for (Diagnosis diagnosis : suite.run(scenario).view().diagnoses()) {
            int place = Outcome.place(diagnosis, scenario.cause());
            if (place > 0) {
                cases.add(new Case(
                        scenario, diagnosis, diagnosis.causes().get(place - 1).cause()));
            }
        }
        return cases;
    }

    private static double mean(List<Both> searches, ToDoubleFunction<Both> of) {
        return searches.stream().mapToDouble(of).average().orElse(Double.NaN);
    }

    private static double share(List<Both> searches, ToDoubleFunction<Both> of) {
        return mean(searches, of);
    }

    private static void print(List<Both> searches, List<Case> cases) {
        System.out.printf(
                "%-44s %-34s %5s | %5s %4s %5s | %5s %4s %5s%n",
                "scenario", "true cause", "start", "steps", "exp.", "found", "steps", "exp.", "found");
        for (Case each : cases) {
            List<Both> of = searches.stream().filter(b -> b.of().equals(each)).toList();
            System.out.printf(
                    "%-44s %-34s %5.2f | %5.1f %4.1f %4.0f%% | %5.1f %4.1f %4.0f%%%n",
                    each.scenario().name(),
                    each.cause(),
                    Guiding.start(each.diagnosis(), each.cause()),
                    mean(of, b -> b.computed().steps()),
                    mean(of, b -> b.computed().exposure()),
                    100 * share(of, b -> b.computed().found() ? 1 : 0),
                    mean(of, b -> b.listed().steps()),
                    mean(of, b -> b.listed().exposure()),
                    100 * share(of, b -> b.listed().found() ? 1 : 0));
        }
        System.out.printf("%nGuided fault-finding, %d faults, %d technicians each%n", cases.size(), TECHNICIANS);
        line("computed order", searches, Both::computed);
        line("lists of the causes, then all else in order", searches, Both::listed);
        line("lists of the causes alone", searches, Both::listAlone);
    }

    private interface Arm {
        Guiding.Search of(Both both);
    }

    private static void line(String what, List<Both> searches, Arm arm) {
        System.out.printf(
                "  %-42s steps %5.2f  highest exposure %4.2f  minutes %5.1f  true cause %4.1f %%  another %4.1f %%%n",
                what,
                mean(searches, b -> arm.of(b).steps()),
                mean(searches, b -> arm.of(b).exposure()),
                mean(searches, b -> arm.of(b).minutes()),
                100 * share(searches, b -> arm.of(b).found() ? 1 : 0),
                100 * share(searches, b -> arm.of(b).wrong() ? 1 : 0));
    }
}
