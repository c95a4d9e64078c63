package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.explain.Explainer;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.StateName;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import org.junit.jupiter.api.Test;

/** Samples that must agree, rates, discrepancies and expressions, told by what becomes of an alarm. */
class KindsOfConditionTest {
    private static final String MODE = "t1/cooling-t1.mode";

    private static Bench modes() {
        StationFacts facts = Windlow.facts();
        return Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        "mode:\n  for: {map: tcc-4}\n  when: {field: control-mode, says: [manual, switched off]}"
                                + "\n  says: x\n  class: auxiliary\n  priority: minor\n  on_delay: 0 s\n  off_delay: 0 s\n",
                        "off-and-hot:\n  for: {map: tcc-4}\n  when: {expression: \"control_mode == 'switched off' &&"
                                + " top_oil_temperature > 60.0\"}"
                                + "\n  says: x\n  class: auxiliary\n  priority: minor\n  on_delay: 0 s\n  off_delay: 0 s\n"));
    }

    @Test
    void aBitFieldRaisesByItsTextAndClearsByAnotherAndNeverByAValueNobodyKnows() {
        Bench bench = modes().run(1);
        assertThat(bench.kinds(MODE)).isEmpty();
        bench.set("cooling-t1", "control-mode", "manual").run(1);
        assertThat(bench.last(MODE).event().text()).isEqualTo("control-mode = manual");
        bench.set("cooling-t1", "control-mode", "switched off").run(1);
        assertThat(bench.kinds(MODE)).containsExactly(Kind.RAISED);
        bench.set("cooling-t1", "control-mode", QualityReason.OUTSIDE_RANGE).run(1);
        assertThat(bench.alarm(MODE).state().active()).isTrue();
        assertThat(bench.alarm(MODE).evidence()).isEqualTo("control-mode cannot be told: outside range");
        bench.set("cooling-t1", "control-mode", "automatic").run(1);
        assertThat(bench.alarm(MODE).state().active()).isFalse();
        assertThat(bench.last(MODE).event().kind()).isEqualTo(Kind.RETURNED);
    }

    @Test
    void aBitFieldStandsInAnExpressionByItsText() {
        Bench bench = modes().run(1);
        String alarm = "t1/cooling-t1.off-and-hot";
        bench.set("cooling-t1", "top-oil-temperature", 70.0)
                .set("cooling-t1", "control-mode", "manual")
                .run(1);
        assertThat(bench.kinds(alarm)).isEmpty();
        bench.set("cooling-t1", "control-mode", "switched off").run(1);
        assertThat(bench.kinds(alarm)).containsExactly(Kind.RAISED);
        assertThat(bench.last(alarm).event().text())
                .isEqualTo("control_mode = switched off, top_oil_temperature = 70");
    }

    private static final String ALARM = "t1/watched";

    private static Bench bench(String when, String... more) {
        StationFacts facts = Windlow.facts();
        return Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        "watched:\n  for: {asset: t1}\n  when: " + when
                                + "\n  says: watched\n  class: auxiliary\n  priority: minor\n  "
                                + String.join("\n  ", more) + "\n"));
    }

    private static List<Kind> kinds(Bench bench) {
        return bench.kinds(ALARM);
    }

    // ---- samples that must agree

    private static Bench vibrating(Bench bench, String bits) {
        for (char bit : bits.toCharArray()) {
            bench.set("cooling-t1", "fan-vibration", bit == '1').run(0.5);
        }
        return bench;
    }

    @Test
    void anAlarmIsRaisedWhenThreeOfFiveSamplesHoldAndReturnsWhenThreeOfFiveDoNot() {
        Bench bench = bench("{indication: tcc-4/fan-vibration}", "agree: 3 of 5");
        vibrating(bench, "0000010100");
        assertThat(kinds(bench)).as("two of five").isEmpty();
        vibrating(bench, "11");
        assertThat(kinds(bench)).as("1 0 0 1 1").containsExactly(Kind.RAISED);
        assertThat(bench.last(ALARM).event().text()).isEqualTo("fan-vibration holds (3 of 5 samples)");
        vibrating(bench, "0");
        assertThat(kinds(bench)).as("0 0 1 1 0: three do not hold").containsExactly(Kind.RAISED, Kind.RETURNED);
    }

    @Test
    void aBitThatAlternatesNeitherChattersNorIsLost() {
        Bench alternating = bench("{indication: tcc-4/fan-vibration}", "agree: 4 of 6");
        vibrating(alternating, "10".repeat(50));
        assertThat(kinds(alternating)).as("three of six are no four").isEmpty();
        Bench mostly = bench("{indication: tcc-4/fan-vibration}", "agree: 4 of 6");
        vibrating(mostly, "110".repeat(50));
        assertThat(kinds(mostly)).containsExactly(Kind.RAISED);
    }

    @Test
    void whatCannotBeToldIsNoSampleAndHoldsTheAlarm() {
        Bench bench = bench("{indication: tcc-4/fan-vibration}", "agree: 2 of 3");
        vibrating(bench, "11");
        assertThat(kinds(bench)).containsExactly(Kind.RAISED);
        bench.silent("cooling-t1").run(30);
        assertThat(kinds(bench)).containsExactly(Kind.RAISED, Kind.QUALITY_CHANGED);
        assertThat(bench.alarm(ALARM).state().active()).isTrue();
        vibrating(bench.back("cooling-t1"), "0");
        assertThat(bench.alarm(ALARM).state().active()).as("1 1 0").isTrue();
        vibrating(bench, "0");
        assertThat(bench.alarm(ALARM).state().active()).as("1 0 0").isFalse();
    }

    @Test
    void aLevelKeepsItsPriorityWhileItsSamplesAgree() {
        Bench bench = bench(
                "{level: tcc-4/top-oil-temperature, unit: degC, deadband: 0,"
                        + " high: [{limit: 85, priority: minor}, {limit: 95, priority: critical}]}",
                "agree: 2 of 3");
        for (double celsius : new double[] {96, 97, 80, 96}) {
            bench.set("cooling-t1", "top-oil-temperature", celsius).run(0.5);
        }
        assertThat(kinds(bench)).containsExactly(Kind.RAISED);
        assertThat(bench.alarm(ALARM).state().priority()).isEqualTo(Priority.CRITICAL);
    }

    // ---- rate of change

    private static final String RATE =
            "{rate: tcc-4/top-oil-temperature, unit: K/h, window: 10 min, high: 30, deadband: 3}";

    /** One value a half second, from {@code from} with a slope in K/h, for some minutes. */
    private static double ramp(Bench bench, double from, double perHour, double minutes) {
        double value = from;
        for (int i = 0; i < minutes * 120; i++) {
            bench.set("cooling-t1", "top-oil-temperature", value).run(0.5);
            value += perHour / 7200;
        }
        return value;
    }

    @Test
    void aRateAlarmComesWithTheMedianSlopeAndGoesBelowItsDeadband() {
        Bench bench = bench(RATE);
        double value = ramp(bench, 40, 60, 4.5);
        assertThat(bench.alarm(ALARM).evidence())
                .as("less than half the window is known")
                .isEqualTo("top-oil-temperature rate cannot be told: too few samples");
        value = ramp(bench, value, 60, 1);
        assertThat(kinds(bench)).containsExactly(Kind.RAISED);
        // The plant rises by 60 K/h: the line's own slope.
        assertThat(bench.last(ALARM).event().text()).isEqualTo("top-oil-temperature rate = 60 K/h (limit 30 K/h)");
        value = ramp(bench, value, 28, 11);
        assertThat(bench.alarm(ALARM).state().active())
                .as("28 is within the deadband")
                .isTrue();
        ramp(bench, value, 20, 11);
        assertThat(kinds(bench)).containsExactly(Kind.RAISED, Kind.RETURNED);
    }

    @Test
    void wildValuesDoNotMakeARate() {
        // A robust slope bears up to 29 % of wild values (Sen 1968); here it is one in ten.
        Bench bench = bench(RATE);
        for (int i = 0; i < 2400; i++) {
            bench.set("cooling-t1", "top-oil-temperature", i % 120 < 12 ? 120.0 : 50.0)
                    .run(0.5);
        }
        assertThat(kinds(bench)).isEmpty();
        assertThat(bench.alarm(ALARM).evidence()).startsWith("top-oil-temperature rate = 0 K/h");
    }

    @Test
    void aGapLeavesTheRateUntoldAndTheAlarmAsItIs() {
        Bench bench = bench(RATE);
        double value = ramp(bench, 40, 60, 6);
        bench.silent("cooling-t1").run(700);
        assertThat(bench.alarm(ALARM).state().active()).isTrue();
        assertThat(bench.alarm(ALARM).state().quality()).isEqualTo(Quality.BAD);
        bench.back("cooling-t1");
        ramp(bench, value, 0, 4);
        assertThat(bench.alarm(ALARM).state().active()).as("too few samples").isTrue();
        ramp(bench, value, 0, 2);
        assertThat(bench.alarm(ALARM).state().active()).isFalse();
    }

    @Test
    void aRateOfAGasCountsAnalysesAndNotPolls() {
        Bench bench = bench("{rate: hbg-8/hydrogen, unit: ppm/h, window: 5 min, high: 600, least_samples: 8}");
        for (int analysis = 0; analysis < 12; analysis++) {
            bench.gases("gas-t1", 100 + 5 * analysis).run(15);
        }
        // 5 ppm in 15 s are 1200 ppm/h.
        assertThat(kinds(bench)).containsExactly(Kind.RAISED);
        assertThat(bench.last(ALARM).event().text()).startsWith("hydrogen rate = 1200 ppm/h");
    }

    // ---- discrepancy

    private static Bench probes(Bench bench, double one, double other) {
        return bench.set("gas-t1", "heat-sink-temperature", one)
                .set("gas-t1", "cabinet-air-temperature", other)
                .run(1);
    }

    @Test
    void twoProbesThatLieApartInEitherDirectionRaiseTheAlarm() {
        String when = "{discrepancy: hbg-8/heat-sink-temperature, against: hbg-8/cabinet-air-temperature, unit: K,"
                + " high: 5, deadband: 1}";
        for (double apart : new double[] {5, -5}) {
            Bench bench = bench(when, "on_samples: 1", "off_samples: 1");
            probes(bench, 40, 40 + apart / 2);
            assertThat(kinds(bench)).isEmpty();
            probes(bench, 40, 40 + apart);
            assertThat(kinds(bench)).containsExactly(Kind.RAISED);
            assertThat(bench.last(ALARM).event().text())
                    .isEqualTo("|heat-sink-temperature - cabinet-air-temperature| = 5 K (limit 5 K)");
            probes(bench, 40, 40 + apart * 0.8);
            assertThat(bench.alarm(ALARM).state().active())
                    .as("4 is limit minus deadband, not below it")
                    .isTrue();
            probes(bench, 40, 40 + apart * 0.7);
            assertThat(kinds(bench)).containsExactly(Kind.RAISED, Kind.RETURNED);
        }
    }

    @Test
    void aDiscrepancyInPercentIsOfTheMeanAndIgnoresWhatIsSmall() {
        // Relative percent difference of duplicates: |a - b| / ((a + b) / 2), common practice in laboratories.
        String when = "{discrepancy: hbg-8/hydrogen, against: hbg-8/methane, unit: \"%\", high: 50, ignore_below: 20}";
        Bench bench = bench(when, "on_samples: 1", "off_samples: 1");
        bench.set("gas-t1", "methane", 5.0).gases("gas-t1", 19).run(1);
        assertThat(kinds(bench)).as("both below 20").isEmpty();
        bench.set("gas-t1", "methane", 60.0).gases("gas-t1", 100).run(1);
        assertThat(kinds(bench)).containsExactly(Kind.RAISED);
        assertThat(bench.last(ALARM).event().text()).isEqualTo("|hydrogen - methane| = 50 % (limit 50 %)");
    }

    // ---- expressions

    private static final String FLOW = "{expression: \"hbg_8.oil_flow < 0.5 && tcc_4.pump_running\"}";

    @Test
    void anExpressionOverTwoDevicesRaisesWhenItHolds() {
        Bench bench = bench(FLOW, "on_samples: 1", "off_samples: 1");
        bench.set("gas-t1", "oil-flow", 0.2).run(1);
        assertThat(kinds(bench)).as("the pump does not run").isEmpty();
        bench.set("cooling-t1", "pump-running", true).run(1);
        assertThat(kinds(bench)).containsExactly(Kind.RAISED);
        assertThat(bench.last(ALARM).event().text()).isEqualTo("hbg_8.oil_flow = 0.2, tcc_4.pump_running holds");
        bench.set("gas-t1", "oil-flow", 1.0).run(1);
        assertThat(kinds(bench)).containsExactly(Kind.RAISED, Kind.RETURNED);
    }

    @Test
    void falseAndUnknownIsFalseButTrueAndUnknownCannotBeTold() {
        // Logic of CEL: an error or unknown is absorbed by what decides without it (language definition, Logical
        // operators).
        Bench bench = bench(FLOW, "on_samples: 1", "off_samples: 1");
        bench.set("gas-t1", "oil-flow", 0.2)
                .set("cooling-t1", "pump-running", true)
                .run(1);
        assertThat(kinds(bench)).containsExactly(Kind.RAISED);
        bench.silent("gas-t1").run(20);
        assertThat(bench.alarm(ALARM).state().active()).as("unknown && true").isTrue();
        assertThat(bench.alarm(ALARM).state().quality()).isEqualTo(Quality.BAD);
        assertThat(bench.alarm(ALARM).evidence())
                .isEqualTo("hbg_8.oil_flow cannot be told: unreachable, tcc_4.pump_running holds");
        bench.set("cooling-t1", "pump-running", false).run(1);
        assertThat(bench.alarm(ALARM).state().active()).as("unknown && false").isFalse();
    }

    @Test
    void aDoubtfulSignalMayRaiseAnExpressionAndNeverClearsIt() {
        Bench bench = bench(FLOW, "on_samples: 1", "off_samples: 1");
        bench.set("cooling-t1", "pump-running", true).run(1);
        bench.set("gas-t1", "cell-cold", true).run(1);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.DOUBTFUL);
        bench.set("gas-t1", "oil-flow", 0.2).run(1);
        assertThat(kinds(bench)).containsExactly(Kind.RAISED);
        bench.set("gas-t1", "oil-flow", 1.0).run(5);
        assertThat(bench.alarm(ALARM).state().active()).isTrue();
    }

    @Test
    void theSentenceOfAnExpressionSaysWhetherItsSignalsCanBeTrusted() {
        Bench bench = bench(FLOW, "on_samples: 1", "off_samples: 1", "trouble: transformer");
        bench.set("gas-t1", "oil-flow", 0.2)
                .set("cooling-t1", "pump-running", true)
                .run(1);
        Explainer explainer = new Explainer(bench.model());
        assertThat(explainer.explain(bench.view(), Bench.id(ALARM)).sentence())
                .isEqualTo("Transformer 1: watched. What it is judged from can be trusted.");
    }

    // ---- suppression by design

    private static final String SUPPRESSED = "suppressed_when: tcc_4.communication_lost";

    @Test
    void anAlarmIsSuppressedWhileItsLogicHoldsAndIsRecordedAllTheSame() {
        Bench bench = bench("{indication: hbg-8/cabinet-fan-stopped}", "on_samples: 1", "off_samples: 1", SUPPRESSED);
        bench.run(1).silent("cooling-t1").run(10);
        assertThat(bench.alarm(ALARM).state().name()).isEqualTo(StateName.DSUPR);
        AlarmEvent suppressed = bench.last(ALARM).event();
        assertThat(suppressed.kind()).isEqualTo(Kind.SUPPRESSED);
        assertThat(suppressed.by()).isNotNull().hasToString("Actor[name=watched.suppressed-when, door=rule]");
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(1);
        assertThat(bench.last(ALARM).event().kind()).isEqualTo(Kind.RAISED);
        assertThat(bench.last(ALARM).event().annunciate()).isEqualTo(AlarmEvent.Annunciation.NONE);
        bench.back("cooling-t1").run(1);
        assertThat(bench.last(ALARM).event().kind()).isEqualTo(Kind.UNSUPPRESSED);
        assertThat(bench.last(ALARM).event().annunciate()).isEqualTo(AlarmEvent.Annunciation.START);
        assertThat(bench.alarm(ALARM).state().name()).isEqualTo(StateName.UNACK);
    }

    @Test
    void whatCannotBeToldHidesNothing() {
        Bench bench = bench(
                "{indication: hbg-8/cabinet-fan-stopped}", "on_samples: 1", "suppressed_when: tcc_4.fan_vibration");
        bench.set("cooling-t1", "fan-vibration", true).run(1);
        assertThat(bench.alarm(ALARM).state().suppressedByDesign()).isTrue();
        bench.silent("cooling-t1").run(20);
        assertThat(bench.indication("cooling-t1", "fan-vibration").state()).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        assertThat(bench.alarm(ALARM).state().suppressedByDesign()).isFalse();
    }

    @Test
    void aSuppressionOutlivesARestartUntilItsSignalsAreRead() {
        Bench bench = bench(
                "{indication: hbg-8/cabinet-fan-stopped}", "on_samples: 1", "suppressed_when: tcc_4.fan_vibration");
        bench.set("cooling-t1", "fan-vibration", true)
                .set("gas-t1", "cabinet-fan-stopped", true)
                .run(2);
        int before = bench.events().size();
        bench.restart(java.time.Duration.ofSeconds(5)).run(5);
        assertThat(bench.alarm(ALARM).state().suppressedByDesign()).isTrue();
        assertThat(bench.events().subList(before, bench.events().size()))
                .as("nothing is annunciated in between")
                .noneMatch(e -> e instanceof StationEvent.OfAlarm of
                        && of.event().annunciate() == AlarmEvent.Annunciation.START);
    }
}
