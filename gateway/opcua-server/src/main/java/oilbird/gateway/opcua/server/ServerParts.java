package oilbird.gateway.opcua.server;

import java.nio.file.Path;
import java.util.concurrent.CompletableFuture;
import java.util.function.Supplier;
import oilbird.alarm.station.StationView;
import oilbird.gateway.access.Access;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.opcua.server.event.EventSide;
import oilbird.gateway.station.Station;

/**
 * What the server needs of the gateway around it.
 *
 * @param data folder of the gateway.
 * @param access complete once the gateway knows who may do what.
 * @param view the newest committed picture of the station.
 * @param events makes whoever raises events, each time the server starts.
 */
public record ServerParts(
        Station station,
        Path data,
        CompletableFuture<Access> access,
        Supplier<StationView> view,
        GatewayClock clock,
        Events events) {
    /** Makes whoever raises events; called when the nodes of the server are there, before it takes connections. */
    @FunctionalInterface
    public interface Events {
        EventSide of(ServerContext server);
    }
}
