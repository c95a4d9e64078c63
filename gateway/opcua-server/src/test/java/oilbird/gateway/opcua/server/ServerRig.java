package oilbird.gateway.opcua.server;

import static org.awaitility.Awaitility.await;

import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.function.Consumer;
import java.util.function.Supplier;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent.Accessed.Kind;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationView;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.AccessRules;
import oilbird.gateway.access.AccountStore;
import oilbird.gateway.access.Accounts;
import oilbird.gateway.access.PasswordHash;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.outbox.LinkState;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.points.PointList;
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
import oilbird.mapping.signal.StatusWordValue;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.OpcUaClientConfigBuilder;
import org.eclipse.milo.opcua.sdk.client.identity.AnonymousProvider;
import org.eclipse.milo.opcua.sdk.client.identity.IdentityProvider;
import org.eclipse.milo.opcua.sdk.client.identity.UsernameProvider;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MessageSecurityMode;
import org.eclipse.milo.opcua.stack.core.types.structured.EndpointDescription;

/** The demo station with its real record and writer, an OPC UA server on it, and accounts of invented people. */
public final class ServerRig implements AutoCloseable {
    public static final String PASSWORD = "correct horse battery";
    public static final String VIEWER = "v.viewer";
    public static final String OPERATOR = "o.operator";
    private static final Path DEMO = Path.of("../../deploy/demo-station");

    /** What was recorded of access. */
    public record Told(Kind kind, String about, String address, String text) {}

    public final Station station;
    public final StationEngine engine;
    public final SystemGatewayClock clock;
    public final AccountStore store;
    public final Access access;
    public final List<Told> told = new CopyOnWriteArrayList<>();
    public final OpcUaServerLinkSettings settings;
    public final OpcUaServerLink link;
    private final Path data;

    public ServerRig(Path data) throws Exception {
        this(data, plain(freePort()));
    }

    public ServerRig(Path data, OpcUaServerLinkSettings settings) throws Exception {
        this.data = data;
        this.settings = settings;
        station = StationFolder.load(DEMO).result().orElseThrow();
        clock = new SystemGatewayClock(WallTrust.ordinary());
        engine = StationEngine.open(
                station.model(), station.model().facts().gateway(), data, clock, WriterSettings.DEFAULT);
        store = new AccountStore(data);
        access = new Access(
                store,
                AccessRules.DEFAULT,
                System::nanoTime,
                Instant::now,
                (kind, about, by, address, text, times) -> told.add(new Told(kind, about, address, text)));
        user(VIEWER, "viewer");
        user(OPERATOR, "operator");
        link = link(settings, station, data, engine, access, clock);
        starts(engine, link);
    }

    /** The link to be put beside an engine, with the default points. */
    public static OpcUaServerLink link(
            OpcUaServerLinkSettings settings,
            Station station,
            Path data,
            StationEngine engine,
            Access access,
            GatewayClock clock) {
        Supplier<StationView> view = () -> view(engine, clock);
        return new OpcUaServerLink(
                settings,
                new ServerParts(
                        station,
                        data,
                        CompletableFuture.completedFuture(access),
                        view,
                        view,
                        engine.acts(),
                        new Forms(station.model(), station.owner()),
                        ServerParts.past(engine.record()),
                        new PointFeed(
                                PointList.byDefault(station.model().facts()),
                                station.model().facts(),
                                view,
                                clock::now),
                        clock));
    }

    /** Starts the engine with the link, and waits until the server runs. */
    public static void starts(StationEngine engine, OpcUaServerLink link) {
        engine.addLink(link, LinkRunner.Settings.DEFAULT);
        engine.start();
        await("the server runs")
                .atMost(Duration.ofSeconds(60))
                .until(() -> engine.links().get(0).condition() == LinkState.Condition.UP);
    }

    /** The newest picture, or an empty one before the first. */
    public static StationView view(StationEngine engine, GatewayClock clock) {
        StationView view = engine.writer().view();
        return view == null
                ? new StationView(
                        clock.now(), new LinkedHashMap<>(), new LinkedHashMap<>(), new StationView.Flood(false, 0))
                : view;
    }

    /** Without security and with it, on this machine alone. */
    public static OpcUaServerLinkSettings plain(int port) {
        return settings(port, "closed network of a test", true, OpcUaServerLinkSettings.Limits.DEFAULT);
    }

    public static OpcUaServerLinkSettings settings(
            int port,
            @org.jspecify.annotations.Nullable String unsecured,
            boolean anonymous,
            OpcUaServerLinkSettings.Limits limits) {
        return new OpcUaServerLinkSettings(
                "room",
                "control room",
                "127.0.0.1",
                port,
                List.of("127.0.0.1"),
                List.of(
                        OpcUaEndpoint.Security.BASIC256SHA256,
                        OpcUaEndpoint.Security.AES128_SHA256_RSAOAEP,
                        OpcUaEndpoint.Security.AES256_SHA256_RSAPSS),
                true,
                unsecured,
                anonymous,
                limits);
    }

    public static int freePort() throws IOException {
        try (ServerSocket socket = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            return socket.getLocalPort();
        }
    }

    public StationView view() {
        return view(engine, clock);
    }

    public void user(String name, String role) throws IOException {
        store.change(a -> a.add(name, role, PasswordHash.of(PASSWORD), false, Kind.USER_ADDED, hand()));
        access.refresh();
    }

    public static Accounts.Hand hand() {
        return new Accounts.Hand(new Actor("tester", "test"), "", Instant.now());
    }

    public Moment now() {
        return clock.now();
    }

    public String url() {
        return "opc.tcp://127.0.0.1:" + settings.port() + Endpoints.PATH;
    }

    /** One reading of a device as its poller would offer it. */
    public void reads(String device, String point, double value, QualityReason reason) {
        Moment now = now();
        engine.inputs()
                .offer(new StationInput.Observed(new Decoded(
                        device,
                        blockOf(device, point),
                        List.of(new Reading(new SignalId(device, point), value, null, reason, now)),
                        List.of(),
                        List.of(),
                        now)));
    }

    /** One indication of a device as its poller would offer it. */
    public void tells(String device, String indication, boolean holds) {
        Moment now = now();
        engine.inputs()
                .offer(new StationInput.Observed(new Decoded(
                        device,
                        blockOf(device, indication),
                        List.of(),
                        List.of(Indication.of(new SignalId(device, indication), holds, now)),
                        List.of(),
                        now)));
    }

    /** A status word of a device as its poller would offer it. */
    public void word(String device, String word, long bits, int width, String besides) {
        Moment now = now();
        engine.inputs()
                .offer(new StationInput.Observed(new Decoded(
                        device,
                        blockOf(device, besides),
                        List.of(),
                        List.of(),
                        List.of(new StatusWordValue(new SignalId(device, word), bits, width, 0, now)),
                        now)));
    }

    private String blockOf(String device, String signal) {
        return station.model().facts().device(device).orElseThrow().kind().blocks().stream()
                .filter(block -> block.signals().contains(signal))
                .findFirst()
                .orElseThrow()
                .name();
    }

    /** A client without security that names nobody. */
    public OpcUaClient anonymous() throws Exception {
        return client(SecurityPolicy.None, MessageSecurityMode.None, AnonymousProvider.INSTANCE, config -> {});
    }

    /** A client without security that signs in. */
    public OpcUaClient as(String user) throws Exception {
        return client(
                SecurityPolicy.None, MessageSecurityMode.None, new UsernameProvider(user, PASSWORD), config -> {});
    }

    public OpcUaClient client(
            SecurityPolicy policy,
            MessageSecurityMode mode,
            IdentityProvider identity,
            Consumer<OpcUaClientConfigBuilder> more)
            throws Exception {
        OpcUaClient client = OpcUaClient.create(
                url(),
                offered -> offered.stream().filter(e -> is(e, policy, mode)).findFirst(),
                transport -> {},
                config -> {
                    config.setIdentityProvider(identity);
                    more.accept(config);
                });
        client.connect();
        return client;
    }

    private static boolean is(EndpointDescription endpoint, SecurityPolicy policy, MessageSecurityMode mode) {
        return policy.getUri().equals(endpoint.getSecurityPolicyUri()) && endpoint.getSecurityMode() == mode;
    }

    public Path data() {
        return data;
    }

    @Override
    public void close() {
        engine.close();
        access.close();
    }
}
