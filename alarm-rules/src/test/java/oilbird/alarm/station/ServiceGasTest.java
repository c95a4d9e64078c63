package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmEvent.Annunciation;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.StateName;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.QualityReason;
import org.junit.jupiter.api.Test;

/**
 * Calibration gas and other values of a maintenance, seen from the alarms that watch them.
 *
 * <p>Standard: an alarm in maintenance is out of service, and placed in service it is active where its condition is
 * true (ISA-18.2 / IEC 62682, rows T36 to T38 of the transition table). That a condition which rests on calibration gas
 * alone is not true of the transformer is common practice, and ours to tell.
 */
class ServiceGasTest {
    private static final String HYDROGEN = "t1/gas-t1.hydrogen-high";
    private static final String LATCHING = "t1/gas-t1.latching";
    private static final String FAN = "t1/gas-t1.fan";
    private static final String NO_ANSWER = "t1/gas-t1.no-answer";
    private static final String VOTED = "t1/gas-t1.voted";
    private static final String BOTH = "t1/gas-t1.both";
    private static final double CALIBRATION_GAS = 500;

    private static Bench bench() {
        StationFacts facts = Windlow.facts();
        return Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        rule(
                                "hydrogen-high",
                                "{level: hydrogen, unit: ppm, high: [{limit: 150, priority: minor},"
                                        + " {limit: 400, priority: major}], deadband: 10}",
                                ""),
                        rule("latching", "{level: hydrogen, unit: ppm, high: 150}", "latching: true"),
                        rule("fan", "{indication: cabinet-fan-stopped}", ""),
                        rule("no-answer", "{communication: lost}", ""),
                        rule("voted", "{level: oil-flow, unit: l/min, low: 0.3}", "agree: 2 of 3"),
                        rule("both", "{expression: \"hydrogen > 150.0 && oil_flow > 0.3\"}", "")));
    }

    private static String rule(String key, String when, String more) {
        return key + ":\n  for: {map: hbg-8}\n  when: " + when
                + "\n  says: x\n  class: equipment-health\n  priority: minor\n  on_delay: 0 s\n  off_delay: 0 s\n"
                + (more.isEmpty() ? "" : "  " + more + "\n");
    }

    private static void begin(Bench bench, String of) {
        assertThat(bench.apply(new StationInput.BeginMaintenance(
                                of, Bench.OPERATOR, "calibration", "P-17", Duration.ofHours(2), bench.now()))
                        .refusal())
                .isNull();
    }

    private static void end(Bench bench, String of) {
        assertThat(bench.apply(new StationInput.EndMaintenance(of, Bench.OPERATOR, "done", bench.now()))
                        .refusal())
                .isNull();
    }

    private static StateName state(Bench bench, String alarm) {
        return bench.alarm(alarm).state().name();
    }

    private static boolean active(Bench bench, String alarm) {
        return bench.alarm(alarm).state().active();
    }

    private static List<AlarmEvent> announced(Bench bench, String alarm) {
        return bench.alarmEvents(e -> e.alarm().equals(Bench.id(alarm)) && e.annunciate() == Annunciation.START);
    }

    @Test
    void whatCalibrationGasRaisedIsNotAnnunciatedWhenTheMaintenanceEnds() {
        Bench bench = bench().gases("gas-t1", 20).run(2);
        begin(bench, "gas-t1");
        bench.gases("gas-t1", CALIBRATION_GAS).run(2);
        assertThat(active(bench, HYDROGEN))
                .as("recorded, for the technician to see")
                .isTrue();
        end(bench, "gas-t1");
        bench.run(5);
        assertThat(state(bench, HYDROGEN)).isEqualTo(StateName.NORM);
        assertThat(state(bench, LATCHING)).as("the latch is void too").isEqualTo(StateName.NORM);
        assertThat(bench.kinds(HYDROGEN))
                .as("it has not returned: nobody knows yet")
                .contains(Kind.RAISED, Kind.VOIDED)
                .doesNotContain(Kind.RETURNED);
        assertThat(bench.alarm(HYDROGEN).state().condition())
                .as("cannot be told")
                .isNull();
        assertThat(announced(bench, HYDROGEN)).isEmpty();
        assertThat(announced(bench, LATCHING)).isEmpty();
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.MADE_IN_MAINTENANCE);
        assertThat(bench.alarm(HYDROGEN).value()).isNull();

        bench.gases("gas-t1", 20).run(2);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.NONE);
        assertThat(bench.alarm(HYDROGEN).state().condition()).isFalse();
    }

    @Test
    void theFirstAnalysisAfterTheMaintenanceRaisesARealAlarm() {
        Bench bench = bench().gases("gas-t1", 20).run(2);
        begin(bench, "gas-t1");
        bench.gases("gas-t1", CALIBRATION_GAS).run(2);
        end(bench, "gas-t1");
        bench.run(2).gases("gas-t1", 190).run(1);
        assertThat(state(bench, HYDROGEN)).isEqualTo(StateName.UNACK);
        assertThat(bench.last(HYDROGEN).event().annunciate()).isEqualTo(Annunciation.START);
        assertThat(bench.alarm(HYDROGEN).state().occurrence())
                .as("another one than that of the gas bottle")
                .isEqualTo(2);
    }

    @Test
    void aRealAlarmOfBeforeTheMaintenanceOutlastsIt() {
        Bench bench = bench().gases("gas-t1", 190).run(2);
        bench.acknowledge(HYDROGEN);
        begin(bench, "gas-t1");
        bench.gases("gas-t1", CALIBRATION_GAS).run(2);
        assertThat(bench.alarm(HYDROGEN).state().priority()).isEqualTo(Priority.MAJOR);
        bench.gases("gas-t1", 5).run(2);
        end(bench, "gas-t1");
        assertThat(state(bench, HYDROGEN))
                .as("what was read in maintenance clears nothing")
                .isEqualTo(StateName.UNACK);
        assertThat(active(bench, LATCHING)).isTrue();
        assertThat(bench.alarm(HYDROGEN).state().priority())
                .as("as urgent as the transformer made it")
                .isEqualTo(Priority.MINOR);
        bench.run(Duration.ofMinutes(1));
        assertThat(active(bench, HYDROGEN)).isTrue();
        bench.gases("gas-t1", 5).run(2);
        assertThat(active(bench, HYDROGEN))
                .as("the first that counts clears it")
                .isFalse();
    }

    @Test
    void aValueOfBeforeTheMaintenanceCountsAgainAfterwards() {
        Bench bench = bench().gases("gas-t1", 190).run(2);
        begin(bench, "gas-t1");
        bench.run(2);
        end(bench, "gas-t1");
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason())
                .as("no analysis was made meanwhile")
                .isEqualTo(QualityReason.NONE);
        assertThat(bench.kinds(HYDROGEN)).doesNotContain(Kind.VOIDED);
        assertThat(active(bench, HYDROGEN)).isTrue();
    }

    @Test
    void whatStillHoldsAtTheNextPollIsRaisedAsNew() {
        Bench bench = bench().run(2);
        begin(bench, "gas-t1");
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        end(bench, "gas-t1");
        assertThat(state(bench, FAN)).isEqualTo(StateName.NORM);
        bench.run(1);
        assertThat(state(bench, FAN)).as("the technician left it stopped").isEqualTo(StateName.UNACK);
        assertThat(announced(bench, FAN))
                .singleElement()
                .satisfies(e -> assertThat(e.kind()).isEqualTo(Kind.RAISED));
    }

    @Test
    void aDeviceThatDoesNotAnswerAtTheEndIsAFact() {
        Bench bench = bench().run(2);
        begin(bench, "gas-t1");
        bench.silent("gas-t1").run(10);
        assertThat(active(bench, NO_ANSWER)).isTrue();
        end(bench, "gas-t1");
        assertThat(bench.kinds(NO_ANSWER)).doesNotContain(Kind.VOIDED);
        assertThat(state(bench, NO_ANSWER)).isEqualTo(StateName.UNACK);
    }

    @Test
    void samplesOfTheMaintenanceHaveNoVoteAfterwards() {
        Bench bench = bench().set("gas-t1", "oil-flow", 0.8).run(5);
        begin(bench, "gas-t1");
        bench.set("gas-t1", "oil-flow", 0.0).run(5);
        assertThat(active(bench, VOTED)).isTrue();
        end(bench, "gas-t1");
        bench.run(1);
        assertThat(active(bench, VOTED)).as("one low sample that counts").isFalse();
        bench.run(1);
        assertThat(active(bench, VOTED)).as("two of them").isTrue();
    }

    @Test
    void anExpressionSeesNothingOfTheMaintenanceAfterwards() {
        Bench bench = bench().gases("gas-t1", 20).set("gas-t1", "oil-flow", 0.8).run(2);
        begin(bench, "gas-t1");
        bench.gases("gas-t1", CALIBRATION_GAS).run(2);
        assertThat(active(bench, BOTH)).isTrue();
        end(bench, "gas-t1");
        bench.run(5);
        assertThat(state(bench, BOTH)).isEqualTo(StateName.NORM);
        assertThat(announced(bench, BOTH)).isEmpty();
    }

    @Test
    void anAlarmThatAPersonPlacedInServiceMeanwhileGoesTooWhenItsEvidenceIsVoid() {
        Bench bench = bench().gases("gas-t1", 20).run(2);
        begin(bench, "gas-t1");
        bench.act(HYDROGEN, new AlarmInput.PlaceInService(Bench.OPERATOR, "wanted", bench.now()));
        bench.gases("gas-t1", CALIBRATION_GAS).run(2);
        assertThat(state(bench, HYDROGEN)).isEqualTo(StateName.UNACK);
        end(bench, "gas-t1");
        assertThat(bench.last(HYDROGEN).event().kind()).isEqualTo(Kind.VOIDED);
        assertThat(bench.last(HYDROGEN).event().annunciate()).isEqualTo(Annunciation.END);
    }

    @Test
    void ofTwoMaintenancesTheLaterEndVoidsWhatTheEarlierMade() {
        Bench bench = bench().gases("gas-t1", 20).run(2);
        begin(bench, "gas-t1");
        bench.gases("gas-t1", CALIBRATION_GAS).run(2);
        begin(bench, "t1");
        end(bench, "gas-t1");
        assertThat(state(bench, HYDROGEN)).isEqualTo(StateName.OOSRV);
        end(bench, "t1");
        bench.run(5);
        assertThat(state(bench, HYDROGEN)).isEqualTo(StateName.NORM);
        assertThat(announced(bench, HYDROGEN)).isEmpty();
    }

    // ---- a restart in between

    @Test
    void aRestartDuringTheMaintenanceForgetsNeitherTheGasNorTheAlarmsOfBefore() {
        Bench bench = bench().gases("gas-t1", 190).gases("gas-t2", 20).run(2);
        begin(bench, "gas-t1");
        begin(bench, "gas-t2");
        bench.gases("gas-t1", CALIBRATION_GAS).gases("gas-t2", CALIBRATION_GAS).run(Duration.ofMinutes(2));
        bench.restart(Duration.ofMinutes(5)).run(5);
        end(bench, "gas-t1");
        end(bench, "gas-t2");
        bench.run(Duration.ofMinutes(1));
        assertThat(state(bench, HYDROGEN)).as("real before").isEqualTo(StateName.UNACK);
        assertThat(bench.alarm(HYDROGEN).state().priority()).isEqualTo(Priority.MINOR);
        assertThat(state(bench, "t2/gas-t2.hydrogen-high"))
                .as("calibration gas alone")
                .isEqualTo(StateName.NORM);
        assertThat(announced(bench, "t2/gas-t2.hydrogen-high")).isEmpty();
    }

    @Test
    void aRestartAfterTheMaintenanceStillWaitsForTheFirstAnalysisThatCounts() {
        Bench bench = bench().gases("gas-t1", 20).run(2);
        begin(bench, "gas-t1");
        bench.gases("gas-t1", CALIBRATION_GAS).run(2);
        end(bench, "gas-t1");
        bench.run(2).restart(Duration.ofSeconds(5)).run(5);
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.MADE_IN_MAINTENANCE);
        assertThat(state(bench, HYDROGEN)).isEqualTo(StateName.NORM);
        assertThat(announced(bench, HYDROGEN)).isEmpty();
        bench.gases("gas-t1", 190).run(2);
        assertThat(announced(bench, HYDROGEN)).hasSize(1);
    }

    @Test
    void whatIsReadAfterARestartInMaintenanceIsOfTheMaintenance() {
        Bench bench = bench().gases("gas-t1", 20).run(2);
        begin(bench, "gas-t1");
        bench.run(2).restart(Duration.ofMinutes(5));
        bench.gases("gas-t1", CALIBRATION_GAS)
                .set("gas-t1", "cabinet-fan-stopped", true)
                .run(2);
        end(bench, "gas-t1");
        assertThat(bench.reading("gas-t1", "hydrogen").reading().reason()).isEqualTo(QualityReason.MADE_IN_MAINTENANCE);
        assertThat(bench.indication("gas-t1", "cabinet-fan-stopped").state()).isEqualTo(IndicationState.CANNOT_BE_TOLD);
    }
}
