package oilbird.gateway.mqtt;

import io.vertx.core.Vertx;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Objects;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.function.Supplier;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationView;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.gateway.mqtt.Broker.Arrival;
import oilbird.gateway.points.ControlPoint;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.points.PointList;
import oilbird.gateway.points.PointSubject;
import oilbird.gateway.points.PointType;
import oilbird.gateway.points.Summary;
import oilbird.gateway.station.MqttLinkSettings;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The control room's points over a real broker. */
class MqttPointsTest {
    private static final AlarmId HYDROGEN = new AlarmId("t1", "gas-t1.hydrogen-high");
    private static final String ROOT = "oilbird/windlow/point/";

    @TempDir
    Path folder = Path.of("");

    private final Station station =
            StationFolder.load(Path.of("../../deploy/demo-station")).result().orElseThrow();
    private final SystemGatewayClock clock = new SystemGatewayClock(WallTrust.ordinary());
    private final Vertx vertx = Vertx.vertx();

    @AfterEach
    void stopVertx() throws Exception {
        vertx.close().toCompletionStage().toCompletableFuture().get(20, TimeUnit.SECONDS);
    }

    private static final PointList LIST = new PointList(
            "control-room.csv",
            List.of(
                    new ControlPoint(
                            "1011", new PointSubject.OfAlarm(HYDROGEN), PointType.SINGLE_POINT, false, "T1 H2", ""),
                    new ControlPoint(
                            "area#1/+2",
                            new PointSubject.OfSummary("t1", Summary.TRANSFORMER_TROUBLE),
                            PointType.DOUBLE_POINT,
                            true,
                            "T1 TROUBLE",
                            ""),
                    new ControlPoint(
                            "9001", new PointSubject.LifeSign(), PointType.SINGLE_POINT, false, "LIFE SIGN", "")),
            Duration.ofSeconds(1));

    @Test
    void everyPointIsRetainedUnderItsAddressWithTestFlagAndQualityAndTheLifeSignTurns() throws Exception {
        try (Broker broker = new Broker();
                StationEngine engine = StationEngine.open(
                        station.model(), station.model().facts().gateway(), folder, clock, WriterSettings.DEFAULT)) {
            Supplier<StationView> view =
                    () -> Objects.requireNonNull(engine.writer().view());
            engine.addLink(
                    new MqttLink(
                                    new MqttLinkSettings(
                                            "control-room",
                                            "control room",
                                            "127.0.0.1",
                                            broker.port(),
                                            "oilbird/windlow",
                                            "windlow-gw1"),
                                    CompletableFuture.completedFuture(vertx),
                                    new Forms(station.model(), station.owner()),
                                    view,
                                    clock)
                            .serving(new PointFeed(LIST, station.model().facts(), view, clock::now)),
                    LinkRunner.Settings.DEFAULT);
            engine.start();

            broker.awaitRetained(
                    ROOT + "1011", // nothing was read yet
                    a -> a.json().path("form").asText().equals("oilbird.point/1")
                            && !a.json().path("told").asBoolean(true)
                            && a.json().path("quality").asText().equals("bad")
                            && a.json().path("text").asText().equals("T1 H2"));
            broker.awaitRetained(ROOT + "area%231/%2B2", a -> state(a).equals("indeterminate"));

            engine.acts()
                    .act(new StationInput.TestAlarm(
                            HYDROGEN, true, new Actor("A. Tester", "rest"), Duration.ofMinutes(5), clock.now()))
                    .get(20, TimeUnit.SECONDS);
            broker.awaitRetained(ROOT + "1011", a -> a.json().path("test").asBoolean() && state(a).equals("on"));
            broker.awaitRetained(
                    ROOT + "area%231/%2B2", a -> a.json().path("test").asBoolean() && state(a).equals("off"));

            broker.awaitRetained(ROOT + "9001", a -> state(a).equals("on"));
            broker.awaitRetained(ROOT + "9001", a -> state(a).equals("off"));
            broker.awaitRetained(ROOT + "9001", a -> state(a).equals("on"));
        }
    }

    private static String state(Arrival point) {
        return point.json().path("state").asText();
    }
}
