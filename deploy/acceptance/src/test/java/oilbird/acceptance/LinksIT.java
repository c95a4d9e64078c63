package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.sun.net.httpserver.HttpServer;
import java.io.IOException;
import java.net.InetSocketAddress;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Base64;
import java.util.List;
import java.util.Objects;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.stream.Stream;
import oilbird.acceptance.ControlRoom.Arrival;
import org.awaitility.Awaitility;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodRequest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.MethodSource;

/** One station with several links: what a person does gives the same result on each of them. */
class LinksIT {
    private static final Duration SOON = Duration.ofSeconds(40);
    private static final ObjectMapper JSON = new ObjectMapper();

    @TempDir
    Path folder;

    /** A door by which a person acts; another protocol that takes acts back joins {@link #doors}. */
    interface Door {
        void acknowledge(Rig rig, String alarm, String eventId) throws Exception;

        void comment(Rig rig, String alarm, String words) throws Exception;

        void shelve(Rig rig, String alarm, String reason) throws Exception;

        /** Whose name the record gets. */
        String person();
    }

    static Stream<Door> doors() {
        return Stream.of(new Rest(), new OpcUa());
    }

    /** The gateway, and a control room's client of its OPC UA server. */
    record Rig(GatewayProcess gateway, OpcUaClient client) {
        NodeId condition(String alarm) {
            return new NodeId(
                    client.getNamespaceTable()
                            .getIndex("urn:oilbird:station:windlow")
                            .intValue(),
                    "alarm/" + alarm);
        }

        /** A part of a condition, as the server tells it. */
        Object part(String alarm, String part) throws Exception {
            NodeId condition = condition(alarm);
            return Objects.requireNonNull(
                    client.readValue(
                                    0,
                                    TimestampsToReturn.Neither,
                                    new NodeId(condition.getNamespaceIndex(), condition.getIdentifier() + "#" + part))
                            .value()
                            .value(),
                    part);
        }
    }

    private static final class OpcUa implements Door {
        private static void call(Rig rig, String alarm, NodeId method, Variant... arguments) throws Exception {
            StatusCode answer = Objects.requireNonNull(rig.client()
                            .call(List.of(new CallMethodRequest(rig.condition(alarm), method, arguments)))
                            .getResults())[0]
                    .getStatusCode();
            assertThat(answer.isGood()).as(method + ": " + answer).isTrue();
        }

        private static Variant id(String eventId) {
            return new Variant(ByteString.of(eventId.getBytes(StandardCharsets.UTF_8)));
        }

        @Override
        public void acknowledge(Rig rig, String alarm, String eventId) throws Exception {
            call(
                    rig,
                    alarm,
                    NodeIds.AcknowledgeableConditionType_Acknowledge,
                    id(eventId),
                    new Variant(LocalizedText.NULL_VALUE));
        }

        @Override
        public void comment(Rig rig, String alarm, String words) throws Exception {
            Variant newest = new Variant(rig.part(alarm, "EventId"));
            call(rig, alarm, NodeIds.ConditionType_AddComment, newest, new Variant(LocalizedText.english(words)));
        }

        @Override
        public void shelve(Rig rig, String alarm, String reason) throws Exception {
            call(
                    rig,
                    alarm,
                    NodeIds.AlarmConditionType_ShelvingState_TimedShelve2,
                    new Variant(600_000.0),
                    new Variant(LocalizedText.english(reason)));
        }

        @Override
        public String person() {
            return GatewayProcess.USER;
        }

        @Override
        public String toString() {
            return "OPC UA";
        }
    }

    private static final class Rest implements Door {
        private static void post(GatewayProcess gateway, String path, String body) throws Exception {
            assertThat(gateway.post("/api/v1/alarms/" + path, body).statusCode())
                    .as(path)
                    .isBetween(200, 299);
        }

        @Override
        public void acknowledge(Rig rig, String alarm, String eventId) throws Exception {
            post(rig.gateway(), alarm + "/acknowledge", "{\"by\":\"A. Tester\",\"eventId\":\"" + eventId + "\"}");
        }

        @Override
        public void comment(Rig rig, String alarm, String words) throws Exception {
            post(rig.gateway(), alarm + "/comment", "{\"by\":\"A. Tester\",\"comment\":\"" + words + "\"}");
        }

        @Override
        public void shelve(Rig rig, String alarm, String reason) throws Exception {
            post(
                    rig.gateway(),
                    alarm + "/shelve",
                    "{\"by\":\"A. Tester\",\"reason\":\"" + reason + "\",\"duration\":\"PT10M\"}");
        }

        @Override
        public String person() {
            return "A. Tester";
        }

        @Override
        public String toString() {
            return "REST";
        }
    }

    /** A web server that takes every event. */
    private static final class Desk implements AutoCloseable {
        private final HttpServer server;
        private final ExecutorService threads = Executors.newCachedThreadPool();
        private final List<JsonNode> events = new ArrayList<>();

        Desk() throws IOException {
            server = HttpServer.create(new InetSocketAddress("127.0.0.1", 0), 0);
            server.setExecutor(threads);
            server.createContext("/in", exchange -> {
                JsonNode event =
                        JSON.readTree(exchange.getRequestBody().readAllBytes()).path("data");
                synchronized (events) {
                    events.add(event);
                }
                exchange.sendResponseHeaders(204, -1);
                exchange.close();
            });
            server.start();
        }

        int port() {
            return server.getAddress().getPort();
        }

        List<JsonNode> events() {
            synchronized (events) {
                return List.copyOf(events);
            }
        }

        @Override
        public void close() {
            server.stop(0);
            threads.shutdownNow();
        }
    }

    private static OpcUaClient client(int port, AlarmClient client) {
        OpcUaClient[] connected = new OpcUaClient[1];
        Awaitility.await("the OPC UA server takes connections")
                .atMost(SOON)
                .ignoreExceptions()
                .until(() -> {
                    connected[0] = client.connect(port);
                    return true;
                });
        return connected[0];
    }

    private Path station(Monitor monitor, ControlRoom room, Desk desk, Path data, int port) throws Exception {
        Path station = station(monitor, room, desk, data);
        Files.writeString(station.resolve("station.yaml"), """
                  - id: alarm-list
                    name: alarm list (invented)
                    opc_ua_server: {port: %d, bind: 127.0.0.1, hosts: [127.0.0.1]}
                """.formatted(port), StandardOpenOption.APPEND);
        return station;
    }

    private Path station(Monitor monitor, ControlRoom room, Desk desk, Path data) throws Exception {
        Path station = TestStation.write(folder.resolve("station"), room.port(), List.of(monitor.port()));
        Files.createDirectories(data.resolve("secrets"));
        Files.writeString(
                data.resolve("secrets/desk"), "whsec_" + Base64.getEncoder().encodeToString(new byte[32]));
        Files.writeString(station.resolve("station.yaml"), """
                  - id: desk
                    name: maintenance desk (invented)
                    only: {assets: [t1], kinds: [alarm]}
                    message: "{priority} {asset}: {sentence} ({event})"
                    bytes_a_day: 50 MB
                    webhook: {url: "http://127.0.0.1:%d/in", secret: {file: desk}}
                """.formatted(desk.port()), StandardOpenOption.APPEND);
        return station;
    }

    private static List<String> seen(Stream<JsonNode> events, String alarm) {
        return events.filter(event -> event.path("alarm").asText().equals(alarm))
                .map(event -> event.path("eventId").asText() + " "
                        + event.path("kind").asText() + " "
                        + event.path("state").asText() + " active="
                        + event.path("active").asBoolean()
                        + " acknowledged=" + event.path("acknowledged").asBoolean() + " "
                        + event.path("by").path("name").asText())
                .distinct()
                .toList();
    }

    @ParameterizedTest
    @MethodSource("doors")
    void theSameActGivesTheSameEventsAndTheSameStateOnEveryLink(Door door) throws Exception {
        try (Monitor monitor = TestStation.healthyGasMonitor();
                ControlRoom room = new ControlRoom();
                Desk desk = new Desk()) {
            Path data = folder.resolve("data");
            AlarmClient client = AlarmClient.make();
            client.trustedBy(data);
            int port = Monitor.freePort();
            try (GatewayProcess gateway = GatewayProcess.start(station(monitor, room, desk, data, port), data)) {
                gateway.awaitReady();
                Rig rig = new Rig(gateway, client(port, client));
                monitor.setInputRegister(0, TestStation.FAN_STOPPED);
                Arrival raised = room.awaitEvent(
                        "the raised event",
                        SOON,
                        a -> FirstLineIT.isFan(a) && a.text("kind").equals("raised"));
                String alarm = raised.text("alarm");
                door.acknowledge(rig, alarm, raised.text("eventId"));
                door.comment(rig, alarm, "looked at from outside");
                door.shelve(rig, alarm, "fan ordered");
                Arrival shelved = room.awaitEvent(
                        "the shelved event",
                        SOON,
                        a -> a.text("alarm").equals(alarm) && a.text("kind").equals("shelved"));
                Awaitility.await("both have the same")
                        .atMost(SOON)
                        .untilAsserted(() -> assertThat(seen(desk.events().stream(), alarm))
                                .hasSizeGreaterThanOrEqualTo(4)
                                .isEqualTo(seen(room.events().stream().map(Arrival::json), alarm)));
                assertThat(seen(desk.events().stream(), alarm))
                        .anySatisfy(line -> assertThat(line).contains("acknowledged ", door.person()))
                        .anySatisfy(line -> assertThat(line).contains("shelved SHLVD", door.person()));
                Awaitility.await("the OPC UA server tells the same event")
                        .atMost(SOON)
                        .untilAsserted(() -> assertThat(rig.part(alarm, "EventId"))
                                .isEqualTo(ByteString.of(shelved.text("eventId").getBytes(StandardCharsets.UTF_8))));
                assertThat(rig.part(alarm, "AckedState/Id")).isEqualTo(true);
                assertThat(rig.part(alarm, "ActiveState/Id")).isEqualTo(true);
                assertThat(rig.part(alarm, "SuppressedOrShelved")).isEqualTo(true);
                assertThat(rig.part(alarm, "ClientUserId")).isEqualTo(door.person());
                rig.client().disconnect();
                assertThat(gateway.get("/api/v1/alarms/" + alarm).body()).contains("\"state\":\"SHLVD\"");
                JsonNode worded = desk.events().stream()
                        .filter(event -> event.path("eventId").asText().equals(raised.text("eventId")))
                        .findFirst()
                        .orElseThrow();
                assertThat(worded.path("message").asText())
                        .startsWith(worded.path("priority").asText() + " Transformer 1: "
                                + worded.path("sentence").asText())
                        .endsWith("(" + raised.text("eventId") + ")");
                assertThat(desk.events())
                        .as("the desk asked for the alarms of t1 only")
                        .allSatisfy(event ->
                                assertThat(event.path("asset").asText()).isEqualTo("t1"));
            }
        }
    }

    @Test
    void aTestMessageGoesToOneLinkAndIsAnsweredForAndTheStateOfEachLinkIsTold() throws Exception {
        try (Monitor monitor = TestStation.healthyGasMonitor();
                ControlRoom room = new ControlRoom();
                Desk desk = new Desk()) {
            Path data = folder.resolve("data");
            try (GatewayProcess gateway = GatewayProcess.start(station(monitor, room, desk, data), data)) {
                gateway.awaitReady();
                Awaitility.await("both links are up").atMost(SOON).until(() -> {
                    JsonNode links =
                            JSON.readTree(gateway.get("/api/v1/links").body()).path("links");
                    return links.size() == 2
                            && links.get(0).path("condition").asText().equals("up")
                            && links.get(1).path("condition").asText().equals("up");
                });
                JsonNode tested = JSON.readTree(
                        gateway.post("/api/v1/links/desk/test", "{\"by\":\"A. Tester\",\"within\":\"PT30S\"}")
                                .body());
                assertThat(tested.path("confirmed").asBoolean())
                        .as(tested.toString())
                        .isTrue();
                String eventId = tested.path("eventId").asText();
                assertThat(desk.events()).anySatisfy(event -> {
                    assertThat(event.path("eventId").asText()).isEqualTo(eventId);
                    assertThat(event.path("kind").asText()).isEqualTo("link-tested");
                    assertThat(event.path("text").asText()).contains("A. Tester");
                });
                assertThat(gateway.get("/api/v1/record?kind=link-tested&before=1000000")
                                .body())
                        .contains(eventId);
                assertThat(room.arrivals()).noneMatch(a -> a.text("eventId").equals(eventId));

                JsonNode link =
                        JSON.readTree(gateway.get("/api/v1/links/desk").body()).path("link");
                assertThat(link.path("bytesADay").asLong()).isEqualTo(50_000_000);
                assertThat(link.path("bytesToday").asLong()).isPositive();
                assertThat(link.path("confirmedEvent").asText()).isNotEmpty();
                assertThat(link.path("waiting").asLong()).isZero();

                room.stop();
                JsonNode late = JSON.readTree(
                        gateway.post("/api/v1/links/control-room/test", "{\"by\":\"A. Tester\",\"within\":\"PT2S\"}")
                                .body());
                assertThat(late.path("confirmed").asBoolean()).isFalse();
                assertThat(late.path("link").path("condition").asText()).isNotEqualTo("up");
                assertThat(late.path("link").path("lastError").asText()).isNotEmpty();
                assertThat(late.path("link").path("waiting").asLong()).isPositive();
                assertThat(late.path("link").path("waitingSince").asText()).isNotEmpty();
                room.startAgain();
                Awaitility.await("the test message comes all the same")
                        .atMost(SOON)
                        .until(() -> room.arrivals().stream()
                                .anyMatch(a -> a.text("eventId")
                                        .equals(late.path("eventId").asText())));
            }
        }
    }
}
