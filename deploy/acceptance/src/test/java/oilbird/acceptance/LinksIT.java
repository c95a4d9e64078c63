package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.sun.net.httpserver.HttpServer;
import java.io.IOException;
import java.net.InetSocketAddress;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Base64;
import java.util.List;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.stream.Stream;
import oilbird.acceptance.ControlRoom.Arrival;
import org.awaitility.Awaitility;
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
        void acknowledge(GatewayProcess gateway, String alarm, String eventId) throws Exception;

        void comment(GatewayProcess gateway, String alarm, String words) throws Exception;

        void shelve(GatewayProcess gateway, String alarm, String reason) throws Exception;
    }

    static Stream<Door> doors() {
        return Stream.of(new Rest());
    }

    private static final class Rest implements Door {
        private static void post(GatewayProcess gateway, String path, String body) throws Exception {
            assertThat(gateway.post("/api/v1/alarms/" + path, body).statusCode())
                    .as(path)
                    .isBetween(200, 299);
        }

        @Override
        public void acknowledge(GatewayProcess gateway, String alarm, String eventId) throws Exception {
            post(gateway, alarm + "/acknowledge", "{\"by\":\"A. Tester\",\"eventId\":\"" + eventId + "\"}");
        }

        @Override
        public void comment(GatewayProcess gateway, String alarm, String words) throws Exception {
            post(gateway, alarm + "/comment", "{\"by\":\"A. Tester\",\"comment\":\"" + words + "\"}");
        }

        @Override
        public void shelve(GatewayProcess gateway, String alarm, String reason) throws Exception {
            post(
                    gateway,
                    alarm + "/shelve",
                    "{\"by\":\"A. Tester\",\"reason\":\"" + reason + "\",\"duration\":\"PT10M\"}");
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
            try (GatewayProcess gateway = GatewayProcess.start(station(monitor, room, desk, data), data)) {
                gateway.awaitReady();
                monitor.setInputRegister(0, TestStation.FAN_STOPPED);
                Arrival raised = room.awaitEvent(
                        "the raised event",
                        SOON,
                        a -> FirstLineIT.isFan(a) && a.text("kind").equals("raised"));
                String alarm = raised.text("alarm");
                door.acknowledge(gateway, alarm, raised.text("eventId"));
                door.comment(gateway, alarm, "looked at from outside");
                door.shelve(gateway, alarm, "fan ordered");
                room.awaitEvent(
                        "the shelved event",
                        SOON,
                        a -> a.text("alarm").equals(alarm) && a.text("kind").equals("shelved"));
                Awaitility.await("both have the same")
                        .atMost(SOON)
                        .untilAsserted(() -> assertThat(seen(desk.events().stream(), alarm))
                                .hasSizeGreaterThanOrEqualTo(4)
                                .isEqualTo(seen(room.events().stream().map(Arrival::json), alarm)));
                assertThat(seen(desk.events().stream(), alarm))
                        .anySatisfy(line -> assertThat(line).contains("acknowledged ", "A. Tester"))
                        .anySatisfy(line -> assertThat(line).contains("shelved SHLVD", "A. Tester"));
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
