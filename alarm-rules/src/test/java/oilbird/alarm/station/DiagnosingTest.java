package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import oilbird.alarm.Bench;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.diagnosis.WindlowCauses;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class DiagnosingTest {
    private static Bench healthy() {
        Bench bench = new Bench(WindlowCauses.model());
        return bench.gases("gas-t1", 20).gases("gas-t2", 20).run(5);
    }

    private static List<StationEvent.Diagnosed> diagnosed(Bench bench) {
        return bench.events().stream()
                .filter(StationEvent.Diagnosed.class::isInstance)
                .map(StationEvent.Diagnosed.class::cast)
                .toList();
    }

    private static Diagnosis only(Bench bench) {
        assertThat(bench.view().diagnoses()).hasSize(1);
        return bench.view().diagnoses().get(0);
    }

    private static Diagnosis.RankedCause likeliest(Diagnosis diagnosis) {
        return diagnosis.causes().get(0);
    }

    private static Sign indication(String device, String name) {
        return Sign.of(new SignalId(device, name));
    }

    private static AlarmId alarm(String written) {
        return Bench.id(written);
    }

    @Test
    void aHealthyStationHasNoDiagnosis() {
        Bench bench = healthy().run(60);

        assertThat(bench.view().diagnoses()).isEmpty();
        assertThat(diagnosed(bench)).isEmpty();
    }

    @Test
    void signsOfOneCauseAreOneDiagnosisWithTheirAlarmsUnderIt() {
        Bench bench = healthy().set("gas-t1", "cabinet-fan-stopped", true).run(5);
        Diagnosis first = only(bench);
        assertThat(first.subject()).isEqualTo("t1");
        assertThat(likeliest(first).awaited())
                .as("the heat sink has a minute to get warm")
                .containsExactly(Sign.of(alarm("t1/gas-t1.heat-sink-warm")));
        assertThat(first.grouped()).containsExactly(alarm("t1/gas-t1.fan"));

        bench.set("gas-t1", "heat-sink-temperature", 40.0).run(10);

        Diagnosis later = only(bench);
        assertThat(later.id()).isEqualTo(first.id());
        assertThat(likeliest(later).cause()).isEqualTo("gas-t1.fan-stopped");
        assertThat(likeliest(later).posterior()).isGreaterThan(0.95);
        assertThat(later.grouped()).containsExactly(alarm("t1/gas-t1.fan"), alarm("t1/gas-t1.heat-sink-warm"));
        assertThat(likeliest(later).explains())
                .containsExactly(
                        indication("gas-t1", "cabinet-fan-stopped"), Sign.of(alarm("t1/gas-t1.heat-sink-warm")));
        assertThat(later.doubtful())
                .extracting(d -> d.reading().name())
                .containsExactly("hydrogen", "methane", "acetylene");
        assertThat(later.unexplained()).isEmpty();
    }

    @Test
    void whatShouldHaveComeAndDidNotTurnsTheAnswerRound() {
        Bench bench = healthy().set("gas-t1", "cabinet-fan-stopped", true).run(5);
        assertThat(likeliest(only(bench)).cause()).isEqualTo("gas-t1.fan-stopped");

        bench.run(60);

        Diagnosis late = only(bench);
        assertThat(likeliest(late).cause()).isEqualTo("gas-t1.fan-signal-lost");
        Diagnosis.RankedCause fan = late.causes().get(1);
        assertThat(fan.cause()).isEqualTo("gas-t1.fan-stopped");
        assertThat(fan.against()).containsExactly(Sign.of(alarm("t1/gas-t1.heat-sink-warm")));
        assertThat(fan.awaited()).isEmpty();
        assertThat(diagnosed(bench))
                .extracting(StationEvent.Diagnosed::kind)
                .containsExactly(StationEvent.Diagnosed.Kind.OPENED, StationEvent.Diagnosed.Kind.CHANGED);
    }

    @Test
    void whatACauseMakesOnlyForAWhileItDoesNotExplainAfterwards() {
        String briefly = WindlowCauses.GAS_MONITOR.replace(
                "fan-signal-lost:",
                "fan-held-up:\n    says: \"the {device}'s fan was held up\"\n    trouble: monitor\n"
                        + "    per_year: 2\n    produces:\n      cabinet-fan-stopped: {probability: 0.9, lasts: 30 s}\n"
                        + "  fan-signal-lost:");
        Bench bench = new Bench(WindlowCauses.model(WindlowCauses.facts(), briefly)).run(5);
        bench.gases("gas-t1", 20).run(5);
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(20);
        assertThat(likeliest(only(bench)).cause()).isEqualTo("gas-t1.fan-held-up");

        bench.run(20);

        Diagnosis later = only(bench);
        assertThat(later.causes()).extracting(Diagnosis.RankedCause::cause).doesNotContain("gas-t1.fan-held-up");
        assertThat(likeliest(later).cause()).isIn("gas-t1.fan-stopped", "gas-t1.fan-signal-lost");

        bench.set("gas-t1", "cabinet-fan-stopped", false).run(10);

        assertThat(bench.view().diagnoses()).isEmpty();
    }

    /** The posterior worked by hand with Bayes' rule, for one sign and two causes, from the stated formulas. */
    @Test
    void thePosteriorIsTheOneThatIsWorkedByHand() {
        Bench bench = healthy().set("gas-t1", "cabinet-fan-stopped", true).run(5);

        Diagnosis diagnosis = only(bench);
        double heldNanos = diagnosis.at().monotonicNanos() - diagnosis.since().monotonicNanos();
        double years = (86_400e9 + heldNanos) / (365.25 * 86_400e9);
        double fan = -StrictMath.expm1(-0.2 * years);
        double signal = -StrictMath.expm1(-0.05 * years);
        double unlisted = -StrictMath.expm1(-0.005 * years);
        double total = 0;
        double withFan = 0;
        for (int f = 0; f <= 1; f++) {
            for (int s = 0; s <= 1; s++) {
                // The heat sink is as cool as before, so the soft evidence halves the odds of the fan.
                double weight = (f == 1 ? fan * 0.5 : 1 - fan) * (s == 1 ? signal : 1 - signal);
                double silent = (1 - unlisted) * (f == 1 ? 0.05 : 1) * (s == 1 ? 0.05 : 1);
                total += weight * (1 - silent);
                withFan += f == 1 ? weight * (1 - silent) : 0;
            }
        }
        assertThat(likeliest(diagnosis).posterior()).isCloseTo(withFan / total, within(1e-12));
    }

    @Test
    void aSupplyThatTwoDevicesShareIsOneDiagnosisAndNotTwo() {
        Bench bench = healthy().silent("gas-t1").silent("cooling-t1").run(20);

        Diagnosis diagnosis = only(bench);
        assertThat(likeliest(diagnosis).cause()).isEqualTo("aux-t1.failed");
        assertThat(diagnosis.subject()).isEqualTo("aux-t1");
        assertThat(diagnosis.grouped())
                .containsExactly(alarm("t1/gas-t1.silent"), alarm("t1/cooling-t1.cooling-silent"));

        Bench twin = healthy().silent("gas-t1").run(20);

        assertThat(likeliest(only(twin)).cause()).isEqualTo("gas-t1.cut-off");
        double early = only(twin).causes().get(1).posterior();
        assertThat(only(twin).causes().get(1).cause()).isEqualTo("aux-t1.failed");
        assertThat(only(twin).causes().get(1).awaited())
                .as("the other device on the supply has a minute to fall silent too")
                .containsExactly(indication("cooling-t1", "communication-lost"));

        twin.run(60);

        assertThat(only(twin).causes().stream().filter(c -> c.cause().equals("aux-t1.failed")))
                .allSatisfy(c -> assertThat(c.posterior()).isLessThan(early / 10));
    }

    @Test
    void theFirstSilentDeviceOfABayHasACauseAtOnceAlsoWithoutAFaultModel() {
        Bench bench = healthy().silent("cooling-t1").run(4);

        Diagnosis first = only(bench);
        assertThat(first.unexplained()).isEmpty();
        assertThat(likeliest(first).cause()).isEqualTo("cooling-t1.communication-lost");
        assertThat(likeliest(first).posterior()).isGreaterThan(Diagnosis.LIKELY);
        assertThat(first.causes().get(1).cause()).isEqualTo("aux-t1.failed");

        bench.silent("gas-t1").run(20);

        assertThat(likeliest(only(bench)).cause()).isEqualTo("aux-t1.failed");
    }

    @Test
    void troubleOfTheTransformerStandsFirstBesideTroubleOfItsMonitor() {
        Bench bench = healthy().set("gas-t1", "cabinet-fan-stopped", true).run(5);
        bench.gases("gas-t1", 150).run(5);

        List<Diagnosis> both = bench.view().diagnoses();
        assertThat(both).hasSize(2);
        assertThat(both.get(0).transformerTrouble()).isTrue();
        assertThat(both.get(0).since().monotonicNanos())
                .isGreaterThan(both.get(1).since().monotonicNanos());
        assertThat(both.get(1).transformerTrouble()).isFalse();
    }

    @Test
    void alarmsThatProtectAreNeverFoldedAway() {
        Bench bench = healthy()
                .set("gas-t1", "detector-fault", true)
                .set("gas-t1", "cell-cold", true)
                .run(5);

        Diagnosis diagnosis = only(bench);
        assertThat(likeliest(diagnosis).cause()).isEqualTo("gas-t1.io-board-failed");
        assertThat(diagnosis.apart()).containsExactly(alarm("t1/gas-t1.cold"));
        assertThat(diagnosis.grouped()).containsExactly(alarm("t1/gas-t1.detector"));
    }

    @Test
    void aDiagnosisChangesNothingOfAnyAlarm() {
        Bench with = healthy();
        Bench without = Bench.of(with.model().facts(), with.model().rules());
        without.gases("gas-t1", 20).gases("gas-t2", 20).run(5);
        for (Bench bench : List.of(with, without)) {
            bench.set("gas-t1", "cabinet-fan-stopped", true).run(3);
            bench.set("gas-t1", "cell-cold", true)
                    .set("gas-t1", "detector-fault", true)
                    .run(3);
            bench.gases("gas-t1", 200).run(5);
            bench.silent("gas-t1").run(10).back("gas-t1").run(10);
            bench.set("gas-t1", "cabinet-fan-stopped", false).run(70);
        }

        assertThat(diagnosed(with)).isNotEmpty();
        assertThat(alarmEvents(with)).isEqualTo(alarmEvents(without)).hasSizeGreaterThan(8);
    }

    private static List<AlarmEvent> alarmEvents(Bench bench) {
        return bench.alarmEvents(e -> true);
    }

    @Test
    void whatNoCauseExplainsIsSaidToBeUnexplained() {
        String rare = WindlowCauses.GAS_MONITOR.replace("per_year: 0.1\n", "per_year: 0.0001\n");
        Bench bench = new Bench(WindlowCauses.model(WindlowCauses.facts(), rare)).run(5);
        bench.set("gas-t1", "oil-flow-low", true).run(5);

        Diagnosis diagnosis = only(bench);
        assertThat(diagnosis.unexplained()).containsExactly(indication("gas-t1", "oil-flow-low"));
        assertThat(diagnosis.grouped()).as("nothing has been explained by it").isEmpty();
    }

    @Test
    void pollingLimitsWhatCanBeSaidOfTheFirstSign() {
        Bench bench = healthy()
                .set("gas-t1", "detector-fault", true)
                .set("gas-t1", "cell-cold", true)
                .run(5);
        assertThat(only(bench).firstOut().orOneOf())
                .as("both came with one answer")
                .containsExactly(indication("gas-t1", "cell-cold"));

        Bench apart = healthy().set("gas-t1", "detector-fault", true).run(5);
        apart.set("gas-t1", "cell-cold", true).run(5);
        Diagnosis.FirstOut first = only(apart).firstOut();
        assertThat(first.sign()).isEqualTo(indication("gas-t1", "detector-fault"));
        assertThat(first.orOneOf()).isEmpty();
        assertThat(first.uncertainty()).isEqualTo(Duration.ofMillis(500));
    }

    @Test
    void aSilentDeviceTakesNoSignAway() {
        Bench bench = healthy().set("gas-t1", "oil-flow-low", true).run(5);
        String id = only(bench).id();

        bench.silent("gas-t1").run(20);

        Diagnosis flow = bench.view().diagnoses().stream()
                .filter(d -> d.id().equals(id))
                .findFirst()
                .orElseThrow();
        assertThat(flow.signs())
                .filteredOn(s -> s.sign().equals(indication("gas-t1", "oil-flow-low")))
                .singleElement()
                .satisfies(s -> {
                    assertThat(s.told()).isEqualTo(Diagnosis.Told.HOLDS);
                    assertThat(s.asLastTold()).isTrue();
                });
    }

    @Test
    void aRestartGoesOnWithTheSameDiagnosisAndTellsNothingTwice() {
        Bench bench = healthy().set("gas-t1", "cabinet-fan-stopped", true).run(70);
        Diagnosis before = only(bench);
        int told = diagnosed(bench).size();

        bench.restart(Duration.ofSeconds(30)).run(20);

        Diagnosis after = only(bench);
        assertThat(after.id()).isEqualTo(before.id());
        assertThat(likeliest(after).cause()).isEqualTo(likeliest(before).cause());
        assertThat(after.since().wallMillis()).isEqualTo(before.since().wallMillis());
        assertThat(diagnosed(bench)).hasSize(told);
    }

    @Test
    void aDiagnosisIsOverWithTheLastOfItsSigns() {
        Bench bench = healthy().set("gas-t1", "oil-flow-low", true).run(5);
        bench.set("gas-t1", "oil-flow-low", false).run(10);

        assertThat(bench.view().diagnoses()).isEmpty();
        assertThat(diagnosed(bench))
                .extracting(StationEvent.Diagnosed::kind)
                .containsExactly(StationEvent.Diagnosed.Kind.OPENED, StationEvent.Diagnosed.Kind.CLOSED);
    }

    @Test
    void maintenanceKeepsASignOutOfDiagnosis() {
        Bench bench = healthy();
        bench.apply(new StationInput.BeginMaintenance(
                "gas-t1", Bench.OPERATOR, "calibration", "P-1", Duration.ofHours(1), bench.now()));
        bench.set("gas-t1", "oil-flow-low", true).run(10);

        assertThat(bench.view().diagnoses()).isEmpty();
    }

    @Test
    void aSignThatNobodyHasVerifiedLeadsToNothing() {
        Bench bench = new Bench(WindlowCauses.model(WindlowCauses.facts(List.of("oil-flow-low")))).run(5);
        bench.set("gas-t1", "oil-flow-low", true).run(10);

        assertThat(bench.view().diagnoses()).isEmpty();
    }

    @Test
    void readingsAloneMakeNobodyThinkItOverAgain() {
        Bench bench = healthy().set("gas-t1", "oil-flow-low", true).run(5);
        Diagnosis before = only(bench);
        for (int i = 0; i < 20; i++) {
            bench.set("gas-t1", "oil-flow", i / 100.0).run(1);
        }

        assertThat(only(bench)).isSameAs(before);
    }

    @Test
    void otherRulesGoOnWithTheSameDiagnosis() {
        Bench bench = healthy().set("gas-t1", "oil-flow-low", true).run(5);
        String id = only(bench).id();

        bench.apply(new StationInput.RulesLoaded(WindlowCauses.model(), Bench.OPERATOR, bench.now()));
        bench.run(5);

        assertThat(only(bench).id()).isEqualTo(id);
        assertThat(diagnosed(bench)).hasSize(1);
    }

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6})
    void whateverHappensTheNumbersAddUpAndNothingIsHidden(long seed) {
        SplittableRandom random = new SplittableRandom(seed);
        Bench bench = healthy();
        List<String> bits = List.of("cabinet-fan-stopped", "oil-flow-low", "detector-fault", "cell-cold");
        for (int step = 0; step < 120; step++) {
            String device = random.nextBoolean() ? "gas-t1" : "gas-t2";
            switch (random.nextInt(7)) {
                case 0, 1, 2 -> bench.set(device, bits.get(random.nextInt(bits.size())), random.nextInt(3) > 0);
                case 3 -> bench.gases(device, random.nextInt(10, 300));
                case 4 -> bench.silent(random.nextBoolean() ? device : "cooling-t1");
                case 5 -> bench.back(device).back("cooling-t1");
                default -> bench.set(device, "heat-sink-temperature", random.nextDouble(0, 60));
            }
            bench.run(random.nextInt(1, 8));
            if (random.nextInt(40) == 0) {
                bench.restart(Duration.ofSeconds(20)).run(12);
            }
            check(seed, bench.view());
        }
    }

    private static void check(long seed, StationView view) {
        List<AlarmId> grouped = new ArrayList<>();
        for (Diagnosis diagnosis : view.diagnoses()) {
            assertThat(diagnosis.inference().error()).isZero();
            for (Diagnosis.RankedCause cause : diagnosis.causes()) {
                assertThat(cause.posterior()).as("seed %s", seed).isBetween(Diagnosis.LISTED, 1.0);
            }
            for (AlarmId alarm : diagnosis.grouped()) {
                StationView.AlarmView seen = view.alarms().get(alarm);
                assertThat(seen).isNotNull();
                assertThat(seen.rule().policy().alarmClass().name())
                        .as("seed %s: %s", seed, alarm)
                        .isNotIn("SAFETY", "EQUIPMENT_PROTECTION");
            }
            grouped.addAll(diagnosis.grouped());
        }
        assertThat(grouped).as("seed %s: under one diagnosis each", seed).doesNotHaveDuplicates();
    }

    @Test
    void anAlarmThatIsActedOnStaysUnderItsDiagnosis() {
        Bench bench = healthy().set("gas-t1", "oil-flow-low", true).run(5);
        bench.acknowledge("t1/gas-t1.flow");
        bench.act(
                "t1/gas-t1.flow",
                new AlarmInput.ShelveTimed(Bench.OPERATOR, "known", Duration.ofMinutes(10), bench.now()));
        bench.run(5);

        assertThat(only(bench).grouped()).containsExactly(alarm("t1/gas-t1.flow"));
    }
}
