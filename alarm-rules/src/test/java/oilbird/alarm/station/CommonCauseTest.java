package oilbird.alarm.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.Bench;
import oilbird.alarm.Windlow;
import oilbird.alarm.explain.Explainer;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.DeviceKind.NamedIndication;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmEvent.Annunciation;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.Refusal;
import oilbird.alarm.state.StateName;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;

/** One alarm for a lost switch, line or Modbus gateway, and none for a connection that a person has released. */
class CommonCauseTest {
    private static final String SWITCH = "gateway/switch-1.switch-lost";
    private static final List<String> BEHIND = List.of("gas-t1", "cooling-t1", "gas-t2");
    private static final Actor PERSON = new Actor("T. Technician", "page");

    private static StationFacts facts() {
        StationFacts plain = Windlow.facts();
        Shared network = new Shared(
                "switch-1",
                "network switch of the relay room",
                Shared.Kind.NETWORK_SWITCH,
                "gateway",
                BEHIND,
                List.of());
        DeviceKind kind = new DeviceKind(
                "network-switch",
                "network switch",
                List.of(),
                List.of(
                        new NamedIndication("lost", "no device behind it answers", List.of(), false, List.of()),
                        new NamedIndication("returning", "just back", List.of(), true, List.of())),
                List.of(new DeviceKind.Block("shared", Duration.ZERO, List.of("lost", "returning"))));
        List<StationFacts.Device> devices = new ArrayList<>(plain.devices());
        devices.add(new StationFacts.Device("switch-1", network.name(), "gateway", kind, List.of()));
        return new StationFacts(plain.id(), plain.name(), plain.gateway(), plain.assets(), devices, List.of(network));
    }

    private static Bench bench() {
        StationFacts facts = facts();
        String rule = "%s:%n  for: {map: %s}%n  when: {communication: lost}%n  says: \"the {device} does not answer\"%n"
                + "  class: communications%n  priority: minor%n";
        return Bench.of(
                facts,
                Windlow.rulesOf(
                        facts,
                        rule.formatted("gas-silent", "hbg-8"),
                        rule.formatted("cooling-silent", "tcc-4"),
                        "switch-lost:\n  for: {map: network-switch}\n  when: {indication: lost}\n"
                                + "  says: \"the {device} is lost: no device behind it answers\"\n"
                                + "  says_after: \"devices behind the {device} answer again\"\n"
                                + "  class: communications\n  priority: minor\n"
                                + "  on_delay: 10 s\n  off_delay: 10 s\n  on_samples: 1\n  off_samples: 1\n"));
    }

    private static String alarmOf(String device) {
        boolean gas = device.startsWith("gas");
        return device.substring(device.length() - 2) + "/" + device + (gas ? ".gas-silent" : ".cooling-silent");
    }

    private static List<String> annunciated(Bench bench) {
        return bench.alarmEvents(e -> e.annunciate() == Annunciation.START).stream()
                .map(e -> e.alarm().toString())
                .toList();
    }

    private static Bench silent(Bench bench, List<String> devices) {
        devices.forEach(bench::silent);
        return bench;
    }

    private static Bench back(Bench bench, List<String> devices) {
        devices.forEach(bench::back);
        return bench;
    }

    @Test
    void aLostSwitchIsOneAlarmAndItsDevicesAreRecordedAsSuppressedByIt() {
        Bench bench = silent(bench().run(30), BEHIND).run(60);

        assertThat(annunciated(bench)).containsExactly(SWITCH);
        for (String device : BEHIND) {
            assertThat(bench.alarm(alarmOf(device)).state().active()).isTrue();
            assertThat(bench.alarm(alarmOf(device)).state().suppressedByDesign())
                    .isTrue();
            assertThat(bench.indication(device, DeviceKind.COMMUNICATION_LOST).state())
                    .isEqualTo(IndicationState.HOLDS);
        }
        AlarmEvent suppressed =
                bench.alarmEvents(e -> e.kind() == Kind.SUPPRESSED).get(0);
        assertThat(suppressed.by()).isEqualTo(new Actor("switch_1.lost or switch_1.returning", "rule"));
        assertThat(bench.notices(StationEvent.Notice.Kind.DEVICE_LOST)).hasSize(3);
        assertThat(bench.alarm("t2/cooling-t2.cooling-silent").state().active()).isFalse();
    }

    @Test
    void aSingleLostDeviceIsItsOwnAlarmAndTheSwitchIsNot() {
        Bench bench = bench().run(30).silent("gas-t1").run(60);

        assertThat(annunciated(bench)).containsExactly(alarmOf("gas-t1"));
        assertThat(bench.alarm(SWITCH).state().active()).isFalse();
        assertThat(bench.kinds(alarmOf("gas-t1"))).containsExactly(Kind.RAISED);
    }

    @Test
    void allButOneOfTheDevicesAreAsManyAlarms() {
        Bench bench = silent(bench().run(30), List.of("gas-t1", "cooling-t1")).run(60);

        assertThat(annunciated(bench)).containsExactlyInAnyOrder(alarmOf("gas-t1"), alarmOf("cooling-t1"));
    }

    @Test
    void aDeviceLostLongBeforeDoesNotKeepTheSwitchFromBeingLostAndItsAlarmIsSuppressedFromThenOn() {
        Bench bench = bench().run(30).silent("gas-t1").run(600);
        silent(bench, BEHIND).run(60);

        assertThat(annunciated(bench)).containsExactly(alarmOf("gas-t1"), SWITCH);
        assertThat(bench.alarm(alarmOf("gas-t1")).state().name()).isEqualTo(StateName.DSUPR);
    }

    @Test
    void whatIsStillSilentWhenTheSwitchIsBackSpeaksForItselfAgain() {
        Bench bench = silent(bench().run(30), BEHIND).run(60);
        back(bench, List.of("gas-t1", "cooling-t1")).run(60);

        assertThat(bench.alarm(SWITCH).state().active()).isFalse();
        assertThat(annunciated(bench)).containsExactly(SWITCH, alarmOf("gas-t2"));
        assertThat(bench.alarm(alarmOf("gas-t2")).state().suppressedByDesign()).isFalse();
        assertThat(bench.alarm(alarmOf("gas-t1")).state().active()).isFalse();
    }

    @Test
    void aSwitchThatComesAndGoesWakesNobodyForItsDevices() {
        Bench bench = bench().run(30);
        for (int i = 0; i < 5; i++) {
            back(silent(bench, BEHIND).run(30), BEHIND).run(30);
        }

        assertThat(annunciated(bench)).containsOnly(SWITCH).hasSize(5);
    }

    @Test
    void aRestartDuringTheOutageAsksNobodyAgain() {
        Bench bench = silent(bench().run(30), BEHIND).run(60);
        int before = annunciated(bench).size();
        bench.restart(Duration.ofMinutes(1)).run(120);

        assertThat(annunciated(bench)).hasSize(before);
        back(bench, BEHIND).run(60);
        assertThat(annunciated(bench)).hasSize(before);
        assertThat(bench.alarm(SWITCH).state().active()).isFalse();
        BEHIND.forEach(device ->
                assertThat(bench.alarm(alarmOf(device)).state().name()).isEqualTo(StateName.NORM));
    }

    @Test
    void aGatewayThatStartsIntoAnOutageSpeaksOnce() {
        Bench bench = silent(bench(), BEHIND).run(120);

        assertThat(annunciated(bench)).containsExactly(SWITCH);
    }

    @Test
    void aDeviceThatAnswersWithExceptionsShowsThatTheSwitchWorks() {
        Bench bench = silent(bench().run(60), List.of("gas-t1", "cooling-t1"));
        bench.failing("gas-t2", QualityReason.REFUSED_BY_DEVICE).run(60);

        assertThat(bench.alarm(SWITCH).state().active()).isFalse();
        assertThat(annunciated(bench))
                .containsExactlyInAnyOrderElementsOf(
                        BEHIND.stream().map(CommonCauseTest::alarmOf).toList());
    }

    @Test
    void theSentenceSaysWhatIsLostAndThatItIsNotTheTransformer() {
        Bench bench = silent(bench().run(30), BEHIND).run(60);
        var told = new Explainer(bench.model()).explain(bench.view(), Bench.id(SWITCH));

        assertThat(told.sentence())
                .startsWith("Gateway: the network switch of the relay room is lost: no device behind it answers.")
                .contains("Nothing is received from the gas monitor of Transformer 1, the cooling control of"
                        + " Transformer 1 and the gas monitor of Transformer 2; their other alarms stay as they were.");
        assertThat(told.troubleText()).contains("not of the transformer");
    }

    // ---- released connections

    private static @Nullable Refusal release(Bench bench, String of, Duration duration) {
        return bench.apply(new StationInput.BeginRelease(of, PERSON, "maker's laptop", duration, bench.now()))
                .refusal();
    }

    @Test
    void aReleasedDeviceHasNoReadingsAndNoCommunicationAlarmAndComesBackByItself() {
        Bench bench = bench().run(30);
        assertThat(release(bench, "cooling-t2", Duration.ofMinutes(30))).isNull();
        bench.run(Duration.ofMinutes(29));

        assertThat(bench.reading("cooling-t2", "top-oil-temperature").reading().reason())
                .isEqualTo(QualityReason.RELEASED);
        assertThat(bench.indication("cooling-t2", "fan-vibration").state()).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        assertThat(bench.kinds("t2/cooling-t2.cooling-silent")).isEmpty();
        assertThat(bench.view().standing().releases()).singleElement().satisfies(r -> {
            assertThat(r.devices()).containsExactly("cooling-t2");
            assertThat(r.by()).isEqualTo(PERSON);
        });
        assertThat(bench.notices(StationEvent.Notice.Kind.RELEASE_BEGUN))
                .singleElement()
                .satisfies(n -> assertThat(n.text())
                        .isEqualTo("T. Technician (page): maker's laptop; not polled: cooling-t2; for PT30M"));

        bench.run(Duration.ofMinutes(2));
        assertThat(bench.view().standing().releases()).isEmpty();
        assertThat(bench.notices(StationEvent.Notice.Kind.RELEASE_ENDED))
                .singleElement()
                .satisfies(n -> assertThat(n.text()).isEqualTo("time over"));
        assertThat(bench.reading("cooling-t2", "top-oil-temperature").reading().reason())
                .isEqualTo(QualityReason.NONE);
        assertThat(bench.kinds("t2/cooling-t2.cooling-silent")).isEmpty();
    }

    @Test
    void aReleaseOutlivesARestartAndAPersonMayEndItEarly() {
        Bench bench = bench().run(30);
        release(bench, "gas-t1", Duration.ofHours(2));
        bench.restart(Duration.ofMinutes(1)).run(60);

        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.RELEASED);
        bench.apply(new StationInput.EndRelease("gas-t1", PERSON, bench.now()));
        bench.run(5);
        assertThat(bench.reading("gas-t1", "oil-flow").reading().reason()).isEqualTo(QualityReason.NONE);
    }

    @Test
    void aReleasedDeviceNeitherLosesTheSwitchNorSavesIt() {
        Bench bench = bench().run(30);
        release(bench, "gas-t2", Duration.ofHours(1));
        bench.run(60);
        assertThat(annunciated(bench)).isEmpty();
        silent(bench, List.of("gas-t1", "cooling-t1")).run(60);

        assertThat(annunciated(bench)).containsExactly(SWITCH);
    }

    @Test
    void whatCannotBeReleasedIsRefused() {
        Bench bench = bench().run(5);
        assertThat(release(bench, "nothing", Duration.ofHours(1))).isEqualTo(Refusal.NOTHING_OF_THAT_NAME);
        assertThat(release(bench, "gateway", Duration.ofHours(1))).isEqualTo(Refusal.NOTHING_OF_THAT_NAME);
        assertThat(release(bench, "gas-t1", Duration.ofHours(9))).isEqualTo(Refusal.RELEASE_TIME);
        assertThat(release(bench, "gas-t1", Duration.ZERO)).isEqualTo(Refusal.RELEASE_TIME);
        assertThat(release(bench, "gas-t1", Duration.ofHours(1))).isNull();
        assertThat(release(bench, "gas-t1", Duration.ofHours(1))).isEqualTo(Refusal.ALREADY_RELEASED);
        assertThat(bench.apply(new StationInput.EndRelease("gas-t2", PERSON, bench.now()))
                        .refusal())
                .isEqualTo(Refusal.NOT_RELEASED);
    }

    @Test
    void devicesOnOneLineAreReleasedTogether() {
        StationFacts plain = facts();
        Shared line = new Shared(
                "line-1", "line", Shared.Kind.SERIAL_LINE, "gateway", List.of("gas-t1", "gas-t2"), List.of());
        StationFacts facts = new StationFacts(
                plain.id(), plain.name(), plain.gateway(), plain.assets(), plain.devices(), List.of(line));

        assertThat(facts.sharingConnection("gas-t1")).containsExactly("gas-t1", "gas-t2");
        assertThat(facts.sharingConnection("line-1")).containsExactly("gas-t1", "gas-t2");
        assertThat(facts.sharingConnection("cooling-t1")).containsExactly("cooling-t1");
    }
}
