package oilbird.gateway.modbus;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmEvent.Annunciation;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.poll.Waits;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.gateway.station.PolledDevice;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.text.Loaded;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;

/**
 * A switch, a serial line and a Modbus gateway that are really lost: sockets and ports that close, fall silent or answer
 * with 0B, through station file, poller, queue, fold and record. Each is one alarm; a device that is lost alone is its
 * own. The gateway's clock runs five times as fast as the machine's.
 */
@Timeout(value = 120, unit = TimeUnit.SECONDS)
final class CommonCauseOverSocketsTest {
    private static final double RATE = 5;
    private static final int RIGHT = 500;
    private static final RawDevice.Manner ANSWERS = request -> request.send(request.registers(RIGHT));
    private static final RawUnit.Manner UNITS_ANSWER = request -> request.send(request.registers(RIGHT));
    private static final List<String> DEVICES = List.of("breather-t1", "breather-t2", "breather-t3");
    private static final PollerSettings SETTINGS = new PollerSettings(
            Duration.ofSeconds(2),
            new Waits(Duration.ofMillis(50), Duration.ofMillis(200), Duration.ofSeconds(1), Duration.ofSeconds(2), 3));

    private static final String MAP = """
            device_map: 1
            name: drb-6
            text: breather (invented)
            poll_classes: {status: 2 s}
            points:
              humidity: {text: humidity of the dried air, holding_register: 0, type: uint16, scale: 0.1, unit: "%", range: [0, 100]}
            """;

    private static final String RULES = """
            alarm_rules: 1
            text: Breathers (invented)
            owner: Substation asset engineer (invented)
            rationalized: {by: Alarm review group (invented), on: 2026-09-14, revision: "1"}
            rules:
              no-answer:
                for: {map: drb-6}
                when: {communication: lost}
                says: "the {device} does not answer"
                says_after: "the {device} answers again"
                class: communications
                priority: warning
                causes: [supply, cable]
                confirm: other devices answer
                consequence: The breather is not seen.
                response: Call the communications technician.
                respond_within: 8 h
                call: communications technician
                on_delay: 3 s
            """;

    @TempDir
    @SuppressWarnings("NullAway") // set before each test
    Path folder;

    /** The whole way from the wire to the record. */
    private final class Rig implements AutoCloseable {
        final StationEngine engine;
        final ModbusPoller poller;
        final List<AlarmEvent> events = new CopyOnWriteArrayList<>();

        Rig(String lines, String shared, List<String> places) throws Exception {
            Path station = Files.createDirectories(folder.resolve("station"));
            Files.createDirectories(station.resolve("maps"));
            Files.createDirectories(station.resolve("rules"));
            Files.writeString(station.resolve("maps/drb-6.yaml"), MAP);
            Files.writeString(station.resolve("rules/breathers.yaml"), RULES);
            StringBuilder text = new StringBuilder("""
                    station: 1
                    id: thornbeck
                    name: Thornbeck substation
                    owner: Fenmarch Electric (invented)
                    gateway: {id: thornbeck-gw1}
                    assets:
                    """);
            for (String device : DEVICES) {
                text.append("  - {id: ").append(asset(device)).append(", name: Transformer, kind: transformer}\n");
            }
            text.append(lines).append("devices:\n");
            for (int i = 0; i < DEVICES.size(); i++) {
                String device = DEVICES.get(i);
                text.append("  - {id: ")
                        .append(device)
                        .append(", name: breather, asset: ")
                        .append(asset(device));
                text.append(", map: drb-6, ").append(places.get(i)).append("}\n");
            }
            Files.writeString(station.resolve("station.yaml"), text.append(shared));
            Loaded<Station> loaded = StationFolder.load(station);
            Station known = loaded.result().orElseThrow(() -> new AssertionError(loaded.problems()));
            GatewayClock clock = new SystemGatewayClock(RATE, WallTrust.ordinary());
            engine = StationEngine.open(
                    known.model(), "thornbeck-gw1", folder.resolve("data"), clock, WriterSettings.DEFAULT);
            engine.writer()
                    .onCommitted(committed -> committed.forEach(recorded -> {
                        if (recorded.event() instanceof StationEvent.OfAlarm of) {
                            events.add(of.event());
                        }
                    }));
            poller = new ModbusPoller(
                    known.devices().stream().map(Rig::session).toList(),
                    engine.inputs(),
                    clock,
                    SETTINGS,
                    notice -> {});
            engine.start();
            poller.start();
            PollingRig.awaitUntil(
                    "every device has answered twice",
                    () -> poller.status().stream()
                            .allMatch(status -> status.counts().answers() >= 2));
        }

        private static DeviceSession session(PolledDevice device) {
            Decoder decoder = new Decoder(device.map());
            Map<String, Duration> periods = new LinkedHashMap<>();
            device.periods()
                    .forEach((pollClass, period) ->
                            periods.put(pollClass, Waits.onTheMachine(period, RATE, Duration.ofMillis(100))));
            return new DeviceSession(
                    device.id(),
                    device.endpoint(),
                    device.map().readPlan(),
                    periods,
                    (block, at) -> decoder.decode(device.id(), block, at),
                    device.map().identification());
        }

        @Nullable
        AlarmState state(String alarm) {
            StationView view = engine.writer().view();
            return view == null
                    ? null
                    : view.alarms().values().stream()
                            .map(StationView.AlarmView::state)
                            .filter(state -> state.id().toString().equals(alarm))
                            .findFirst()
                            .orElse(null);
        }

        void await(String what, String alarm, Predicate<AlarmState> wanted) throws InterruptedException {
            try {
                PollingRig.awaitUntil(what, () -> {
                    AlarmState state = state(alarm);
                    return state != null && wanted.test(state);
                });
            } catch (AssertionError late) {
                throw new AssertionError(
                        late.getMessage() + "; " + alarm + " is " + state(alarm) + "; " + events, late);
            }
        }

        /** What anybody was woken for. */
        List<String> annunciated() {
            return events.stream()
                    .filter(event -> event.annunciate() == Annunciation.START)
                    .map(event -> event.alarm().toString())
                    .toList();
        }

        @Override
        public void close() {
            poller.close();
            engine.close();
        }
    }

    private static String asset(String device) {
        return device.substring(device.length() - 2);
    }

    private static String alarmOf(String device) {
        return asset(device) + "/" + device + ".no-answer";
    }

    private interface Change {
        void make() throws Exception;
    }

    /** Loses what they share and mends it again. */
    private static void isOneAlarm(Rig rig, String alarm, Change lose, Change mend) throws Exception {
        lose.make();
        rig.await("the alarm of what they share", alarm, AlarmState::active);
        for (String device : DEVICES) {
            rig.await(
                    "the device's own alarm, suppressed",
                    alarmOf(device),
                    state -> state.active() && state.suppressedByDesign());
        }
        // The picture may be ahead of what is announced only when it is durable.
        PollingRig.awaitUntil("somebody is woken", () -> !rig.annunciated().isEmpty());
        assertThat(rig.annunciated()).containsExactly(alarm);
        mend.make();
        rig.await("it is back", alarm, state -> !state.active());
        for (String device : DEVICES) {
            rig.await("the device is back", alarmOf(device), state -> !state.active() && !state.suppressedByDesign());
        }
        assertThat(rig.annunciated()).as("and nobody was woken once more").containsExactly(alarm);
    }

    private static List<String> places(String place) {
        return List.of(place.formatted(1), place.formatted(2), place.formatted(3));
    }

    // ---- a network switch: three devices with an address each

    @Test
    void aLostSwitchIsOneAlarm() throws Exception {
        List<RawDevice> devices = new ArrayList<>();
        for (int i = 0; i < DEVICES.size(); i++) {
            devices.add(new RawDevice(ANSWERS));
        }
        List<Integer> ports = devices.stream().map(RawDevice::port).toList();
        try (Rig rig = overSwitch(ports)) {
            isOneAlarm(
                    rig,
                    "gateway/switch-1.network-switch-lost",
                    () -> devices.forEach(RawDevice::close),
                    () -> ports.forEach(port -> devices.add(new RawDevice(port, ANSWERS))));
        } finally {
            devices.forEach(RawDevice::close);
        }
    }

    private Rig overSwitch(List<Integer> ports) throws Exception {
        return new Rig(
                "",
                "shared:\n  - {id: switch-1, name: network switch, kind: network-switch, devices: ["
                        + String.join(", ", DEVICES) + "]}\n",
                ports.stream()
                        .map(port -> "modbus_tcp: {host: 127.0.0.1, port: " + port + ", unit: 1}")
                        .toList());
    }

    @Test
    void aDeviceThatIsLostAloneBehindASwitchIsItsOwnAlarm() throws Exception {
        List<RawDevice> devices = new ArrayList<>();
        for (int i = 0; i < DEVICES.size(); i++) {
            devices.add(new RawDevice(ANSWERS));
        }
        try (Rig rig = overSwitch(devices.stream().map(RawDevice::port).toList())) {
            devices.get(1).close();
            rig.await("its own alarm", alarmOf(DEVICES.get(1)), AlarmState::active);
            PollingRig.awaitUntil("somebody is woken", () -> !rig.annunciated().isEmpty());
            assertThat(rig.annunciated()).containsExactly(alarmOf(DEVICES.get(1)));
            assertThat(rig.state("gateway/switch-1.network-switch-lost"))
                    .satisfies(state -> assertThat(state.active()).isFalse());
        } finally {
            devices.forEach(RawDevice::close);
        }
    }

    // ---- a Modbus gateway: three units behind one host and port, which nobody had to name as shared

    private Rig behindGateway(RawDevice gateway) throws Exception {
        return new Rig(
                "",
                "",
                places("modbus_tcp: {host: 127.0.0.1, port: " + gateway.port() + ", unit: %d, deadline: 400 ms}"));
    }

    private static String gatewayAlarm(int port) {
        return "gateway/at-127-0-0-1-" + port + ".modbus-gateway-lost";
    }

    @Test
    void aModbusGatewayThatIsLostIsOneAlarm() throws Exception {
        RawDevice gateway = new RawDevice(ANSWERS);
        int port = gateway.port();
        List<RawDevice> back = new ArrayList<>();
        try (Rig rig = behindGateway(gateway)) {
            isOneAlarm(rig, gatewayAlarm(port), gateway::close, () -> back.add(new RawDevice(port, ANSWERS)));
        } finally {
            back.forEach(RawDevice::close);
        }
    }

    @Test
    void aModbusGatewayThatTakesConnectionsAndSaysNothingIsOneAlarm() throws Exception {
        try (RawDevice gateway = new RawDevice(ANSWERS);
                Rig rig = behindGateway(gateway)) {
            isOneAlarm(
                    rig,
                    gatewayAlarm(gateway.port()),
                    () -> gateway.behave(request -> {}),
                    () -> gateway.behave(ANSWERS));
        }
    }

    /** The wires behind it are broken: it answers for every unit that none of them responds. */
    @Test
    void aModbusGatewayThatReachesNoneOfItsUnitsIsOneAlarm() throws Exception {
        try (RawDevice gateway = new RawDevice(ANSWERS);
                Rig rig = behindGateway(gateway)) {
            isOneAlarm(
                    rig,
                    gatewayAlarm(gateway.port()),
                    () -> gateway.behave(request -> request.send(request.framed(request.function() | 0x80, 0x0B))),
                    () -> gateway.behave(ANSWERS));
        }
    }

    @Test
    void aUnitThatItsModbusGatewayCannotReachIsThatUnitsAlarm() throws Exception {
        for (int code : new int[] {0x0A, 0x0B}) {
            try (RawDevice gateway = new RawDevice(ANSWERS);
                    Rig rig = behindGateway(gateway)) {
                int before = rig.events.size();
                gateway.behave(request -> request.send(
                        request.unit() == 2
                                ? request.framed(request.function() | 0x80, code)
                                : request.registers(RIGHT)));
                rig.await("its own alarm", alarmOf(DEVICES.get(1)), AlarmState::active);
                PollingRig.awaitUntil(
                        "somebody is woken", () -> !rig.annunciated().isEmpty());
                assertThat(rig.events.stream()
                                .skip(before)
                                .map(event -> event.alarm().toString()))
                        .containsOnly(alarmOf(DEVICES.get(1)));
            }
            deleteData();
        }
    }

    private void deleteData() throws IOException {
        Path data = folder.resolve("data");
        try (var files = Files.list(data)) {
            for (Path file : files.toList()) {
                Files.delete(file);
            }
        }
    }

    // ---- a serial line

    private Rig onLine(String where) throws Exception {
        return new Rig(
                "lines:\n  - {id: line-1, name: serial line, " + where + ", baud: 115200, format: 8N2}\n",
                "",
                places("modbus_rtu: {line: line-1, unit: %d, deadline: 400 ms}"));
    }

    private static final String LINE_ALARM = "gateway/line-1.serial-line-lost";

    @Test
    void aTerminalServerThatIsLostIsOneAlarmOfItsLine() throws Exception {
        RawUnit units = RawUnit.overTcp(UNITS_ANSWER);
        int port = units.port();
        List<RawUnit> back = new ArrayList<>();
        try (Rig rig = onLine("rtu_over_tcp: {host: 127.0.0.1, port: " + port + "}")) {
            isOneAlarm(rig, LINE_ALARM, units::close, () -> back.add(RawUnit.overTcp(UNITS_ANSWER, port, false)));
        } finally {
            for (RawUnit each : back) {
                each.close();
            }
        }
    }

    @Test
    void aSerialAdapterThatIsPulledOutIsOneAlarmOfItsLine() throws Exception {
        RawUnit units = RawUnit.onPort(UNITS_ANSWER, folder);
        List<RawUnit> back = new ArrayList<>();
        try (Rig rig = onLine("serial: {port: " + folder.resolve("line-ours") + "}")) {
            isOneAlarm(rig, LINE_ALARM, units::close, () -> back.add(RawUnit.onPort(UNITS_ANSWER, folder)));
        } finally {
            for (RawUnit each : back) {
                each.close();
            }
        }
    }

    @Test
    void brokenWiresAreOneAlarmOfTheirLine() throws Exception {
        try (RawUnit units = RawUnit.onPort(UNITS_ANSWER, folder);
                Rig rig = onLine("serial: {port: " + folder.resolve("line-ours") + "}")) {
            isOneAlarm(rig, LINE_ALARM, () -> units.behave(request -> {}), () -> units.behave(UNITS_ANSWER));
        }
    }
}
