package oilbird.gateway.opcua.server.condition;

import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.concurrent.ExecutionException;
import java.util.function.Function;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationView;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.AccessRules;
import oilbird.gateway.access.AccountStore;
import oilbird.gateway.access.Accounts;
import oilbird.gateway.access.PasswordHash;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.gateway.opcua.server.ServerRig;
import oilbird.gateway.opcua.server.space.Names;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.gateway.station.OpcUaServerLinkSettings;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.stack.core.UaException;

/** A station with its real record, writer and outbox and the real server on it; people are invented. */
final class Bench implements AutoCloseable {
    static final String PASSWORD = "correct horse battery";
    static final Path STATION = Path.of("src/test/resources/bench-station");
    static final String DEVICE = "bench-t1";
    private static final Map<String, Double> NORMAL =
            Map.of("level-one", 10.0, "level-two", 90.0, "level-three", 10.0, "sample-a", 30.0, "sample-b", 30.0);

    final Station station;
    final StationEngine engine;
    final SystemGatewayClock clock;
    final int port;
    private final Access access;

    Bench(Path data) throws Exception {
        this(STATION, data, true);
    }

    /**
     * @param normal whether all devices answer at once that nothing is the matter.
     */
    Bench(Path folder, Path data, boolean normal) throws Exception {
        var loaded = StationFolder.load(folder);
        station = loaded.result()
                .orElseThrow(
                        () -> new IllegalArgumentException(loaded.problems().toString()));
        clock = new SystemGatewayClock(WallTrust.ordinary());
        engine = StationEngine.open(
                station.model(), station.model().facts().gateway(), data, clock, WriterSettings.DEFAULT);
        AccountStore store = new AccountStore(data);
        access = new Access(
                store,
                AccessRules.DEFAULT,
                System::nanoTime,
                Instant::now,
                (kind, about, by, address, text, times) -> {});
        for (String role : List.of("viewer", "operator", "engineer")) {
            if (!store.read().result().orElseThrow().users().containsKey(role)) {
                store.change(a -> a.add(
                        role,
                        role,
                        PasswordHash.of(PASSWORD),
                        false,
                        Kind.USER_ADDED,
                        new Accounts.Hand(new Actor("tester", "test"), "", Instant.now())));
            }
        }
        access.refresh();
        port = ServerRig.freePort();
        OpcUaServerLinkSettings settings = new OpcUaServerLinkSettings(
                "room",
                "control room",
                "127.0.0.1",
                port,
                List.of("127.0.0.1"),
                List.of(OpcUaEndpoint.Security.BASIC256SHA256, OpcUaEndpoint.Security.AES256_SHA256_RSAPSS),
                true,
                "closed network of a test",
                false,
                OpcUaServerLinkSettings.Limits.DEFAULT);
        ServerRig.starts(engine, ServerRig.link(settings, station, data, engine, access, clock));
        if (normal) {
            station.devices().forEach(device -> answersAsNormal(device.id()));
        }
    }

    /** Every block of a device as it is on a normal day. */
    void answersAsNormal(String device) {
        Moment now = clock.now();
        station.model()
                .facts()
                .device(device)
                .orElseThrow()
                .kind()
                .blocks()
                .forEach(block -> engine.inputs()
                        .offer(new StationInput.Observed(new Decoded(
                                device,
                                block.name(),
                                block.signals().stream()
                                        .filter(NORMAL::containsKey)
                                        .map(name -> new Reading(
                                                new SignalId(device, name),
                                                NORMAL.get(name),
                                                null,
                                                QualityReason.NONE,
                                                now))
                                        .toList(),
                                block.signals().stream()
                                        .filter(name -> name.startsWith("sign-"))
                                        .map(name -> Indication.of(new SignalId(device, name), false, now))
                                        .toList(),
                                List.of(),
                                now))));
    }

    /** As a client finds them in the namespaces that the server tells. */
    Names names(OpcUaClient client) throws UaException {
        client.readNamespaceTable();
        return Names.of(client.getNamespaceTable(), station.model().facts().id());
    }

    String url() {
        return "opc.tcp://127.0.0.1:" + port + "/oilbird";
    }

    StationView view() {
        return ServerRig.view(engine, clock);
    }

    AlarmId alarm(String rule) {
        return alarm(DEVICE, rule);
    }

    AlarmId alarm(String device, String rule) {
        return new AlarmId(device.substring(device.indexOf('-') + 1), device + "." + rule);
    }

    /** The indication that a rule of the bench watches. */
    String signOf(String rule) {
        return station.model().rules().stream()
                .filter(r -> r.id().equals(alarm(rule)))
                .findFirst()
                .orElseThrow()
                .inputs()
                .get(0)
                .name();
    }

    /** Makes the sign of a rule hold, or not, as its poller would. */
    void sign(String rule, boolean holds) {
        indication(DEVICE, signOf(rule), holds);
    }

    void indication(String device, String indication, boolean holds) {
        Moment now = clock.now();
        offer(device, List.of(), List.of(Indication.of(new SignalId(device, indication), holds, now)), now);
    }

    /** The sign of a rule cannot be told. */
    void untellable(String rule) {
        Moment now = clock.now();
        offer(
                DEVICE,
                List.of(),
                List.of(Indication.cannotBeTold(new SignalId(DEVICE, signOf(rule)), QualityReason.INVALID_ANSWER, now)),
                now);
    }

    void reads(String point, double value) {
        Moment now = clock.now();
        offer(
                DEVICE,
                List.of(new Reading(new SignalId(DEVICE, point), value, null, QualityReason.NONE, now)),
                List.of(),
                now);
    }

    void offer(String device, List<Reading> readings, List<Indication> indications, Moment at) {
        List<String> signals = new ArrayList<>();
        readings.forEach(r -> signals.add(r.id().name()));
        indications.forEach(i -> signals.add(i.id().name()));
        String block = station.model().facts().device(device).orElseThrow().kind().blocks().stream()
                .filter(b -> b.signals().containsAll(signals))
                .findFirst()
                .orElseThrow()
                .name();
        engine.inputs()
                .offer(new StationInput.Observed(new Decoded(device, block, readings, indications, List.of(), at)));
    }

    /** A human act at another door than OPC UA. */
    ActResult actsOnThePage(AlarmId alarm, Function<Actor, AlarmInput.Act> act)
            throws ExecutionException, InterruptedException {
        return engine.acts()
                .act(new StationInput.Act(alarm, act.apply(new Actor("p.page", "page"))))
                .get();
    }

    @Override
    public void close() {
        engine.close();
        access.close();
    }
}
