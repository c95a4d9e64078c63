package oilbird.gateway.app.wiring;

import io.vertx.core.Vertx;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.record.RecordFormatException;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.gateway.modbus.DeviceSession;
import oilbird.gateway.modbus.DeviceStatus;
import oilbird.gateway.modbus.ModbusPoller;
import oilbird.gateway.modbus.Notice;
import oilbird.gateway.modbus.PollerSettings;
import oilbird.gateway.mqtt.MqttLink;
import oilbird.gateway.station.MqttLinkSettings;
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
    private static final Logger LOG = Logger.getLogger(Gateway.class);

    /** Started before the web server by the process's main; taken over by the application. */
    private static volatile @Nullable Gateway started;

    private final Station station;
    private final GatewayClock clock;
    private final StationEngine engine;
    private final ModbusPoller poller;
    private final Forms forms;
    private final Present present;
    private final CompletableFuture<Vertx> vertx;
    private final RulesDesk rules;

    private Gateway(
            Station station,
            GatewayClock clock,
            StationEngine engine,
            ModbusPoller poller,
            Forms forms,
            Present present,
            CompletableFuture<Vertx> vertx,
            RulesDesk rules) {
        this.rules = rules;
        this.station = station;
        this.clock = clock;
        this.engine = engine;
        this.poller = poller;
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
        GatewayClock clock = new SystemGatewayClock(settings.clockRate(), WallTrust.ordinary());
        String id = station.model().facts().gateway();
        StationEngine engine = StationEngine.open(station.model(), id, settings.data(), clock, WriterSettings.DEFAULT);
        Forms forms = new Forms(station.model(), station.owner());
        Present present = new Present(engine.writer(), engine.recovered().nextPosition() - 1);
        engine.writer().onCommitted(present);
        CompletableFuture<Vertx> vertx = new CompletableFuture<>();
        for (MqttLinkSettings link : station.links()) {
            engine.addLink(
                    new MqttLink(link, vertx, forms, present::committedView, clock), LinkRunner.Settings.DEFAULT);
        }
        ModbusPoller poller = new ModbusPoller(
                station.devices().stream()
                        .filter(device -> !(device.endpoint() instanceof OpcUaEndpoint))
                        .map(Gateway::session)
                        .toList(),
                engine.inputs(),
                clock,
                PollerSettings.standard(id.hashCode()),
                Gateway::log);
        engine.start();
        poller.start();
        LOG.infof(
                "GW-1001 station %s: polling %d devices, %d alarms, start number %d",
                station.model().facts().name(),
                station.devices().size(),
                station.model().rules().size(),
                engine.incarnation().number());
        RulesDesk rules = new RulesDesk(
                settings.station(), new RuleVersions(settings.data()), engine.acts(), clock, station.model());
        return new Gateway(station, clock, engine, poller, forms, present, vertx, rules);
    }

    private static DeviceSession session(PolledDevice device) {
        Decoder decoder = new Decoder(device.map());
        return new DeviceSession(
                device.id(),
                device.endpoint(),
                device.map().readPlan(),
                device.periods(),
                (block, at) -> decoder.decode(device.id(), block, at),
                device.map().identification());
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

    public List<DeviceStatus> polling() {
        return poller.status();
    }

    public Forms forms() {
        return forms;
    }

    public RulesDesk rules() {
        return rules;
    }

    public Present present() {
        return present;
    }

    /** Ends polling, tells the links good-bye, and commits what waits. */
    @Override
    public void close() {
        vertx.cancel(false);
        poller.close();
        engine.close();
        LOG.info("GW-1002 stopped");
    }
}
