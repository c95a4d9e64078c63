package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.StateName;
import oilbird.mapping.signal.QualityReason;
import org.junit.jupiter.api.Test;

/** Limits and deadbands: a high alarm clears only below limit minus deadband (OPC 10000-9, B.1.5). */
class LevelsTest {
    private static final String OIL = "t1/cooling-t1.top-oil";

    private static Bench bench(String when, String behaviour) {
        StationFacts facts = Windlow.facts();
        return Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        "top-oil:\n  for: {map: tcc-4}\n  when: " + when + "\n  says: top oil is {value}\n"
                                + "  class: equipment-health\n  priority: minor\n" + behaviour));
    }

    private static final String AT_ONCE = "  on_samples: 1\n  off_samples: 1\n";
    private static final String TWO_LIMITS = "{level: top-oil-temperature, unit: degC, deadband: 2,"
            + " high: [{limit: 85, priority: minor}, {limit: 95, priority: critical}]}";

    private static Bench at(Bench bench, double celsius) {
        return bench.set("cooling-t1", "top-oil-temperature", celsius).run(0.5);
    }

    @Test
    void aHighAlarmHoldsFromItsLimitAndClearsOnlyBelowLimitMinusDeadband() {
        Bench bench = bench(TWO_LIMITS, AT_ONCE);
        at(at(bench, 84.9), 85);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED);
        at(at(at(bench, 84), 83), 84.9);
        assertThat(bench.kinds(OIL))
                .as("83 is limit minus deadband, not below it")
                .containsExactly(Kind.RAISED);
        at(bench, 82.9);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED, Kind.RETURNED);
        assertThat(bench.last(OIL).event().text())
                .isEqualTo("top-oil-temperature = 82.9 degC (limit 85 degC, deadband 2 degC)");
    }

    @Test
    void aLowAlarmIsTheMirrorImage() {
        Bench bench = bench("{level: top-oil-temperature, unit: degC, low: -10, deadband: 2}", AT_ONCE);
        at(at(bench, -9.9), -10);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED);
        at(bench, -8);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED);
        at(bench, -7.9);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED, Kind.RETURNED);
    }

    @Test
    void aSecondLimitEscalatesAndEasesWithItsOwnDeadband() {
        Bench bench = bench(TWO_LIMITS, AT_ONCE);
        at(at(bench, 90), 95);
        assertThat(bench.alarm(OIL).state().priority()).isEqualTo(Priority.CRITICAL);
        assertThat(bench.alarm(OIL).limit()).isEqualTo(95);
        at(bench, 93);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED, Kind.ESCALATED);
        at(bench, 92.9);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED, Kind.ESCALATED, Kind.EASED);
        assertThat(bench.alarm(OIL).state().priority()).isEqualTo(Priority.MINOR);
        assertThat(bench.alarm(OIL).limit()).isEqualTo(85);
    }

    @Test
    void whileAnAlarmStandsItsValueIsTheNewestOneBeyondItsLimit() {
        Bench bench = bench(TWO_LIMITS, AT_ONCE);
        at(at(at(bench, 86), 87.5), 84);
        assertThat(bench.alarm(OIL).value()).isEqualTo(87.5);
        assertThat(bench.reading("cooling-t1", "top-oil-temperature").reading().number())
                .isEqualTo(84);
        at(bench, 70);
        assertThat(bench.alarm(OIL).state().active()).isFalse();
        assertThat(bench.alarm(OIL).value()).isEqualTo(70);
    }

    @Test
    void aReadingWithoutAValueNeitherEasesNorClears() {
        Bench bench = bench(TWO_LIMITS, AT_ONCE);
        at(at(bench, 90), 95);
        bench.set("cooling-t1", "top-oil-temperature", QualityReason.NO_VALUE).run(5);
        assertThat(bench.alarm(OIL).state().priority()).isEqualTo(Priority.CRITICAL);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED, Kind.ESCALATED, Kind.QUALITY_CHANGED);
        assertThat(bench.last(OIL).event().text()).isEqualTo("top-oil-temperature cannot be told: no value");
    }

    @Test
    void theDeadbandSurvivesARestart() {
        Bench bench = bench(TWO_LIMITS, AT_ONCE);
        at(bench, 86).restart(java.time.Duration.ofSeconds(10));
        at(bench, 84);
        assertThat(bench.alarm(OIL).state().active()).isTrue();
        at(bench, 82);
        assertThat(bench.alarm(OIL).state().name()).isEqualTo(StateName.RTNUN);
    }

    @Test
    void theDeadbandDoesNotHelpAValueToBeRaised() {
        Bench bench = bench(TWO_LIMITS, "  on_samples: 2\n  off_samples: 1\n");
        for (int i = 0; i < 10; i++) {
            at(at(bench, 85), 84);
        }
        assertThat(bench.kinds(OIL)).isEmpty();
    }

    @Test
    void temperaturesAreDebouncedForAMinuteWhereTheRuleDoesNotSay() {
        // ISA-18.2 / EEMUA 191 starting points: 1 % of span; the 60 s are from memory.
        Bench bench = bench("{level: top-oil-temperature, unit: degC, high: 85}", "");
        at(bench, 90).run(59);
        assertThat(bench.kinds(OIL)).isEmpty();
        bench.run(1);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED);
        at(bench, 85 - 1.7).run(59);
        assertThat(bench.kinds(OIL)).as("1 %% of the span of 170 K is 1.7 K").containsExactly(Kind.RAISED);
        at(bench, 85 - 1.8).run(60);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED, Kind.RETURNED);
    }

    @Test
    void oneRuleWatchesTheHeatSinkOverTheCabinetAir() {
        StationFacts facts = Windlow.facts();
        Bench bench = Bench.of(facts, Windlow.rules(facts, "windlow-gas-monitor.yaml"));
        String alarm = "t1/gas-t1.heat-sink-hot";
        bench.set("gas-t1", "cabinet-air-temperature", 40.0).set("gas-t1", "heat-sink-temperature", 64.0);
        bench.run(62);
        assertThat(bench.kinds(alarm)).isEmpty();
        bench.set("gas-t1", "heat-sink-temperature", 66.0).run(62);
        assertThat(bench.kinds(alarm)).containsExactly(Kind.RAISED);
        assertThat(bench.last(alarm).event().text())
                .isEqualTo("heat-sink-temperature - cabinet-air-temperature = 26 K (limit 25 K)");
        bench.set("gas-t1", "cabinet-air-temperature", QualityReason.NO_VALUE).run(1);
        assertThat(bench.alarm(alarm).state().active()).isTrue();
    }

    @Test
    void anAnalysisIsASampleAndARepeatedPollIsNone() {
        StationFacts facts = Windlow.facts();
        Bench bench = Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        "h2:\n  for: {devices: [gas-t1]}\n  when: {level: hydrogen, unit: ppm, high: 150}\n"
                                + "  says: hydrogen is {value}\n  class: equipment-health\n  priority: major\n"
                                + "  on_samples: 3\n"));
        bench.gases("gas-t1", 200).run(10).gases("gas-t1", 200).run(10);
        assertThat(bench.kinds("t1/gas-t1.h2")).isEmpty();
        bench.gases("gas-t1", 200).run(1);
        assertThat(bench.kinds("t1/gas-t1.h2")).isEqualTo(List.of(Kind.RAISED));
    }

    @Test
    void aFloodBeginsWithTheEleventhAlarmInTenMinutesAndEndsBelowFive() {
        // ISA-18.2-2016, 16.4.4 by public summaries; sources write both ">10" and ">=10".
        StationFacts facts = Windlow.facts();
        Bench bench = Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        "fan:\n  for: {devices: [cooling-t1]}\n  when: {indication: fan-vibration}\n  says: x\n"
                                + "  class: auxiliary\n  priority: minor\n  on_samples: 1\n  off_samples: 1\n"));
        for (int i = 0; i < 10; i++) {
            raiseAndEnd(bench);
        }
        assertThat(bench.view().flood()).isEqualTo(new StationView.Flood(false, 10));
        raiseAndEnd(bench);
        assertThat(bench.view().flood()).isEqualTo(new StationView.Flood(true, 11));
        bench.run(586);
        assertThat(bench.view().flood()).isEqualTo(new StationView.Flood(true, 7));
        bench.run(6);
        assertThat(bench.view().flood()).isEqualTo(new StationView.Flood(false, 4));
    }

    private static void raiseAndEnd(Bench bench) {
        bench.set("cooling-t1", "fan-vibration", true).run(1);
        bench.set("cooling-t1", "fan-vibration", false).run(1);
    }
}
