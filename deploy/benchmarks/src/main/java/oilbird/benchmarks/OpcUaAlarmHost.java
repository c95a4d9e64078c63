package oilbird.benchmarks;

import java.io.BufferedReader;
import java.io.InputStreamReader;
import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.locks.LockSupport;
import oilbird.alarm.rule.AlarmRule;
import oilbird.alarm.rule.Condition;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.Rationalization;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.Scope;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.state.Acknowledgement;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmPolicy;
import oilbird.alarm.state.Priority;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationModel;
import oilbird.alarm.station.StationView;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.AccessRules;
import oilbird.gateway.access.AccountStore;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.outbox.LinkState;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.gateway.opcua.server.OpcUaServerLink;
import oilbird.gateway.opcua.server.ServerParts;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.points.PointList;
import oilbird.gateway.station.OpcUaServerLinkSettings;
import oilbird.gateway.station.Station;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Position;

/**
 * The engine of an invented station with an OPC UA server on it, as a process of its own, which does what it is told on
 * its standard input. Arguments: port, devices, points a device, indications a device (each an alarm), data folder, and
 * {@code with} or {@code without} the server.
 */
public final class OpcUaAlarmHost {
    private final int devices;
    private final int points;
    private final int indications;
    private final SystemGatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());
    private final StationEngine engine;
    private final OpcUaServerLink link;

    public static void main(String[] arguments) throws Exception {
        new OpcUaAlarmHost(arguments).obey();
        System.exit(0);
    }

    private OpcUaAlarmHost(String[] arguments) throws Exception {
        int port = Integer.parseInt(arguments[0]);
        devices = Integer.parseInt(arguments[1]);
        points = Integer.parseInt(arguments[2]);
        indications = Integer.parseInt(arguments[3]);
        Path data = Path.of(arguments[4]);
        StationModel model = model();
        engine = StationEngine.open(model, "windlow-gw", data, clock, WriterSettings.DEFAULT);
        Access access = new Access(
                new AccountStore(data),
                AccessRules.DEFAULT,
                System::nanoTime,
                Instant::now,
                (kind, about, by, address, text, times) -> {});
        Station station = new Station("Fenmarch Electric", model, List.of(), List.of(), AccessRules.DEFAULT);
        link = new OpcUaServerLink(
                new OpcUaServerLinkSettings(
                        "room",
                        "control room",
                        "127.0.0.1",
                        port,
                        List.of("127.0.0.1"),
                        List.of(),
                        false,
                        "a benchmark on this machine alone",
                        true,
                        OpcUaServerLinkSettings.Limits.DEFAULT),
                new ServerParts(
                        station,
                        data,
                        CompletableFuture.completedFuture(access),
                        this::view,
                        this::view,
                        engine.acts(),
                        new Forms(model, station.owner()),
                        ServerParts.past(engine.record()),
                        new PointFeed(PointList.byDefault(model.facts()), model.facts(), this::view, clock::now),
                        clock));
        boolean with = arguments[5].equals("with");
        if (with) {
            engine.addLink(link, LinkRunner.Settings.DEFAULT);
        }
        engine.start();
        for (int device = 0; device < devices; device++) {
            read(device, 20);
        }
        settle();
        long begun = System.nanoTime();
        while (with && engine.links().get(0).condition() != LinkState.Condition.UP) {
            LockSupport.parkNanos(1_000_000);
        }
        say("up " + (System.nanoTime() - begun) / 1_000_000);
    }

    private StationView view() {
        StationView view = engine.writer().view();
        if (view == null) {
            throw new IllegalStateException("nothing was committed yet");
        }
        return view;
    }

    private static void say(String line) {
        System.out.println(line);
        System.out.flush();
    }

    private void obey() throws Exception {
        BufferedReader orders = new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8));
        for (String line = orders.readLine(); line != null; line = orders.readLine()) {
            String[] words = line.split(" ");
            switch (words[0]) {
                case "heap" -> say("heap " + heap());
                case "cpu" ->
                    say("cpu "
                            + ((com.sun.management.OperatingSystemMXBean) ManagementFactory.getOperatingSystemMXBean())
                                            .getProcessCpuTime()
                                    / 1_000);
                case "raise" -> {
                    set(0, Integer.parseInt(words[1]), true);
                    say("done");
                }
                case "flood" -> {
                    flood(Integer.parseInt(words[1]), Integer.parseInt(words[2]));
                    say("done");
                }
                case "load" -> say("load " + link.load());
                default -> {
                    return;
                }
            }
        }
    }

    private static long heap() {
        for (int i = 0; i < 3; i++) {
            System.gc();
        }
        return ManagementFactory.getMemoryMXBean().getHeapMemoryUsage().getUsed();
    }

    private void set(int from, int to, boolean holds) {
        for (int alarm = from; alarm < to; alarm++) {
            tell(alarm, holds);
        }
        settle();
    }

    /** Until the writer has nothing more to do and the link has handed all over. */
    private void settle() {
        Moment asked = clock.now();
        while (engine.writer().status().waiting() > 0
                || engine.writer().view() == null
                || engine.links().stream().anyMatch(l -> l.condition() == LinkState.Condition.UP && l.waiting() > 0)
                || view().at().monotonicNanos() < asked.monotonicNanos() - 1_000_000_000L) {
            LockSupport.parkNanos(2_000_000);
        }
        LockSupport.parkNanos(300_000_000);
    }

    /** Every second alarm comes and goes, evenly in time. */
    private void flood(int events, int seconds) {
        long begun = System.nanoTime();
        int alarms = devices * indications;
        for (int i = 0; i < events; i++) {
            long due = begun + i * seconds * 1_000_000_000L / events;
            for (long left = due - System.nanoTime(); left > 0; left = due - System.nanoTime()) {
                LockSupport.parkNanos(left);
            }
            int alarm = alarms / 2 + i / 2 % (alarms / 2);
            tell(alarm, i % 2 == 0);
        }
        settle();
    }

    private void tell(int alarm, boolean holds) {
        Moment now = clock.now();
        String device = "m" + alarm / indications;
        engine.inputs()
                .offer(new StationInput.Observed(new Decoded(
                        device,
                        "status",
                        List.of(),
                        List.of(Indication.of(new SignalId(device, "sign-" + alarm % indications), holds, now)),
                        List.of(),
                        now)));
    }

    private void read(int of, double base) {
        Moment now = clock.now();
        String device = "m" + of;
        List<Reading> readings = new ArrayList<>();
        for (int p = 0; p < points; p++) {
            readings.add(new Reading(new SignalId(device, "point-" + p), base + p, null, QualityReason.NONE, now));
        }
        List<Indication> signs = new ArrayList<>();
        for (int i = 0; i < indications; i++) {
            signs.add(Indication.of(new SignalId(device, "sign-" + i), false, now));
        }
        engine.inputs()
                .offer(new StationInput.Observed(new Decoded(device, "status", readings, signs, List.of(), now)));
    }

    // ---- the station

    private StationModel model() {
        List<DeviceKind.Point> of = new ArrayList<>();
        List<DeviceKind.NamedIndication> signs = new ArrayList<>();
        List<String> signals = new ArrayList<>();
        for (int p = 0; p < points; p++) {
            of.add(new DeviceKind.Point(
                    "point-" + p,
                    "point " + p,
                    "degC",
                    "",
                    new DeviceKind.Range(-40, 140),
                    Duration.ZERO,
                    Duration.ZERO,
                    null));
            signals.add("point-" + p);
        }
        for (int i = 0; i < indications; i++) {
            signs.add(new DeviceKind.NamedIndication("sign-" + i, "sign " + i, List.of(), false, List.of()));
            signals.add("sign-" + i);
        }
        DeviceKind kind = new DeviceKind(
                "monitor", "invented", of, signs, List.of(new DeviceKind.Block("status", Duration.ZERO, signals)));
        List<StationFacts.Asset> assets = new ArrayList<>();
        List<StationFacts.Device> monitors = new ArrayList<>();
        List<RuleInstance> rules = new ArrayList<>();
        for (int d = 0; d < devices; d++) {
            if (d % 10 == 0) {
                assets.add(new StationFacts.Asset("t" + d / 10, "Transformer " + d / 10, "transformer"));
            }
            StationFacts.Asset asset = assets.get(assets.size() - 1);
            StationFacts.Device monitor = new StationFacts.Device("m" + d, "monitor " + d, asset.id(), kind, List.of());
            monitors.add(monitor);
            signs.forEach(sign -> rules.add(rule(asset, monitor, sign.name())));
        }
        return new StationModel(
                new StationFacts("windlow", "Windlow", "windlow-gw", assets, monitors),
                rules,
                StationModel.Settings.DEFAULT,
                "");
    }

    private static RuleInstance rule(StationFacts.Asset asset, StationFacts.Device device, String indication) {
        Condition condition = new Condition.IndicationIs(new Condition.SignalName(null, indication), true);
        AlarmRule rule = new AlarmRule(
                indication,
                new Scope.NamedDevices(List.of(device.id())),
                "a sign of the {device}",
                "",
                condition,
                null,
                new Rationalization(
                        AlarmClass.INSTRUMENT_DIAGNOSTIC,
                        Priority.MINOR,
                        Trouble.MONITOR,
                        List.of(),
                        "",
                        "",
                        "",
                        null,
                        "",
                        "",
                        false,
                        "",
                        "",
                        "",
                        "",
                        ""),
                new AlarmRule.Behaviour(null, null, null, null, null, null, null, null, null, null),
                List.of(),
                List.of(),
                List.of(),
                path -> new Position("windlow/rules.yaml", 1, 1));
        return new RuleInstance(
                new AlarmId(asset.id(), device.id() + "." + indication),
                rule,
                asset,
                device,
                condition,
                List.of(new SignalId(device.id(), indication)),
                new AlarmPolicy(
                        AlarmClass.INSTRUMENT_DIAGNOSTIC,
                        Priority.MINOR,
                        Duration.ZERO,
                        Duration.ZERO,
                        1,
                        1,
                        false,
                        Acknowledgement.BY_PERSON,
                        Duration.ZERO,
                        true,
                        Duration.ofHours(8),
                        true),
                List.of(),
                "",
                List.of());
    }
}
