package oilbird.alarm.explain;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.PlainNumber;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationView;
import oilbird.mapping.signal.Caution;
import oilbird.mapping.signal.QualityReason;
import org.junit.jupiter.api.Test;

class ExplainerTest {
    private static Bench bench() {
        StationFacts facts = Windlow.facts();
        return Bench.of(facts, Windlow.rules(facts, "windlow-gas-monitor.yaml"));
    }

    private static Explanation explain(Bench bench, String alarm) {
        return new Explainer(bench.model()).explain(bench.view(), Bench.id(alarm));
    }

    @Test
    void aStoppedFanIsTroubleOfTheMonitorWhoseGasReadingsCanStillBeTrusted() {
        Bench bench = bench();
        bench.gases("gas-t1", 30).set("gas-t1", "cabinet-fan-stopped", true).run(2);
        Explanation fan = explain(bench, "t1/gas-t1.cabinet-fan-stopped");
        assertThat(fan.sentence())
                .isEqualTo("Transformer 1: the gas monitor's cabinet fan has stopped. "
                        + "Its gas readings can still be trusted. Call the monitor technician within 3 days.");
        assertThat(fan.headline()).isEqualTo("Transformer 1: the gas monitor's cabinet fan has stopped");
        assertThat(fan.trouble()).isEqualTo(Trouble.MONITOR);
        assertThat(fan.troubleText()).isEqualTo("Trouble of the gas monitor, not of the transformer.");
        assertThat(fan.within()).isEqualTo(Duration.ofDays(3));
        assertThat(fan.readingsTrusted()).isTrue();
    }

    @Test
    void maintenanceIsSaidWithPersonAndPermitAndAsksNobodyToAct() {
        Bench bench = bench();
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(35);
        bench.apply(new StationInput.BeginMaintenance(
                "gas-t1", Bench.OPERATOR, "fan change", "W-12", Duration.ofHours(1), bench.now()));
        assertThat(explain(bench, "t1/gas-t1.cabinet-fan-stopped").sentence())
                .startsWith("Transformer 1: the gas monitor's cabinet fan has stopped.")
                .endsWith("In maintenance: gas monitor, A. Operator, permit W-12. It is out of service.")
                .doesNotContain("Call");
        bench.run(Duration.ofMinutes(61));
        assertThat(explain(bench, "t1/gas-t1.cabinet-fan-stopped").sentence())
                .contains("permit W-12; the time stated for it is over.");
    }

    @Test
    void aPointTestIsSaidToBeOneWhereItIsShownAndBesideTheTrueState() {
        Bench bench = bench();
        String fan = "t1/gas-t1.cabinet-fan-stopped";
        bench.run(1);
        bench.apply(
                new StationInput.TestAlarm(Bench.id(fan), true, Bench.OPERATOR, Duration.ofMinutes(5), bench.now()));
        assertThat(explain(bench, fan).sentence())
                .endsWith("A point test by A. Operator shows it to the control room as active.");
        StationView view = bench.view();
        StationView shown = new StationView(
                view.at(),
                java.util.Map.of(Bench.id(fan), view.outgoing(bench.alarm(fan))),
                view.devices(),
                view.flood(),
                view.standing(),
                List.of(),
                List.of(),
                java.util.Map.of(),
                StationView.FaultFindings.NONE);
        Explanation forced = new Explainer(bench.model()).explain(shown, Bench.id(fan));
        assertThat(forced.headline()).isEqualTo("Test: Transformer 1: the gas monitor's cabinet fan has stopped");
        assertThat(forced.sentence())
                .isEqualTo("Point test by A. Operator, nothing has happened; shown as active: Transformer 1: the gas"
                        + " monitor's cabinet fan has stopped.");
    }

    @Test
    void highHydrogenIsTroubleOfTheTransformerWithValueAndLimit() {
        Bench bench = bench();
        bench.gases("gas-t2", 180).run(1);
        Explanation gas = explain(bench, "t2/gas-t2.hydrogen-high");
        assertThat(gas.sentence())
                .isEqualTo("Transformer 2: hydrogen in oil is 180 ppm, the limit is 120 ppm. "
                        + "The reading can be trusted. Call the transformer engineer within 4 hours.");
        assertThat(gas.trouble()).isEqualTo(Trouble.TRANSFORMER);
        assertThat(gas.causes()).startsWith("partial discharge");
    }

    @Test
    void aNumberIsSaidToTheDigitsThatMakeSenseAndOnTheSideOfItsLimitWhereItLies() {
        Bench bench = bench();
        bench.gases("gas-t2", 187.4567).run(1);
        assertThat(explain(bench, "t2/gas-t2.hydrogen-high").sentence())
                .contains("hydrogen in oil is 187 ppm, the limit is 120 ppm");
        bench.gases("gas-t2", 120.0421).run(1);
        assertThat(explain(bench, "t2/gas-t2.hydrogen-high").sentence()).contains("is 120.04 ppm, the limit is 120");
        bench.gases("gas-t2", 12345.678).run(1);
        assertThat(explain(bench, "t2/gas-t2.hydrogen-high").sentence()).contains("is 12346 ppm");
        assertThat(PlainNumber.spoken(4.56942)).isEqualTo("4.57");
        assertThat(PlainNumber.spoken(0.0123456)).isEqualTo("0.0123");
        assertThat(PlainNumber.spoken(-0.0)).isEqualTo("0");
    }

    @Test
    void anAlarmThatHasNeverBeenActiveIsNotSaidToHaveHappened() {
        Bench bench = bench();
        bench.gases("gas-t1", 30).run(2);
        assertThat(explain(bench, "t1/gas-t1.cabinet-fan-stopped").sentence())
                .startsWith("Transformer 1: the alarm \"the gas monitor's cabinet fan has stopped\" is not active.");
        assertThat(explain(bench, "t1/gas-t1.hydrogen-high").sentence())
                .startsWith("Transformer 1: the alarm \"hydrogen in oil is ..., the limit is 150 ppm\" is not active.");
    }

    @Test
    void whatCalibrationGasRaisedIsNotSaidToBeOverWhenTheMaintenanceEnds() {
        Bench bench = bench();
        bench.gases("gas-t1", 30).run(2);
        bench.apply(new StationInput.BeginMaintenance(
                "gas-t1", Bench.OPERATOR, "calibration", "W-12", Duration.ofHours(1), bench.now()));
        bench.gases("gas-t1", 500).run(2);
        bench.apply(new StationInput.EndMaintenance("gas-t1", Bench.OPERATOR, "", bench.now()));
        Explanation hydrogen = explain(bench, "t1/gas-t1.hydrogen-high");
        assertThat(hydrogen.sentence())
                .startsWith("Transformer 1: seen in maintenance and does not count: "
                        + "\"hydrogen in oil is ..., the limit is 150 ppm\".")
                .contains("The hydrogen reading is not usable: made in maintenance, and nothing has come since that"
                        + " counts.")
                .doesNotContain("Call");
        assertThat(hydrogen.readingsTrusted()).isFalse();
    }

    @Test
    void highHydrogenFromAMonitorWithoutOilFlowIsSaidToBeDoubtfulAndWhy() {
        Bench bench = bench();
        bench.set("gas-t2", "oil-flow-low", true).gases("gas-t2", 180).run(1);
        Explanation gas = explain(bench, "t2/gas-t2.hydrogen-high");
        assertThat(gas.readingsTrusted()).isFalse();
        assertThat(gas.trust()).isEqualTo("The hydrogen reading is doubtful: oil flow too low.");
        assertThat(gas.trouble()).as("doubt does not explain an alarm away").isEqualTo(Trouble.TRANSFORMER);
    }

    @Test
    void aMonitorWhoseReadingsAreDoubtfulNamesThemAsAGroup() {
        Bench bench = bench();
        bench.gases("gas-t1", 30)
                .set("gas-t1", "cabinet-fan-stopped", true)
                .set("gas-t1", "oil-flow-low", true)
                .run(2);
        assertThat(explain(bench, "t1/gas-t1.cabinet-fan-stopped").trust())
                .isEqualTo("Its gas readings are doubtful: oil flow too low.");
    }

    @Test
    void severalReasonsForOneDoubtMakeOneSentenceAndWhatIsOverIsSaidToBeOver() {
        Bench bench = bench();
        bench.gases("gas-t1", 30)
                .set("gas-t1", "cabinet-fan-stopped", true)
                .set("gas-t1", "oil-flow-low", true)
                .set("gas-t1", "detector-fault", true)
                .run(2);
        bench.set("gas-t1", "detector-fault", false).run(1);
        assertThat(explain(bench, "t1/gas-t1.cabinet-fan-stopped").trust())
                .isEqualTo("Its gas readings are worthless now: gas detector faulty until recently.");
        bench.gases("gas-t1", 30).run(1);
        assertThat(explain(bench, "t1/gas-t1.cabinet-fan-stopped").trust())
                .isEqualTo("Its gas readings are doubtful: oil flow too low.");
        bench.set("gas-t1", "cabinet-air-temperature", QualityReason.NO_VALUE).run(1);
        assertThat(explain(bench, "t1/gas-t1.cabinet-fan-stopped").trust())
                .isEqualTo("Its gas readings are doubtful: oil flow too low. "
                        + "Its cabinet air temperature reading is not usable: no value.");
    }

    @Test
    void aMonitorThatNoLongerAnalysesSaysThatItsGasReadingsAreOutOfDate() {
        Bench bench = bench();
        bench.gases("gas-t1", 30).run(35);
        Explanation overdue = explain(bench, "t1/gas-t1.analysis-overdue");
        assertThat(overdue.sentence())
                .isEqualTo("Transformer 1: the gas monitor has finished no analysis for too long. "
                        + "Its gas readings are out of date. Call the monitor technician within 1 day.");
        assertThat(overdue.readingsTrusted()).isFalse();
    }

    @Test
    void aLostMonitorIsTroubleOfCommunicationAndItsOtherAlarmsSayThatNobodyCanTell() {
        Bench bench = bench();
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        bench.silent("gas-t1").run(20);
        Explanation lost = explain(bench, "t1/gas-t1.no-answer");
        assertThat(lost.trouble()).isEqualTo(Trouble.COMMUNICATION);
        assertThat(lost.sentence())
                .isEqualTo("Transformer 1: the gas monitor does not answer. Its readings are not received, and its "
                        + "other alarms stay as they were. Call the communications technician within 1 day.");
        assertThat(explain(bench, "t1/gas-t1.cabinet-fan-stopped").trust())
                .isEqualTo("The gas monitor does not answer, so it cannot be told whether this still holds.");
        bench.back("gas-t1").gases("gas-t1", 30).run(20);
        assertThat(explain(bench, "t1/gas-t1.no-answer").sentence())
                .isEqualTo("Transformer 1: the gas monitor answers again. Its readings are received again. "
                        + "Acknowledge it.");
    }

    @Test
    void aMonitorsBitThatIsNoLongerValidSaysThatNobodyCanTell() {
        Bench bench = bench();
        bench.gases("gas-t1", 30).set("gas-t1", "cabinet-fan-stopped", true).run(2);
        bench.set("gas-t1", "cabinet-fan-stopped", QualityReason.DECLARED_INVALID)
                .run(2);
        assertThat(explain(bench, "t1/gas-t1.cabinet-fan-stopped").trust())
                .isEqualTo("It cannot be told at present whether this still holds. "
                        + "Its gas readings can still be trusted.");
    }

    @Test
    void troubleOfTheGatewayAndOfTheTransformersCoolingAreToldApart() {
        StationFacts facts = Windlow.facts();
        Bench bench = Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        "disk-full:\n  for: {asset: gateway}\n  when: {indication: gateway/disk-full}\n"
                                + "  says: the disk is full\n  class: system\n  priority: major\n"
                                + "  call: system engineer\n",
                        "fan-vibration:\n  for: {map: tcc-4}\n  when: {indication: fan-vibration}\n"
                                + "  says: a cooling fan vibrates\n  class: auxiliary\n  priority: warning\n"
                                + "  respond_within: 30 min\n"));
        bench.set("gateway", "disk-full", true)
                .set("cooling-t2", "fan-vibration", true)
                .run(3);
        Explanation disk = explain(bench, "gateway/disk-full");
        assertThat(disk.sentence()).isEqualTo("Gateway: the disk is full. Call the system engineer.");
        assertThat(disk.troubleText()).isEqualTo("Trouble of the gateway, not of the transformer.");
        Explanation fan = explain(bench, "t2/cooling-t2.fan-vibration");
        assertThat(fan.sentence())
                .isEqualTo("Transformer 2: a cooling fan vibrates. The indication can be trusted. "
                        + "Respond within 30 minutes.");
        assertThat(fan.trouble()).isEqualTo(Trouble.TRANSFORMER);
    }

    @Test
    void anAlarmThatIsOverSaysSoAndAsksOnlyForItsAcknowledgement() {
        Bench bench = bench();
        bench.gases("gas-t1", 30).set("gas-t1", "cabinet-fan-stopped", true).run(2);
        bench.set("gas-t1", "cabinet-fan-stopped", false).run(2);
        assertThat(explain(bench, "t1/gas-t1.cabinet-fan-stopped").sentence())
                .isEqualTo("Transformer 1: the gas monitor's cabinet fan runs again. "
                        + "Its gas readings can still be trusted. Acknowledge it.");
    }

    @Test
    void firstChecksComeInOrderOfExposureWithTheirCautionsAndTheStandingNote() {
        Bench bench = bench();
        Explanation fan = explain(bench, "t1/gas-t1.cabinet-fan-stopped");
        assertThat(fan.checks()).extracting(c -> c.check().exposure()).isSorted();
        assertThat(fan.checks()).extracting(c -> c.check().id()).containsExactly("see-trend", "listen-at-cabinet");
        assertThat(fan.checks().get(1).cautions()).containsExactly(Caution.S25, Caution.S28, Caution.S29);
        assertThat(fan.checks().get(1).exposureText()).isEqualTo("look from outside");
        assertThat(fan.standingNote()).contains("owner's rules", "permits", "law", "qualified persons");
    }

    @Test
    void aRuleWithoutChecksOfItsOwnShowsThoseOfTheMapTheScreenFirst() {
        StationFacts facts = Windlow.facts();
        Bench bench = Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        "fan:\n  for: {map: hbg-8}\n  when: {indication: cabinet-fan-stopped}\n  says: x\n"
                                + "  class: instrument-diagnostic\n  priority: minor\n"));
        assertThat(explain(bench, "t1/gas-t1.fan").checks())
                .extracting(Explanation.ExplainedCheck::check)
                .containsExactly(Windlow.COMPARE, Windlow.LISTEN);
    }

    @Test
    void aHeadlineIsCutAtAWordAndNeverLongerThanEightyCharacters() {
        StationFacts facts = Windlow.facts();
        Bench bench = Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        "long:\n  for: {devices: [gas-t1]}\n  when: {indication: cabinet-fan-stopped}\n"
                                + "  says: the small fan that cools the electronics cabinet of the {device} has stopped turning\n"
                                + "  class: instrument-diagnostic\n  priority: minor\n"));
        String headline = explain(bench, "t1/gas-t1.long").headline();
        assertThat(headline).isEqualTo("Transformer 1: the small fan that cools the electronics cabinet of the gas...");
        assertThat(headline.length()).isLessThanOrEqualTo(80);
    }

    @Test
    void whatAnEventRecordedIsEnoughToFillItsWordsLater() {
        Bench bench = bench();
        bench.gases("gas-t2", 180).run(1);
        StationView view = bench.view();
        StationView.AlarmView seen = bench.alarm("t2/gas-t2.hydrogen-high");
        StationView.AlarmView recorded = new StationView.AlarmView(
                seen.rule(),
                seen.state(),
                List.of(),
                false,
                bench.last("t2/gas-t2.hydrogen-high").event().text(),
                null,
                null);
        StationView past =
                new StationView(view.at(), java.util.Map.of(seen.rule().id(), recorded), view.devices(), view.flood());
        assertThat(new Explainer(bench.model()).explain(past, seen.rule().id()).headline())
                .isEqualTo("Transformer 2: hydrogen in oil is 180 ppm, the limit is 120 ppm");
    }

    @Test
    void timesAreInTheLargestUnitThatNeedsNoFraction() {
        assertThat(Explainer.words(Duration.ofDays(3))).isEqualTo("3 days");
        assertThat(Explainer.words(Duration.ofHours(24))).isEqualTo("1 day");
        assertThat(Explainer.words(Duration.ofHours(36))).isEqualTo("36 hours");
        assertThat(Explainer.words(Duration.ofMinutes(1))).isEqualTo("1 minute");
        assertThat(Explainer.words(Duration.ofSeconds(90))).isEqualTo("90 seconds");
    }
}
