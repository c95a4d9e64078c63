package oilbird.gateway.app.wiring;

import io.vertx.core.Vertx;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.concurrent.CompletableFuture;
import oilbird.gateway.access.Access;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.outbox.Link;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.mqtt.MqttLink;
import oilbird.gateway.opcua.server.OpcUaServerLink;
import oilbird.gateway.opcua.server.ServerParts;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.station.LinkManner;
import oilbird.gateway.station.LinkSettings;
import oilbird.gateway.station.MqttLinkSettings;
import oilbird.gateway.station.OpcUaServerLinkSettings;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.WebhookLinkSettings;
import oilbird.gateway.webhook.WebhookLink;

/**
 * Makes the links that a station file defines: one branch of {@link #made} for each kind.
 *
 * @param data folder of the gateway.
 * @param vertx complete once the web server has given its event loop.
 * @param access complete once the gateway knows who may do what.
 */
record Links(
        Station station,
        Path data,
        StationEngine engine,
        Forms forms,
        Present present,
        GatewayClock clock,
        CompletableFuture<Vertx> vertx,
        CompletableFuture<Access> access) {
    /** Adds all of them to the engine, and returns the points of each by its id. */
    Map<String, PointFeed> add() {
        Map<String, PointFeed> points = new LinkedHashMap<>();
        for (LinkSettings link : station.links()) {
            PointFeed feed = new PointFeed(
                    station.pointsOf(link.id()), station.model().facts(), present::committedView, clock::now);
            points.put(link.id(), feed);
            LinkManner manner = station.manner(link.id());
            LinkRunner.Settings running = link instanceof WebhookLinkSettings webhook
                    ? WebhookLink.running(webhook)
                    : LinkRunner.Settings.DEFAULT;
            engine.addLink(made(link, manner, feed), running, manner.only(), manner.bytesADay());
        }
        return points;
    }

    private Link made(LinkSettings link, LinkManner manner, PointFeed points) {
        if (link instanceof MqttLinkSettings mqtt) {
            MqttLink toBroker =
                    new MqttLink(mqtt, vertx, forms, present::committedView, clock, manner.message(), manner.only());
            return station.points().containsKey(link.id()) ? toBroker.serving(points) : toBroker;
        }
        if (link instanceof WebhookLinkSettings webhook) {
            return new WebhookLink(
                    webhook, data.resolve("secrets"), vertx, forms, present::committedView, clock, manner.message());
        }
        if (link instanceof OpcUaServerLinkSettings server) {
            return new OpcUaServerLink(
                    server,
                    new ServerParts(
                            station,
                            data,
                            access,
                            present::committedView,
                            present::view,
                            engine.acts(),
                            forms,
                            ServerParts.past(engine.record()),
                            points,
                            clock));
        }
        throw new IllegalStateException("nothing makes links of the kind " + link.kind());
    }
}
