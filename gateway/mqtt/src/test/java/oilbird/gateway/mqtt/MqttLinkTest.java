package oilbird.gateway.mqtt;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.MissingNode;
import io.vertx.core.Vertx;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.LongAdder;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.LinkFilter;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.outbox.LinkState;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.gateway.engine.writer.StationEngine;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.gateway.mqtt.Broker.Arrival;
import oilbird.gateway.station.MqttLinkSettings;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The whole way from the engine to a real broker that comes and goes. */
class MqttLinkTest {
    private static final Duration SOON = Duration.ofSeconds(40);
    private static final Actor OPERATOR = new Actor("A. Tester", "rest");
    private static final LinkRunner.Settings QUICK = new LinkRunner.Settings(
            64, Duration.ofSeconds(10), Duration.ofMillis(50), Duration.ofMillis(500), Duration.ofMillis(200));

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

    private StationEngine engine(int port) throws Exception {
        return engine(port, Duration.ZERO);
    }

    private StationEngine engine(int port, Duration readingsEvery) throws Exception {
        return engine(port, readingsEvery, 0);
    }

    private StationEngine engine(int port, Duration readingsEvery, long bytesADay) throws Exception {
        StationEngine engine = StationEngine.open(
                station.model(), station.model().facts().gateway(), folder, clock, WriterSettings.DEFAULT);
        engine.addLink(
                new MqttLink(
                        new MqttLinkSettings(
                                "control-room",
                                "control room",
                                "127.0.0.1",
                                port,
                                "oilbird/windlow",
                                "windlow-gw1",
                                readingsEvery),
                        CompletableFuture.completedFuture(vertx),
                        new Forms(station.model(), station.owner()),
                        () -> Objects.requireNonNull(engine.writer().view()),
                        clock),
                QUICK,
                LinkFilter.NONE,
                bytesADay);
        engine.start();
        return engine;
    }

    private static final SignalId OIL_FLOW = new SignalId("gas-t1", "oil-flow");

    /** One answer of the gas monitor, as its poller would give it. */
    private void flow(StationEngine engine, double litresPerMinute) {
        StationFacts.Device device = station.model().facts().device("gas-t1").orElseThrow();
        String block = device.kind().blocks().stream()
                .filter(b -> b.signals().contains(OIL_FLOW.name()))
                .map(DeviceKind.Block::name)
                .findFirst()
                .orElseThrow();
        Moment now = clock.now();
        engine.inputs()
                .offer(new StationInput.Observed(new Decoded(
                        "gas-t1",
                        block,
                        List.of(new Reading(OIL_FLOW, litresPerMinute, null, QualityReason.NONE, now)),
                        List.of(),
                        List.of(),
                        now)));
    }

    private static JsonNode oilFlow(Arrival readings) {
        for (JsonNode reading : readings.json().path("readings")) {
            if (reading.path("reading").asText().equals(OIL_FLOW.toString())) {
                return reading;
            }
        }
        return MissingNode.getInstance();
    }

    @Test
    void readingsGoOutWithQualityAndTimesWhenTheyChangeAndNotMoreOftenThanAsked() throws Exception {
        Duration spacing = Duration.ofSeconds(2);
        try (Broker broker = new Broker();
                StationEngine engine = engine(broker.port(), spacing)) {
            String topic = "oilbird/windlow/readings/gas-t1";
            broker.awaitRetained(topic, a -> oilFlow(a).path("reason").asText().equals("not-yet-read"));
            long began = System.nanoTime();
            for (int i = 1; i <= 40; i++) {
                flow(engine, i / 100.0);
            }
            broker.awaitRetained(
                    topic,
                    a -> a.text("form").equals("oilbird.readings/1")
                            && oilFlow(a).path("value").asDouble() == 0.4
                            && oilFlow(a).path("quality").asText().equals("good")
                            && oilFlow(a).path("unit").asText().equals("l/min")
                            && !oilFlow(a).path("at").asText().isEmpty());
            ask(
                    engine,
                    new StationInput.BeginMaintenance(
                            "gas-t1", OPERATOR, "pump change", "W-12", Duration.ofHours(2), clock.now()));
            broker.awaitRetained(
                    topic,
                    a -> oilFlow(a).path("quality").asText().equals("uncertain")
                            && oilFlow(a).path("reason").asText().equals("in-maintenance"));
            ask(engine, new StationInput.TestReading(OIL_FLOW, 9.5, OPERATOR, Duration.ofMinutes(5), clock.now()));
            broker.awaitRetained(
                    topic,
                    a -> oilFlow(a).path("test").asBoolean()
                            && oilFlow(a).path("value").asDouble() == 9.5);
            double spacings = (System.nanoTime() - began) / (double) spacing.toNanos();
            assertThat(broker.heard("/readings/gas-t1").size())
                    .as("one at the start, then one a spacing at most")
                    .isBetween(4, 2 + (int) Math.ceil(spacings));
        }
    }

    @Test
    void readingsStopAtFourFifthsOfTheBudgetAndEventsGoOnBeyondIt() throws Exception {
        long budget = 120_000;
        try (Broker broker = new Broker();
                StationEngine engine = engine(broker.port(), Duration.ofSeconds(1), budget)) {
            int[] litres = {0};
            Awaitility.await("most of the budget is gone").atMost(SOON).until(() -> {
                flow(engine, ++litres[0]);
                return engine.links().get(0).readingsHeld();
            });
            assertThat(engine.links().get(0).bytesToday()).isGreaterThanOrEqualTo(budget / 5 * 4);
            assertThat(broker.heard("/readings/gas-t1")).isNotEmpty();
            flow(engine, 9_999);
            List<AlarmId> alarms = alarms(3);
            int comments = 0;
            while (engine.links().get(0).bytesToday() < budget) {
                comment(engine, alarms.get(comments % 3), "beyond the budget " + comments++);
                awaitAllConfirmed(engine);
            }
            Awaitility.await("an alarm of the gateway says so")
                    .atMost(SOON)
                    .until(() -> Objects.requireNonNull(
                                    Objects.requireNonNull(engine.writer().view())
                                            .alarms()
                                            .get(new AlarmId("gateway", "gateway.link-budget-used")))
                            .state()
                            .active());
            comment(engine, alarms.get(0), "the last");
            awaitAllConfirmed(engine);
            Awaitility.await("every event arrives")
                    .atMost(SOON)
                    .until(() -> ids(broker).containsAll(recordedAlarmEvents(engine)));
            assertThat(broker.heard("/readings/gas-t1"))
                    .noneMatch(a -> oilFlow(a).path("value").asDouble() == 9_999);
        }
    }

    @Test
    void aLinkThatWasNotAskedForReadingsSendsNone() throws Exception {
        try (Broker broker = new Broker();
                StationEngine engine = engine(broker.port())) {
            flow(engine, 0.5);
            comment(engine, alarms(1).get(0), "afterwards");
            awaitAllConfirmed(engine);
            assertThat(broker.heard("/event")).isNotEmpty();
            assertThat(broker.heard("/readings/gas-t1")).isEmpty();
        }
    }

    private List<AlarmId> alarms(int count) {
        return station.model().rules().stream()
                .map(RuleInstance::id)
                .filter(id -> id.asset().equals("t1"))
                .limit(count)
                .toList();
    }

    /** Each act is one event, durable when this returns. */
    private void act(StationEngine engine, AlarmId alarm, AlarmInput.Act act) {
        assertThat(engine.acts().act(new StationInput.Act(alarm, act)).join()).isInstanceOf(ActResult.Done.class);
    }

    private void comment(StationEngine engine, AlarmId alarm, String text) {
        act(engine, alarm, new AlarmInput.Comment(OPERATOR, text, null, clock.now()));
    }

    private static List<String> recordedAlarmEvents(StationEngine engine) {
        List<String> ids = new ArrayList<>();
        for (RecordedEvent event : engine.record().after(0, 10_000)) {
            if (event.event() instanceof StationEvent.OfAlarm) {
                ids.add(event.event().id().toString());
            }
        }
        return ids;
    }

    private static void awaitAllConfirmed(StationEngine engine) {
        Awaitility.await("everything is confirmed").atMost(SOON).until(() -> {
            LinkState state = engine.links().get(0);
            return state.condition() == LinkState.Condition.UP && state.waiting() == 0;
        });
    }

    private void ask(StationEngine engine, StationInput.Asked asked) {
        assertThat(engine.acts().act(asked).join()).isInstanceOf(ActResult.Done.class);
    }

    @Test
    void maintenanceIsToldAsQualityAndAForcedAlarmGoesOutForcedAndMarked() throws Exception {
        try (Broker broker = new Broker();
                StationEngine engine = engine(broker.port())) {
            AlarmId alarm = new AlarmId("t1", "gas-t1.cabinet-fan-stopped");
            ask(
                    engine,
                    new StationInput.BeginMaintenance(
                            "gas-t1", OPERATOR, "fan change", "W-12", Duration.ofHours(2), clock.now()));
            broker.awaitRetained(
                    topic(alarm),
                    a -> a.text("state").equals("OOSRV")
                            && !a.text("quality").equals("good")
                            && a.json()
                                    .path("maintenance")
                                    .path("permit")
                                    .asText()
                                    .equals("W-12"));

            ask(engine, new StationInput.TestAlarm(alarm, true, OPERATOR, Duration.ofMinutes(5), clock.now()));
            broker.awaitRetained(
                    topic(alarm),
                    a -> a.text("state").equals("UNACK")
                            && a.json().path("active").asBoolean()
                            && a.json().path("test").path("forcedTo").asText().equals("active")
                            && a.text("headline").startsWith("Test: "));
            ask(engine, new StationInput.TestAlarm(alarm, false, OPERATOR, Duration.ofMinutes(5), clock.now()));
            broker.awaitRetained(
                    topic(alarm),
                    a -> a.text("state").equals("NORM")
                            && a.json().path("test").path("forcedTo").asText().equals("normal"));
            ask(engine, new StationInput.EndAlarmTest(alarm, OPERATOR, clock.now()));
            ask(engine, new StationInput.EndMaintenance("gas-t1", OPERATOR, "done", clock.now()));
            broker.awaitRetained(
                    topic(alarm),
                    a -> !a.text("state").equals("OOSRV")
                            && a.json().path("test").isMissingNode()
                            && a.json().path("maintenance").isMissingNode());
            Awaitility.await("the events of the test arrive marked")
                    .atMost(SOON)
                    .until(() -> broker.taken("/event").stream()
                                    .filter(a -> a.json().path("test").asBoolean())
                                    .count()
                            == 2);
        }
    }

    @Test
    void everyEventArrivesOnceInOrderAndTheRetainedStateIsThePresentOne() throws Exception {
        try (Broker broker = new Broker();
                StationEngine engine = engine(broker.port())) {
            List<AlarmId> alarms = alarms(3);
            for (int i = 0; i < 20; i++) {
                comment(engine, alarms.get(i % 3), "comment " + i);
            }
            act(
                    engine,
                    alarms.get(0),
                    new AlarmInput.ShelveTimed(OPERATOR, "trial", Duration.ofMinutes(10), clock.now()));
            awaitAllConfirmed(engine);
            Awaitility.await("all arrive")
                    .atMost(SOON)
                    .until(() -> broker.taken("/event").size()
                            >= recordedAlarmEvents(engine).size());

            assertThat(broker.taken("/event").stream().map(a -> a.text("eventId")))
                    .containsExactlyElementsOf(recordedAlarmEvents(engine));
            assertThat(broker.taken("/event")).noneMatch(Arrival::retained);
            broker.awaitRetained(
                    topic(alarms.get(0)),
                    a -> a.text("form").equals("oilbird.alarm-state/1")
                            && a.text("state").equals("SHLVD")
                            && a.json()
                                    .path("shelved")
                                    .path("by")
                                    .path("name")
                                    .asText()
                                    .equals("A. Tester"));

            act(engine, alarms.get(0), new AlarmInput.Unshelve(OPERATOR, "", clock.now()));
            awaitAllConfirmed(engine);
            // Back to normal is said, not left out.
            broker.awaitRetained(topic(alarms.get(0)), a -> a.text("state").equals("NORM"));
        }
    }

    private static String topic(AlarmId alarm) {
        return "oilbird/windlow/alarm/" + alarm.asset() + "/" + alarm.rule();
    }

    @Test
    void aBrokerThatStopsAndComesBackEmptyGetsEveryEventAndEveryState() throws Exception {
        try (Broker broker = new Broker();
                StationEngine engine = engine(broker.port())) {
            List<AlarmId> alarms = alarms(4);
            comment(engine, alarms.get(0), "before");
            act(engine, alarms.get(3), new AlarmInput.ShelveOneShot(OPERATOR, "before the outage", clock.now()));
            awaitAllConfirmed(engine);

            broker.stop();
            for (int i = 0; i < 300; i++) {
                comment(engine, alarms.get(i % 3), "during the outage " + i);
            }
            act(engine, alarms.get(1), new AlarmInput.ShelveOneShot(OPERATOR, "during the outage", clock.now()));
            long waiting = engine.links().get(0).waiting();
            assertThat(waiting)
                    .as("nothing is confirmed while no broker is there")
                    .isGreaterThanOrEqualTo(301);

            broker.startAgain();
            awaitAllConfirmed(engine);
            comment(engine, alarms.get(2), "after");
            awaitAllConfirmed(engine);
            Awaitility.await("all arrive")
                    .atMost(SOON)
                    .until(() -> ids(broker).containsAll(recordedAlarmEvents(engine)));

            Map<String, List<Long>> positions = new LinkedHashMap<>();
            Set<String> seen = new LinkedHashSet<>();
            for (Arrival arrival : broker.taken("/event")) {
                if (seen.add(arrival.text("eventId"))) {
                    positions
                            .computeIfAbsent(arrival.text("alarm"), a -> new ArrayList<>())
                            .add(arrival.json().path("position").asLong());
                }
            }
            assertThat(seen)
                    .as("each recorded event and no other")
                    .containsExactlyElementsOf(recordedAlarmEvents(engine));
            assertThat(positions.values())
                    .allSatisfy(ofOneAlarm -> assertThat(ofOneAlarm).isSorted());
            // One that changed meanwhile, and one that nothing has happened to since.
            broker.awaitRetained(topic(alarms.get(1)), a -> a.text("state").equals("SHLVD"));
            broker.awaitRetained(topic(alarms.get(3)), a -> a.text("state").equals("SHLVD"));
            broker.awaitRetained(
                    "oilbird/windlow/gateway", a -> a.json().path("online").asBoolean());
        }
    }

    private static List<String> ids(Broker broker) {
        return broker.taken("/event").stream().map(a -> a.text("eventId")).toList();
    }

    @Test
    void nothingElseWaitsForABrokerThatIsNotThere() throws Exception {
        try (Broker broker = new Broker()) {
            int port = broker.port();
            broker.stop();
            try (StationEngine engine = engine(port)) {
                Awaitility.await("the link is known to be down")
                        .atMost(SOON)
                        .until(() -> engine.links().get(0).condition() == LinkState.Condition.DOWN);
                for (int i = 0; i < 50; i++) {
                    assertThat(engine.acts()
                                    .act(new StationInput.Act(
                                            alarms(1).get(0),
                                            new AlarmInput.Comment(OPERATOR, "c" + i, null, clock.now())))
                                    .get(10, TimeUnit.SECONDS))
                            .isInstanceOf(ActResult.Done.class);
                }
                assertThat(engine.links().get(0).lastError()).contains("127.0.0.1:" + port);
            }
            broker.startAgain();
        }
    }

    @Test
    void theControlRoomIsToldWhenTheGatewayEndsInOrderAndWhenItVanishes() throws Exception {
        try (Broker broker = new Broker()) {
            try (StationEngine engine = engine(broker.port())) {
                awaitAllConfirmed(engine);
                Awaitility.await("the birth message")
                        .atMost(SOON)
                        .until(() -> online(broker).equals(List.of(true)));
            }
            Awaitility.await("the good-bye")
                    .atMost(SOON)
                    .until(() -> online(broker).equals(List.of(true, false)));

            Vertx dying = Vertx.vertx();
            BrokerConnection.open(
                    new MqttLinkSettings("x", "x", "127.0.0.1", broker.port(), "oilbird/windlow", "windlow-gw1"),
                    Duration.ofSeconds(10),
                    dying,
                    "oilbird/windlow/gateway",
                    "{\"online\":false,\"will\":true}".getBytes(StandardCharsets.UTF_8),
                    new LongAdder());
            dying.close().toCompletionStage().toCompletableFuture().get(20, TimeUnit.SECONDS);
            Awaitility.await("the last will")
                    .atMost(SOON)
                    .until(() -> broker.heard("/gateway").stream()
                            .anyMatch(a -> a.json().has("will")));
        }
    }

    private static List<Boolean> online(Broker broker) {
        return broker.heard("/gateway").stream()
                .filter(a -> a.json().has("form"))
                .map(a -> a.json().path("online").asBoolean())
                .toList();
    }
}
