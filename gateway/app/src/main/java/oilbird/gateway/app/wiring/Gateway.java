package oilbird.gateway.app.wiring;

import io.vertx.core.Vertx;
import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import oilbird.alarm.station.Standing;
import oilbird.gateway.access.Access;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.clock.FastTime;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.poll.Notice;
import oilbird.gateway.engine.poll.Waits;
import oilbird.gateway.engine.record.RecordFormatException;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.gateway.modbus.DeviceSession;
import oilbird.gateway.modbus.DeviceStatus;
import oilbird.gateway.modbus.LineStatus;
import oilbird.gateway.modbus.ModbusPoller;
import oilbird.gateway.modbus.PollerSettings;
import oilbird.gateway.opcua.OpcUaDevice;
import oilbird.gateway.opcua.OpcUaPoller;
import oilbird.gateway.opcua.ServerStatus;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.gateway.station.PolledDevice;
import oilbird.gateway.station.RuleVersions;
import oilbird.gateway.station.Station;
import oilbird.mapping.decode.Decoder;
import org.jboss.logging.Logger;
import org.jspecify.annotations.Nullable;

/**
 * Everything of one station that runs, from the poller to the links. Polling begins at once; the links wait until
 * the web server has given them its event loop.
 */
public final class Gateway implements AutoCloseable {
    private static final Duration SHORTEST_WAIT = Duration.ofMillis(200);
    private static final Logger LOG = Logger.getLogger(Gateway.class);

    /** Started before the web server by the process's main; taken over by the application. */
    private static volatile @Nullable Gateway started;

    private final Station station;
    private final GatewayClock clock;
    private final StationEngine engine;
    private final ModbusPoller poller;
    private final OpcUaPoller servers;
    private final Forms forms;
    private final Present present;
    private final CompletableFuture<Vertx> vertx;
    private final RulesDesk rules;
    private final AccessDesk access;
    private final Map<String, PointFeed> points;

    private Gateway(
            Station station,
            GatewayClock clock,
            StationEngine engine,
            ModbusPoller poller,
            OpcUaPoller servers,
            Forms forms,
            Present present,
            CompletableFuture<Vertx> vertx,
            RulesDesk rules,
            AccessDesk access,
            Map<String, PointFeed> points) {
        this.points = points;
        this.rules = rules;
        this.access = access;
        this.station = station;
        this.clock = clock;
        this.engine = engine;
        this.poller = poller;
        this.servers = servers;
        this.forms = forms;
        this.present = present;
        this.vertx = vertx;
    }

    /**
     * Opens the record, restores the alarms and starts polling.
     *
     * @throws RecordFormatException if a newer version of the program wrote the event record.
     */
    public static Gateway start(Station station, GatewaySettings settings) throws RecordFormatException {
        FastTime fast = settings.fast();
        GatewayClock clock = fast == null
                ? new SystemGatewayClock(WallTrust.ordinary())
                : new SystemGatewayClock(fast, WallTrust.ordinary());
        double rate = clock.rate();
        String id = station.model().facts().gateway();
        StationEngine engine = StationEngine.open(
                station.model(), id, settings.data(), clock, WriterSettings.DEFAULT, station.record());
        Forms forms = new Forms(station.model(), station.owner());
        Present present = new Present(engine.writer(), engine.recovered().nextPosition() - 1);
        engine.writer().onCommitted(present);
        CompletableFuture<Vertx> vertx = new CompletableFuture<>();
        CompletableFuture<Access> known = new CompletableFuture<>();
        Map<String, PointFeed> points =
                new Links(station, settings.data(), engine, forms, present, clock, vertx, known).add();
        ModbusPoller poller = new ModbusPoller(
                station.devices().stream()
                        .filter(device -> !(device.endpoint() instanceof OpcUaEndpoint))
                        .map(device -> session(device, rate))
                        .toList(),
                engine.inputs(),
                clock,
                PollerSettings.standard(id.hashCode()).faster(rate),
                Gateway::log);
        OpcUaPoller servers = new OpcUaPoller(
                station.devices().stream()
                        .filter(device -> device.endpoint() instanceof OpcUaEndpoint)
                        .map(device -> server(device, (OpcUaEndpoint) device.endpoint(), rate))
                        .toList(),
                settings.data(),
                id,
                engine.inputs(),
                clock,
                Waits.standard(id.hashCode()).faster(rate),
                LOG::info);
        poller.release(released(engine.recovered().past().standing()));
        engine.writer().onView(view -> poller.release(released(view.standing())));
        engine.start();
        poller.start();
        servers.start();
        AccessDesk access = AccessDesk.start(settings.data(), station.access(), engine, clock);
        known.complete(access.access());
        LOG.infof(
                "GW-1001 station %s: polling %d devices, %d alarms, start number %d",
                station.model().facts().name(),
                station.devices().size(),
                station.model().rules().size(),
                engine.incarnation().number());
        RulesDesk rules =
                new RulesDesk(settings.station(), station, new RuleVersions(settings.data()), engine.acts(), clock);
        return new Gateway(station, clock, engine, poller, servers, forms, present, vertx, rules, access, points);
    }

    private static DeviceSession session(PolledDevice device, double rate) {
        Decoder decoder = new Decoder(device.map());
        return new DeviceSession(
                device.id(),
                device.endpoint(),
                device.map().readPlan(),
                onTheMachine(device.periods(), rate),
                (block, at) -> decoder.decode(device.id(), block, at),
                device.map().identification());
    }

    private static OpcUaDevice server(PolledDevice device, OpcUaEndpoint endpoint, double rate) {
        Decoder decoder = new Decoder(device.map());
        return new OpcUaDevice(
                device.id(),
                endpoint,
                Objects.requireNonNull(device.map().nodes(), device.id()),
                onTheMachine(device.periods(), rate),
                (snapshot, at) -> decoder.decode(device.id(), snapshot, at),
                device.map().identification());
    }

    /** Polling periods are in the gateway's time, and the pollers wait on the machine's clock. */
    private static Map<String, Duration> onTheMachine(Map<String, Duration> periods, double rate) {
        Map<String, Duration> waits = new LinkedHashMap<>();
        periods.forEach((pollClass, period) -> waits.put(pollClass, Waits.onTheMachine(period, rate, SHORTEST_WAIT)));
        return waits;
    }

    private static void log(Notice notice) {
        LOG.info(notice);
    }

    /** Leaves the gateway for the application that starts next in this process. */
    public void handOver() {
        started = this;
    }

    /** The gateway that the process's main has started, or null. */
    public static @Nullable Gateway handedOver() {
        return started;
    }

    /** The links may connect now. */
    public void connectLinks(Vertx of) {
        vertx.complete(of);
    }

    public Station station() {
        return station;
    }

    public GatewayClock clock() {
        return clock;
    }

    public StationEngine engine() {
        return engine;
    }

    /** One entry a serial line. */
    public List<LineStatus> lines() {
        return poller.lines();
    }

    private static List<String> released(Standing standing) {
        return standing.releases().stream().flatMap(r -> r.devices().stream()).toList();
    }

    public List<DeviceStatus> polling() {
        return poller.status();
    }

    public List<ServerStatus> following() {
        return servers.status();
    }

    public Forms forms() {
        return forms;
    }

    public RulesDesk rules() {
        return rules;
    }

    /** The points of a link as they are now; empty if the station has no such link. */
    public Optional<PointFeed> pointsOf(String link) {
        return Optional.ofNullable(points.get(link));
    }

    /** Who may do what. */
    public Access access() {
        return access.access();
    }

    public Present present() {
        return present;
    }

    /** Ends polling, tells the links good-bye, and commits what waits. */
    @Override
    public void close() {
        vertx.cancel(false);
        poller.close();
        servers.close();
        access.close();
        engine.close();
        LOG.info("GW-1002 stopped");
    }
}
