package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import java.util.Objects;
import oilbird.alarm.Bench;
import oilbird.alarm.check.GuidedEvent;
import oilbird.alarm.check.GuidedInput;
import oilbird.alarm.check.GuidedSession;
import oilbird.alarm.check.GuidedStep.Reason;
import oilbird.alarm.diagnosis.WindlowCauses;
import oilbird.alarm.state.Actor;
import oilbird.mapping.signal.QualityReason;
import org.junit.jupiter.api.Test;

/** A guided fault-finding in the station's fold, on the invented station Windlow: issue of the design, section 6. */
class FaultFindingsTest {
    private static final Actor ANN = new Actor("A. Ner", "page");
    private static final Actor BEN = new Actor("B. Low", "page");
    private static final String WORN = "gas-t1.fan-stopped";

    private int keys;

    private static Bench faulty() {
        return new Bench(WindlowCauses.model())
                .gases("gas-t1", 20)
                .gases("gas-t2", 20)
                .run(20)
                .set("gas-t1", "cabinet-fan-stopped", true)
                .run(10);
    }

    private GuidedInput.Entry entry(Bench bench, Actor who, long seen) {
        keys++;
        return new GuidedInput.Entry("key " + keys, who, bench.now(), seen, null);
    }

    private GuidedSession begin(Bench bench) {
        String diagnosis = bench.view().diagnoses().get(0).id();
        StationStep step = bench.apply(new StationInput.BeginFaultFinding(diagnosis, entry(bench, ANN, 0)));
        assertThat(step.notTaken()).isNull();
        return only(bench);
    }

    private static GuidedSession only(Bench bench) {
        assertThat(bench.view().faultFindings().sessions()).hasSize(1);
        return bench.view().faultFindings().sessions().get(0);
    }

    private static GuidedSession.Ending endingOf(Bench bench) {
        return Objects.requireNonNull(only(bench).ending());
    }

    private StationStep say(Bench bench, GuidedInput input) {
        return bench.apply(new StationInput.InFaultFinding(only(bench).id(), input));
    }

    private void repair(Bench bench) {
        assertThat(say(bench, new GuidedInput.Repaired(entry(bench, ANN, 1_000), WORN, null, "new fan, no. 7"))
                        .notTaken())
                .isNull();
    }

    private static List<StationEvent.FaultFinding> told(Bench bench) {
        return bench.events().stream()
                .filter(StationEvent.FaultFinding.class::isInstance)
                .map(StationEvent.FaultFinding.class::cast)
                .toList();
    }

    private static List<String> kinds(Bench bench) {
        return told(bench).stream().map(e -> GuidedInput.kind(e.of().input())).toList();
    }

    @Test
    void itBeginsFromAnOpenDiagnosisWithWhatTheMonitorsSay() {
        Bench bench = faulty();
        GuidedSession session = begin(bench);

        StationEvent.FaultFinding begun = told(bench).get(0);
        assertThat(session.id()).isEqualTo(begun.id().toString());
        assertThat(session.atWork()).containsExactly("A. Ner");
        assertThat(session.diagnosis())
                .isEqualTo(bench.view().diagnoses().get(0).id());
        assertThat(begun.seen())
                .filteredOn(d -> d.device().equals("gas-t1"))
                .singleElement()
                .satisfies(d -> {
                    assertThat(d.holding()).contains("cabinet-fan-stopped");
                    assertThat(d.readings()).isNotEmpty();
                });
        assertThat(bench.apply(new StationInput.BeginFaultFinding("gw1.1.99999", entry(bench, ANN, 0)))
                        .notTaken())
                .isNotNull()
                .extracting(r -> r.reason())
                .isEqualTo(Reason.UNKNOWN_DIAGNOSIS);
    }

    @Test
    void whoeverBeginsTheSameJoinsAndWhatIsSentTwiceCountsOnce() {
        Bench bench = faulty();
        GuidedSession session = begin(bench);
        StationInput.BeginFaultFinding again =
                new StationInput.BeginFaultFinding(session.diagnosis(), entry(bench, BEN, 0));
        bench.apply(again);
        bench.apply(again);

        assertThat(only(bench).atWork()).containsExactly("A. Ner", "B. Low");
        assertThat(kinds(bench)).containsExactly("begun", "joined");
    }

    /** The fault model's proving time where it states none: 30 min without a sign. */
    @Test
    void aRepairIsProvedOnlyAfterItsSignsHaveStayedAwayForTheProvingTime() {
        Bench bench = faulty();
        begin(bench);
        bench.set("gas-t1", "cabinet-fan-stopped", false);
        repair(bench);
        bench.run(Duration.ofMinutes(29));
        assertThat(only(bench).ending()).isNull();
        assertThat(only(bench).watching()).isNotNull();

        bench.run(Duration.ofMinutes(2));
        assertThat(endingOf(bench).kind()).isEqualTo(GuidedSession.Kind.PROVED_GONE);
        assertThat(told(bench).get(told(bench).size() - 1).seen())
                .as("what the monitors said at the end")
                .isNotEmpty();
        assertThat(kinds(bench).stream().filter("watched"::equals).count())
                .as("not one event for each poll")
                .isLessThan(10);
    }

    @Test
    void aSignThatComesBackSendsItBackToTheSearch() {
        Bench bench = faulty();
        begin(bench);
        bench.set("gas-t1", "cabinet-fan-stopped", false);
        repair(bench);
        bench.run(Duration.ofMinutes(20))
                .set("gas-t1", "cabinet-fan-stopped", true)
                .run(Duration.ofMinutes(1));

        assertThat(only(bench).watching()).isNull();
        assertThat(only(bench).ended()).isFalse();
        assertThat(only(bench).vain())
                .singleElement()
                .satisfies(v -> assertThat(v.cause()).isEqualTo(WORN));
        assertThat(told(bench).stream().flatMap(e -> e.of().consequences().stream()))
                .anyMatch(c -> c instanceof GuidedEvent.RepairInVain);
    }

    @Test
    void aSignThatCannotBeToldIsNotAwayAndTheTimeBeginsAnew() {
        Bench bench = faulty();
        begin(bench);
        bench.set("gas-t1", "cabinet-fan-stopped", false);
        repair(bench);
        bench.run(Duration.ofMinutes(20))
                .failing("gas-t1", QualityReason.UNREACHABLE)
                .run(Duration.ofMinutes(2))
                .back("gas-t1")
                .run(Duration.ofMinutes(20));
        assertThat(only(bench).ending())
                .as("42 min after the repair, 20 min after the gap")
                .isNull();
        bench.run(Duration.ofMinutes(11));
        assertThat(only(bench).ending()).isNotNull();
    }

    @Test
    void aRestartGoesOnFromItsEventsAndCountsNoTimeThatNobodyWatched() {
        Bench bench = faulty();
        begin(bench);
        say(bench, new GuidedInput.WordsSaved(entry(bench, ANN, 1), "service laptop 2"));
        say(bench, new GuidedInput.SecondPerson(entry(bench, ANN, 1), "C. Hand"));
        bench.set("gas-t1", "cabinet-fan-stopped", false);
        repair(bench);
        bench.run(Duration.ofMinutes(20));
        GuidedSession before = only(bench);

        bench.restart(Duration.ofHours(2)).run(20);
        GuidedSession after = only(bench);
        assertThat(after.id()).isEqualTo(before.id());
        assertThat(after.start()).isEqualTo(before.start());
        assertThat(after.wordsSaved()).isEqualTo("service laptop 2");
        assertThat(after.secondPerson()).isEqualTo("C. Hand");
        assertThat(after.atWork()).isEqualTo(before.atWork());
        assertThat(after.version()).isGreaterThan(before.version());
        assertThat(after.watching()).isNotNull().extracting(w -> w.cause()).isEqualTo(WORN);
        assertThat(after.ending()).isNull();

        bench.run(Duration.ofMinutes(29));
        assertThat(only(bench).ending()).as("not 30 min in this process").isNull();
        bench.run(Duration.ofMinutes(2));
        assertThat(endingOf(bench).kind()).isEqualTo(GuidedSession.Kind.PROVED_GONE);

        bench.restart(Duration.ofMinutes(1));
        assertThat(bench.view().faultFindings().sessions())
                .as("what has ended is in the record and not taken up again")
                .isEmpty();
    }

    @Test
    void theVersionsOfASessionFollowEachOtherOverTwoRestarts() {
        Bench bench = faulty();
        begin(bench);
        bench.restart(Duration.ofMinutes(5)).run(20);
        say(bench, new GuidedInput.Joined(entry(bench, BEN, 1)));
        bench.restart(Duration.ofMinutes(5)).run(20);
        say(bench, new GuidedInput.GivenUp(entry(bench, BEN, 5), "the day is over"));

        List<Long> versions = told(bench).stream().map(e -> e.of().version()).toList();
        for (int i = 0; i < versions.size(); i++) {
            assertThat(versions.get(i)).isEqualTo(i);
        }
        assertThat(endingOf(bench).kind()).isEqualTo(GuidedSession.Kind.GIVEN_UP);
    }

    @Test
    void anotherSignChangesTheBeliefAndKeepsTheAnswers() {
        Bench bench = faulty();
        GuidedSession session = begin(bench);
        bench.set("gas-t1", "heat-sink-temperature", 60.0).run(30);

        assertThat(kinds(bench)).contains("reassessed");
        assertThat(only(bench).start()).isNotEqualTo(session.start());
    }
}
