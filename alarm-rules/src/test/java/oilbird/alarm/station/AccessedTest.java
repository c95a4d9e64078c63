package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import org.junit.jupiter.api.Test;

/** Changes of access are told again after each restart, and are recorded once. */
class AccessedTest {
    private static final Actor INTEGRATOR = new Actor("integrator", "command");

    private static Bench bench() {
        StationFacts facts = Windlow.facts();
        return Bench.of(facts, List.of());
    }

    private static void tell(Bench bench, Kind kind, long entry, long previous) {
        bench.apply(new StationInput.Accessed(
                kind, entry, previous, "a.tester", INTEGRATOR, "", "entry " + entry, 1, bench.now()));
    }

    private static List<String> told(Bench bench) {
        return bench.events().stream()
                .filter(StationEvent.Accessed.class::isInstance)
                .map(e -> ((StationEvent.Accessed) e).kind() + " " + ((StationEvent.Accessed) e).text())
                .toList();
    }

    @Test
    void anEntryThatComesAgainIsRecordedOnceAlsoAfterARestart() {
        Bench bench = bench();
        tell(bench, Kind.USER_ADDED, 1_000, 0);
        tell(bench, Kind.ROLE_CHANGED, 1_007, 1_000);
        tell(bench, Kind.USER_ADDED, 1_000, 0);
        bench.restart(Duration.ofMinutes(1)).restart(Duration.ofMinutes(1));
        tell(bench, Kind.USER_ADDED, 1_000, 0);
        tell(bench, Kind.ROLE_CHANGED, 1_007, 1_000);
        tell(bench, Kind.USER_REMOVED, 2_000, 1_007);
        assertThat(told(bench))
                .containsExactly("USER_ADDED entry 1000", "ROLE_CHANGED entry 1007", "USER_REMOVED entry 2000");
    }

    @Test
    void entriesThatAreGoneAreSaidToBeMissing() {
        Bench bench = bench();
        tell(bench, Kind.USER_ADDED, 1_000, 0);
        tell(bench, Kind.USER_REMOVED, 3_000, 2_000);
        assertThat(told(bench))
                .containsExactly(
                        "USER_ADDED entry 1000",
                        "ENTRIES_MISSING changes after entry 1000 up to entry 2000 are not known",
                        "USER_REMOVED entry 3000");
    }

    @Test
    void whatHasNoEntryIsRecordedEachTime() {
        Bench bench = bench();
        tell(bench, Kind.SIGNED_IN, 0, 0);
        tell(bench, Kind.SIGNED_IN, 0, 0);
        assertThat(told(bench)).hasSize(2);
    }
}
