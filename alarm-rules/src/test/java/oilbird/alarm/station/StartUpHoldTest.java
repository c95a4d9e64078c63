package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.StateName;
import oilbird.alarm.station.StationEvent.Notice;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;

/** After a blackout one alarm speaks for the whole station until its devices answer. */
class StartUpHoldTest {
    private static final String FAN = "t1/gas-t1.fan";
    private static final String OIL = "t1/cooling-t1.oil";
    private static final String SILENT = "t2/gas-t2.silent";
    private static final String STARTING = "gateway/gateway.starting";
    private static final List<String> POLLED = List.of("gas-t1", "cooling-t1", "gas-t2", "cooling-t2");

    private static StationModel model() {
        StationFacts here = Windlow.facts();
        List<StationFacts.Device> devices = new ArrayList<>(here.devices());
        StationFacts.Device self = devices.remove(devices.size() - 1);
        DeviceKind kind = self.kind();
        List<DeviceKind.NamedIndication> told = new ArrayList<>(kind.indications());
        told.add(new DeviceKind.NamedIndication(
                StartUpHold.STARTING_UP, "the station starts up", List.of(), false, List.of()));
        DeviceKind.Block block = kind.blocks().get(0);
        devices.add(new StationFacts.Device(
                self.id(),
                self.name(),
                self.asset(),
                new DeviceKind(
                        kind.map(),
                        kind.product(),
                        kind.points(),
                        told,
                        List.of(new DeviceKind.Block(
                                block.name(), Duration.ZERO, List.of("disk-full", StartUpHold.STARTING_UP)))),
                self.unverified()));
        StationFacts facts = new StationFacts(here.id(), here.name(), here.gateway(), here.assets(), devices);
        return new StationModel(
                facts,
                Windlow.rulesOf(
                        facts,
                        rule("fan", "{map: hbg-8}", "{indication: cabinet-fan-stopped}", "auxiliary"),
                        rule("oil", "{map: tcc-4}", "{level: top-oil-temperature, unit: degC, high: 90}", "equipment-protection"),
                        rule("silent", "{map: hbg-8}", "{communication: lost}", "communications"),
                        rule("starting", "{devices: [gateway]}", "{indication: starting-up}", "system")),
                new StationModel.Settings(
                        StationModel.AcknowledgementOwner.GATEWAY,
                        3,
                        Duration.ofSeconds(60),
                        Duration.ofSeconds(5),
                        Duration.ofMinutes(2)),
                "test");
    }

    private static String rule(String key, String scope, String when, String alarmClass) {
        return key + ":\n  for: " + scope + "\n  when: " + when + "\n  says: x\n  class: " + alarmClass
                + "\n  priority: minor\n  on_delay: 0 s\n  off_delay: 0 s\n  on_samples: 1\n  off_samples: 1\n";
    }

    private static Bench bench() {
        return new Bench(model());
    }

    private static void silent(Bench bench, List<String> devices) {
        devices.forEach(bench::silent);
    }

    @Test
    void whereAllAnswerAtOnceNothingWaits() {
        Bench bench = bench().set("gas-t1", "cabinet-fan-stopped", true).run(1);
        assertThat(bench.kinds(FAN)).containsExactly(Kind.RAISED);
        assertThat(bench.indication("gateway", StartUpHold.STARTING_UP).state())
                .isEqualTo(IndicationState.DOES_NOT_HOLD);
        assertThat(bench.notices(Notice.Kind.START_UP_OVER)).isEmpty();
    }

    @Test
    void oneAlarmSpeaksForAllUntilEveryDeviceHasAnswered() {
        Bench bench = bench();
        bench.silent("gas-t2").set("gas-t1", "cabinet-fan-stopped", true).run(20);
        assertThat(bench.kinds(FAN)).isEmpty();
        assertThat(bench.kinds(SILENT)).isEmpty();
        assertThat(bench.alarm(STARTING).state().name()).isEqualTo(StateName.UNACK);
        bench.back("gas-t2").run(2);
        assertThat(bench.kinds(FAN)).as("it still holds").containsExactly(Kind.RAISED);
        assertThat(bench.kinds(SILENT)).isEmpty();
        assertThat(bench.alarm(STARTING).state().active()).isFalse();
    }

    @Test
    void whatPassesWhileTheStationStartsIsNoAlarm() {
        Bench bench = bench().silent("gas-t2");
        bench.set("gas-t1", "cabinet-fan-stopped", true).run(10);
        bench.set("gas-t1", "cabinet-fan-stopped", false).run(10).back("gas-t2").run(2);
        assertThat(bench.kinds(FAN)).isEmpty();
    }

    @Test
    void whatProtectsPeopleAndEquipmentDoesNotWait() {
        Bench bench = bench().silent("gas-t2").set("cooling-t1", "top-oil-temperature", 95.0).run(1);
        assertThat(bench.kinds(OIL)).containsExactly(Kind.RAISED);
    }

    @Test
    void afterItsTimeWhatIsStillSilentSpeaksForItself() {
        Bench bench = bench().silent("gas-t2").run(Duration.ofSeconds(119));
        assertThat(bench.kinds(SILENT)).isEmpty();
        bench.run(Duration.ofSeconds(3));
        assertThat(bench.kinds(SILENT)).containsExactly(Kind.RAISED);
        assertThat(bench.notices(Notice.Kind.START_UP_OVER).get(0).text()).isEqualTo("1 alarms waited; silent: gas-t2");
    }

    @Test
    void aBlackoutWhileTheGatewayRunsBeginsItAnewWithTheFirstDeviceThatAnswers() {
        Bench bench = bench().run(5);
        silent(bench, POLLED);
        bench.run(5);
        bench.back("cooling-t1").back("gas-t1").set("gas-t1", "cabinet-fan-stopped", true).run(5);
        assertThat(bench.alarm(STARTING).state().active()).isTrue();
        assertThat(bench.kinds(FAN)).isEmpty();
        bench.back("gas-t2").back("cooling-t2").run(2);
        assertThat(bench.kinds(FAN)).containsExactly(Kind.RAISED);
        assertThat(bench.alarm(STARTING).state().active()).isFalse();
    }

    @Test
    void oneSilentDeviceIsNoBlackout() {
        Bench bench = bench().run(5);
        bench.silent("gas-t1").run(5).back("gas-t1").set("gas-t1", "cabinet-fan-stopped", true).run(1);
        assertThat(bench.kinds(FAN)).containsExactly(Kind.RAISED);
    }

    @Test
    void theGatewaysOwnNewsDoNotEndTheHold() {
        Bench bench = bench();
        silent(bench, POLLED);
        bench.run(1);
        bench.apply(new StationInput.Observed(new Decoded(
                "gateway",
                "self",
                List.of(),
                List.of(Indication.of(new SignalId("gateway", "disk-full"), false, bench.now())),
                List.of(),
                bench.now())));
        assertThat(bench.alarm(STARTING).state().active()).isTrue();
    }
}
