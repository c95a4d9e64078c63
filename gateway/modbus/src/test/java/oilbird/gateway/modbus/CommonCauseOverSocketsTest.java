package oilbird.gateway.modbus;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import java.util.function.Function;
import java.util.function.Predicate;
import java.util.stream.Collectors;
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
import org.junit.jupiter.api.AfterEach;
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
            rules:
              no-answer:
                for: {map: drb-6}
                when: {communication: lost}
                says: "the {device} does not answer"
                class: communications
                priority: warning
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

        Rig(List<Group> groups) throws Exception {
            Path station = Files.createDirectories(folder.resolve("station"));
            Files.createDirectories(station.resolve("maps"));
            Files.createDirectories(station.resolve("rules"));
            Files.writeString(station.resolve("maps/drb-6.yaml"), MAP);
            Files.writeString(station.resolve("rules/breathers.yaml"), RULES);
            Files.writeString(
                    station.resolve("station.yaml"),
                    """
                    station: 1
                    id: thornbeck
                    name: Thornbeck substation
                    owner: Fenmarch Electric (invented)
                    gateway: {id: thornbeck-gw1}
                    assets:
                      - {id: t1, name: Transformer 1, kind: transformer}
                    """ + section("lines", groups, Group::line)
                            + section("devices", groups, Group::entries)
                            + section("shared", groups, Group::shared));
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

    private static String section(String name, List<Group> groups, Function<Group, String> of) {
        String entries = groups.stream().map(of).collect(Collectors.joining());
        return entries.isEmpty() ? "" : name + ":\n" + entries;
    }

    private interface Change {
        void make() throws Exception;
    }

    /**
     * Three devices that share something.
     *
     * @param line entry under {@code lines}, or empty.
     * @param shared entry under {@code shared}, or empty.
     * @param alarm of what they share.
     */
    private record Group(
            String name, List<String> places, String line, String shared, String alarm, Change lose, Change mend) {
        List<String> devices() {
            return List.of(name + "-1", name + "-2", name + "-3");
        }

        String alarmOf(int device) {
            return "t1/" + devices().get(device) + ".no-answer";
        }

        String entries() {
            StringBuilder text = new StringBuilder();
            for (int i = 0; i < places.size(); i++) {
                text.append("  - {id: ").append(devices().get(i)).append(", name: breather, asset: t1, map: drb-6, ");
                text.append(places.get(i)).append("}\n");
            }
            return text.toString();
        }
    }

    private final List<AutoCloseable> ends = new ArrayList<>();

    @AfterEach
    void close() throws Exception {
        for (AutoCloseable end : ends) {
            end.close();
        }
    }

    private <T extends AutoCloseable> T kept(T end) {
        ends.add(end);
        return end;
    }

    private static List<String> units(String place) {
        return List.of(place.formatted(1), place.formatted(2), place.formatted(3));
    }

    /** Three devices with an address each, behind one switch. */
    private Group behindSwitch(String name, List<RawDevice> devices) {
        List<Integer> ports = devices.stream().map(RawDevice::port).toList();
        Group plain = new Group(name, List.of(), "", "", "", () -> {}, () -> {});
        return new Group(
                name,
                ports.stream()
                        .map(port -> "modbus_tcp: {host: 127.0.0.1, port: " + port + ", unit: 1}")
                        .toList(),
                "",
                "  - {id: " + name + ", name: network switch, kind: network-switch, devices: ["
                        + String.join(", ", plain.devices()) + "]}\n",
                "gateway/" + name + ".network-switch-lost",
                () -> devices.forEach(RawDevice::close),
                () -> ports.forEach(port -> kept(new RawDevice(port, ANSWERS))));
    }

    private List<RawDevice> three() {
        return List.of(kept(new RawDevice(ANSWERS)), kept(new RawDevice(ANSWERS)), kept(new RawDevice(ANSWERS)));
    }

    /** Three units behind one host and port; nobody has to name them as sharing anything. */
    private static Group behindGateway(String name, RawDevice gateway, Change lose, Change mend) {
        int port = gateway.port();
        return new Group(
                name,
                units("modbus_tcp: {host: 127.0.0.1, port: " + port + ", unit: %d, deadline: 400 ms}"),
                "",
                "",
                "gateway/at-127-0-0-1-" + port + ".modbus-gateway-lost",
                lose,
                mend);
    }

    private static Group onLine(String name, String where, Change lose, Change mend) {
        return new Group(
                name,
                units("modbus_rtu: {line: " + name + ", unit: %d, deadline: 400 ms}"),
                "  - {id: " + name + ", name: serial line, " + where + ", baud: 115200, format: 8N2}\n",
                "",
                "gateway/" + name + ".serial-line-lost",
                lose,
                mend);
    }

    private Group onPort(String name, Change lose, Change mend) {
        return onLine(name, "serial: {port: " + folder.resolve(name).resolve("line-ours") + "}", lose, mend);
    }

    private RawUnit port(String name) throws Exception {
        return kept(RawUnit.onPort(UNITS_ANSWER, Files.createDirectories(folder.resolve(name))));
    }

    /** Loses each group at once and mends all again: one alarm a group, and nobody is woken for a device. */
    private void areOneAlarmEach(List<Group> groups) throws Exception {
        List<String> alarms = groups.stream().map(Group::alarm).toList();
        try (Rig rig = new Rig(groups)) {
            for (Group group : groups) {
                group.lose().make();
            }
            for (Group group : groups) {
                rig.await("the alarm of what they share", group.alarm(), AlarmState::active);
                for (int device = 0; device < 3; device++) {
                    rig.await(
                            "a device's own alarm, suppressed",
                            group.alarmOf(device),
                            state -> state.active() && state.suppressedByDesign());
                }
            }
            // The picture may be ahead of what is announced only when it is durable.
            PollingRig.awaitUntil("each is announced", () -> rig.annunciated().size() >= groups.size());
            assertThat(rig.annunciated()).containsExactlyInAnyOrderElementsOf(alarms);
            for (Group group : groups) {
                group.mend().make();
            }
            for (Group group : groups) {
                rig.await("it is back", group.alarm(), state -> !state.active());
                for (int device = 0; device < 3; device++) {
                    rig.await(
                            "the device is back",
                            group.alarmOf(device),
                            state -> !state.active() && !state.suppressedByDesign());
                }
            }
            assertThat(rig.annunciated())
                    .as("and nobody was woken once more")
                    .containsExactlyInAnyOrderElementsOf(alarms);
        }
    }

    @Test
    void whatIsGoneIsOneAlarmWhetherSwitchModbusGatewayTerminalServerOrSerialAdapter() throws Exception {
        RawDevice gateway = kept(new RawDevice(ANSWERS));
        int gatewayPort = gateway.port();
        RawUnit server = kept(RawUnit.overTcp(UNITS_ANSWER));
        int serverPort = server.port();
        RawUnit adapter = port("line-2");
        areOneAlarmEach(List.of(
                behindSwitch("switch-1", three()),
                behindGateway("gateway-1", gateway, gateway::close, () -> kept(new RawDevice(gatewayPort, ANSWERS))),
                onLine(
                        "line-1",
                        "rtu_over_tcp: {host: 127.0.0.1, port: " + serverPort + "}",
                        server::close,
                        () -> kept(RawUnit.overTcp(UNITS_ANSWER, serverPort, false))),
                onPort("line-2", adapter::close, () -> port("line-2"))));
    }

    /** It is there and says nothing; it says that nobody behind it answers (0B); its wires are broken. */
    @Test
    void whatIsThereAndReachesNobodyIsOneAlarmToo() throws Exception {
        RawDevice deaf = kept(new RawDevice(ANSWERS));
        RawDevice cutOff = kept(new RawDevice(ANSWERS));
        RawUnit wires = port("line-1");
        areOneAlarmEach(List.of(
                behindGateway("gateway-1", deaf, () -> deaf.behave(request -> {}), () -> deaf.behave(ANSWERS)),
                behindGateway(
                        "gateway-2",
                        cutOff,
                        () -> cutOff.behave(request -> request.send(request.framed(request.function() | 0x80, 0x0B))),
                        () -> cutOff.behave(ANSWERS)),
                onPort("line-1", () -> wires.behave(request -> {}), () -> wires.behave(UNITS_ANSWER))));
    }

    /** One device behind a switch, one unit by exception 0A, one by 0B, and one that is silent on a line. */
    @Test
    void whatIsLostAloneIsItsOwnAlarmAndTheRestGoesOn() throws Exception {
        List<RawDevice> apart = three();
        RawDevice noPath = kept(new RawDevice(ANSWERS));
        RawDevice noTarget = kept(new RawDevice(ANSWERS));
        RawUnit units = port("line-1");
        List<Group> groups = List.of(
                behindSwitch("switch-1", apart),
                behindGateway("gateway-1", noPath, () -> {}, () -> {}),
                behindGateway("gateway-2", noTarget, () -> {}, () -> {}),
                onPort("line-1", () -> {}, () -> {}));
        try (Rig rig = new Rig(groups)) {
            apart.get(1).close();
            noPath.behave(refusesSecond(0x0A));
            noTarget.behave(refusesSecond(0x0B));
            units.behave(request -> {
                if (request.unit() != 2) {
                    UNITS_ANSWER.handle(request);
                }
            });
            List<String> own = groups.stream().map(group -> group.alarmOf(1)).toList();
            for (String alarm : own) {
                rig.await("its own alarm", alarm, AlarmState::active);
            }
            PollingRig.awaitUntil("each is announced", () -> rig.annunciated().size() >= own.size());
            assertThat(rig.events.stream()
                            .map(event -> event.alarm().toString())
                            .distinct())
                    .containsExactlyInAnyOrderElementsOf(own);
        }
    }

    private static RawDevice.Manner refusesSecond(int code) {
        return request -> request.send(
                request.unit() == 2 ? request.framed(request.function() | 0x80, code) : request.registers(RIGHT));
    }
}
