package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.OutOfService;
import oilbird.alarm.state.Refusal;
import oilbird.alarm.state.StateName;
import oilbird.alarm.station.StationEvent.Notice;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;

/** Maintenance of devices and assets, and point tests. */
class MaintenanceTest {
    private static final Actor TECHNICIAN = new Actor("T. Technician", "page");
    private static final String FAN = "t1/gas-t1.fan";
    private static final String OTHER_FAN = "t2/gas-t2.fan";
    private static final String VIBRATION = "t1/cooling-t1.vibration";

    private static Bench bench(List<String> unverified) {
        StationFacts facts = Windlow.facts(unverified);
        return Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        rule("fan", "{map: hbg-8}", "{indication: cabinet-fan-stopped}"),
                        rule("vibration", "{map: tcc-4}", "{indication: fan-vibration}"),
                        rule(
                                "warming",
                                "{map: hbg-8}",
                                "{rate: heat-sink-temperature, unit: K/h, window: 10 min, high: 30}")));
    }

    private static String rule(String key, String scope, String when) {
        return key + ":\n  for: " + scope + "\n  when: " + when
                + "\n  says: x\n  class: auxiliary\n  priority: minor\n";
    }

    private static StationStep begin(Bench bench, String of) {
        return bench.apply(new StationInput.BeginMaintenance(
                of, TECHNICIAN, "replace the fan", "P-17", Duration.ofHours(2), bench.now()));
    }

    private static StationStep end(Bench bench, String of) {
        return bench.apply(new StationInput.EndMaintenance(of, TECHNICIAN, "fan replaced", bench.now()));
    }

    private static StateName state(Bench bench, String alarm) {
        return bench.alarm(alarm).state().name();
    }

    @Test
    void alarmsOfADeviceInMaintenanceAreOutOfServiceAndComeBack() {
        Bench bench = bench(List.of()).run(1);
        assertThat(begin(bench, "gas-t1").refusal()).isNull();
        assertThat(state(bench, FAN)).isEqualTo(StateName.OOSRV);
        assertThat(state(bench, OTHER_FAN)).isEqualTo(StateName.NORM);
        assertThat(state(bench, VIBRATION)).as("another device of the asset").isEqualTo(StateName.NORM);
        OutOfService out = bench.alarm(FAN).state().outOfService();
        assertThat(out).isNotNull();
        assertThat(out.by()).isEqualTo(TECHNICIAN);
        assertThat(out.permit()).isEqualTo("P-17");
        assertThat(bench.last(FAN).event().quality())
                .as("told as quality at once")
                .isEqualTo(Quality.UNCERTAIN);

        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        assertThat(bench.last(FAN).event().kind()).as("recorded all the same").isEqualTo(Kind.RAISED);
        assertThat(bench.last(FAN).event().annunciate()).isEqualTo(AlarmEvent.Annunciation.NONE);

        bench.set("gas-t1", "cabinet-fan-stopped", false).run(2);
        assertThat(bench.alarm(FAN).state().active())
                .as("uncertain data clears nothing")
                .isTrue();
        assertThat(end(bench, "gas-t1").refusal()).isNull();
        bench.run(2);
        assertThat(state(bench, FAN)).isIn(StateName.NORM, StateName.RTNUN);
        assertThat(bench.alarm(FAN).state().active()).isFalse();
    }

    @Test
    void anAssetInMaintenanceTakesAllItsDevicesAlong() {
        Bench bench = bench(List.of()).run(1);
        begin(bench, "t1");
        assertThat(state(bench, FAN)).isEqualTo(StateName.OOSRV);
        assertThat(state(bench, VIBRATION)).isEqualTo(StateName.OOSRV);
        assertThat(state(bench, OTHER_FAN)).isEqualTo(StateName.NORM);
    }

    @Test
    void readingsInMaintenanceAreUncertainAndIndicationsToo() {
        Bench bench = bench(List.of()).run(1);
        begin(bench, "gas-t1");
        bench.run(1);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.IN_MAINTENANCE);
        assertThat(bench.indication("gas-t1", "cabinet-fan-stopped").reason()).isEqualTo(QualityReason.IN_MAINTENANCE);
        assertThat(bench.reading("gas-t2", "oil-flow").reading().reason()).isEqualTo(QualityReason.NONE);
        end(bench, "gas-t1");
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason())
                .as("read while the technician was there")
                .isEqualTo(QualityReason.MADE_IN_MAINTENANCE);
        assertThat(bench.indication("gas-t1", "cabinet-fan-stopped").state()).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        bench.run(1);
        assertThat(bench.indication("gas-t1", "cabinet-fan-stopped").state()).isEqualTo(IndicationState.DOES_NOT_HOLD);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.NONE);
    }

    @Test
    void whatWasOutOfServiceForAnotherReasonStaysOut() {
        Bench bench = bench(List.of("cabinet-fan-stopped")).run(1);
        bench.act(
                VIBRATION,
                new AlarmInput.RemoveFromService(Bench.OPERATOR, "sensor on order", "", Duration.ZERO, bench.now()));
        begin(bench, "t1");
        end(bench, "t1");
        assertThat(state(bench, VIBRATION)).isEqualTo(StateName.OOSRV);
        OutOfService fan = bench.alarm(FAN).state().outOfService();
        assertThat(fan).isNotNull();
        assertThat(fan.reason()).isEqualTo(StationFold.NOT_VERIFIED);
    }

    @Test
    void theLaterOfTwoMaintenancesKeepsTheAlarmOut() {
        Bench bench = bench(List.of()).run(1);
        begin(bench, "gas-t1");
        begin(bench, "t1");
        end(bench, "gas-t1");
        assertThat(state(bench, FAN)).isEqualTo(StateName.OOSRV);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.IN_MAINTENANCE);
        end(bench, "t1");
        assertThat(state(bench, FAN)).isEqualTo(StateName.NORM);
    }

    @Test
    void anAlarmThatAPersonPlacedInServiceMeanwhileIsLeftAlone() {
        Bench bench = bench(List.of()).run(1);
        begin(bench, "gas-t1");
        bench.act(FAN, new AlarmInput.PlaceInService(Bench.OPERATOR, "needed", bench.now()));
        int before = bench.kinds(FAN).size();
        end(bench, "gas-t1");
        assertThat(bench.kinds(FAN)).hasSize(before);
    }

    @Test
    void theEndComparesTheReadingsBeforeAndAfter() {
        Bench bench = bench(List.of())
                .set("gas-t1", "oil-flow", 1.25)
                .gases("gas-t1", 40)
                .run(1);
        begin(bench, "gas-t1");
        bench.set("gas-t1", "oil-flow", 1.5)
                .set("gas-t1", "methane", QualityReason.NO_VALUE)
                .run(1);
        end(bench, "gas-t1");
        Notice ended = bench.notices(Notice.Kind.MAINTENANCE_ENDED).get(0);
        assertThat(ended.subject()).isEqualTo(new SignalId("gas-t1", "maintenance"));
        assertThat(ended.text())
                .startsWith("T. Technician (page): fan replaced; compared: ")
                .contains("gas-t1/hydrogen 40 before, 40 ppm now")
                .contains("gas-t1/oil-flow 1.25 before, 1.5 l/min now")
                .endsWith("; 1 not usable now");
    }

    @Test
    void expiryRemindsOnceAndEndsNothing() {
        Bench bench = bench(List.of()).run(1);
        begin(bench, "gas-t1");
        bench.run(Duration.ofHours(2).minusSeconds(2));
        assertThat(bench.notices(Notice.Kind.MAINTENANCE_TIME_OVER)).isEmpty();
        bench.run(Duration.ofMinutes(5));
        assertThat(bench.notices(Notice.Kind.MAINTENANCE_TIME_OVER)).hasSize(1);
        assertThat(state(bench, FAN)).isEqualTo(StateName.OOSRV);
    }

    @Test
    void valuesOfAMaintenanceAreNoSamplesOfARate() {
        Bench bench =
                bench(List.of()).set("gas-t1", "heat-sink-temperature", 40.0).run(360);
        begin(bench, "gas-t1");
        for (int i = 0; i < 120; i++) {
            bench.set("gas-t1", "heat-sink-temperature", 40.0 + i / 2.0).run(1);
        }
        bench.set("gas-t1", "heat-sink-temperature", 40.0);
        end(bench, "gas-t1");
        bench.run(60);
        assertThat(bench.kinds("t1/gas-t1.warming")).doesNotContain(Kind.RAISED);
        assertThat(bench.alarm("t1/gas-t1.warming").value()).isEqualTo(0.0);
    }

    @Test
    void maintenanceSurvivesARestartAndEndsAsItWouldHave() {
        Bench bench = bench(List.of()).run(1);
        begin(bench, "gas-t1");
        bench.restart(Duration.ofMinutes(90)).run(60);
        assertThat(state(bench, FAN)).isEqualTo(StateName.OOSRV);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().quality()).isEqualTo(Quality.UNCERTAIN);
        assertThat(bench.notices(Notice.Kind.MAINTENANCE_TIME_OVER)).isEmpty();
        bench.run(Duration.ofMinutes(30));
        assertThat(bench.notices(Notice.Kind.MAINTENANCE_TIME_OVER)).hasSize(1);
        end(bench, "gas-t1");
        assertThat(state(bench, FAN)).isEqualTo(StateName.NORM);
        assertThat(bench.view().standing().isEmpty()).isTrue();
    }

    @Test
    void whatCannotBeDoneIsRefused() {
        Bench bench = bench(List.of()).run(1);
        assertThat(begin(bench, "pump-9").refusal()).isEqualTo(Refusal.NOTHING_OF_THAT_NAME);
        assertThat(end(bench, "gas-t1").refusal()).isEqualTo(Refusal.NOT_IN_MAINTENANCE);
        begin(bench, "gas-t1");
        assertThat(begin(bench, "gas-t1").refusal()).isEqualTo(Refusal.ALREADY_IN_MAINTENANCE);
        assertThat(bench.apply(new StationInput.BeginMaintenance(
                                "gas-t2", TECHNICIAN, "", "", Duration.ZERO, bench.now()))
                        .refusal())
                .isEqualTo(Refusal.MAINTENANCE_TIME);
        assertThat(test(bench, true, Duration.ofHours(2)).refusal()).isEqualTo(Refusal.TEST_TIME);
        assertThat(bench.apply(new StationInput.EndAlarmTest(Bench.id(FAN), TECHNICIAN, bench.now()))
                        .refusal())
                .isEqualTo(Refusal.NOT_UNDER_TEST);
    }

    // ---- point test

    private static StationStep test(Bench bench, boolean active, Duration duration) {
        return bench.apply(new StationInput.TestAlarm(Bench.id(FAN), active, TECHNICIAN, duration, bench.now()));
    }

    @Test
    void anAlarmIsForcedBothWaysWithoutTouchingItsState() {
        Bench bench = bench(List.of()).run(1);
        var before = bench.alarm(FAN).state();
        test(bench, true, Duration.ofMinutes(5));
        AlarmEvent on = bench.last(FAN).event();
        assertThat(on.kind()).isEqualTo(Kind.TEST_FORCED);
        assertThat(on.test()).isTrue();
        assertThat(on.active()).isTrue();
        assertThat(on.after()).isEqualTo(StateName.UNACK);
        assertThat(bench.view().outgoing(bench.alarm(FAN)).state().name()).isEqualTo(StateName.UNACK);
        assertThat(on.by()).isEqualTo(TECHNICIAN);
        test(bench, false, Duration.ofMinutes(5));
        assertThat(bench.last(FAN).event().active()).isFalse();
        assertThat(bench.view().standing().alarmTests()).hasSize(1);
        assertThat(bench.alarm(FAN).state()).isEqualTo(before);
        assertThat(bench.view().flood().inTenMinutes()).isZero();
        bench.apply(new StationInput.EndAlarmTest(Bench.id(FAN), TECHNICIAN, bench.now()));
        AlarmEvent over = bench.last(FAN).event();
        assertThat(over.kind()).isEqualTo(Kind.TEST_ENDED);
        assertThat(over.test()).isFalse();
        assertThat(over.active()).isFalse();
    }

    @Test
    void aTestEndsByItselfWithTheTrueStateAlsoAfterARestart() {
        Bench bench = bench(List.of()).run(1);
        test(bench, false, Duration.ofMinutes(5));
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(2);
        assertThat(bench.kinds(FAN)).as("true events go on").containsExactly(Kind.TEST_FORCED, Kind.RAISED);
        bench.restart(Duration.ofMinutes(1)).run(Duration.ofMinutes(5));
        AlarmEvent over = bench.last(FAN).event();
        assertThat(over.kind()).isEqualTo(Kind.TEST_ENDED);
        assertThat(over.active()).isTrue();
        assertThat(over.text()).isEqualTo("time over");
    }

    @Test
    void aForcedReadingIsShownAsATestAndRulesNeverSeeIt() {
        Bench bench =
                bench(List.of()).set("gas-t1", "heat-sink-temperature", 40.0).run(1);
        SignalId reading = new SignalId("gas-t1", "heat-sink-temperature");
        bench.apply(new StationInput.TestReading(reading, 120, TECHNICIAN, Duration.ofMinutes(1), bench.now()));
        assertThat(bench.reading("gas-t1", "heat-sink-temperature").test()).isTrue();
        assertThat(bench.reading("gas-t1", "heat-sink-temperature").reading().number())
                .isEqualTo(120.0);
        assertThat(bench.notices(Notice.Kind.TEST_FORCED).get(0).text())
                .isEqualTo("T. Technician (page): forced to 120; for PT1M");
        bench.run(70);
        assertThat(bench.reading("gas-t1", "heat-sink-temperature").reading().number())
                .isEqualTo(40.0);
        assertThat(bench.notices(Notice.Kind.TEST_ENDED)).hasSize(1);
        assertThat(bench.kinds("t1/gas-t1.warming")).isEmpty();
    }
}
