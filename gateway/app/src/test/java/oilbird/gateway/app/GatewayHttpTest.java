package oilbird.gateway.app;

import static io.restassured.RestAssured.given;
import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.equalTo;

import io.quarkus.test.common.QuarkusTestResource;
import io.quarkus.test.common.http.TestHTTPResource;
import io.quarkus.test.junit.QuarkusTest;
import io.restassured.http.ContentType;
import io.restassured.path.json.JsonPath;
import io.restassured.response.Response;
import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.net.HttpURLConnection;
import java.net.URI;
import java.net.URL;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.function.Predicate;
import org.awaitility.Awaitility;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;

/** REST, live channel and page of a station whose devices are all silent. */
@QuarkusTest
@QuarkusTestResource(SilentStation.class)
class GatewayHttpTest {
    private static final Duration SOON = Duration.ofSeconds(60);

    @TestHTTPResource("/")
    @Nullable
    URL base;

    private static JsonPath needsSomeone() {
        return given().get("/api/v1/needs-someone")
                .then()
                .statusCode(200)
                .extract()
                .jsonPath();
    }

    /** An unacknowledged communication alarm of one device. */
    private static Map<String, Object> openAlarm(String device) {
        return Awaitility.await("the communication alarm of " + device)
                .atMost(SOON)
                .until(
                        () -> {
                            List<Map<String, Object>> alarms = needsSomeone().getList("alarms");
                            return alarms.stream()
                                    .filter(a ->
                                            device.equals(a.get("device")) && "communication".equals(a.get("trouble")))
                                    .findFirst()
                                    .orElse(Map.of());
                        },
                        alarm -> !alarm.isEmpty());
    }

    private static Response act(String alarm, String what, Map<String, Object> body) {
        return given().contentType(ContentType.JSON).body(body).post("/api/v1/alarms/" + alarm + "/" + what);
    }

    @Test
    void aDeviceThatDoesNotAnswerNeedsSomeoneAndIsExplained() {
        Map<String, Object> alarm = openAlarm("gas-t1");

        assertThat(alarm.get("state")).isEqualTo("UNACK");
        assertThat(String.valueOf(alarm.get("sentence")))
                .contains("Transformer 1")
                .contains("does not answer");
        assertThat(alarm.get("readingsTrusted")).isEqualTo(false);
        JsonPath all = needsSomeone();
        assertThat(all.getString("station.name")).isEqualTo("Windlow substation");
        assertThat(all.getList("devices.findAll { it.device == 'gas-t1' }.link"))
                .containsExactly("silent");
        given().get("/api/v1/alarms/" + alarm.get("alarm"))
                .then()
                .statusCode(200)
                .body("form", equalTo("oilbird.alarm-state/1"));
        given().get("/api/v1/devices/gas-t1").then().statusCode(200);
        given().get("/api/v1/devices").then().statusCode(200);
    }

    @Test
    void anAcknowledgementNeedsANameAndTheEventThatWasSeen() {
        Map<String, Object> alarm = openAlarm("cooling-t1");
        String id = String.valueOf(alarm.get("alarm"));

        Response nameless = act(id, "acknowledge", Map.of("eventId", String.valueOf(alarm.get("lastEvent"))));
        assertThat(nameless.statusCode()).isEqualTo(400);
        assertThat(nameless.contentType()).startsWith("application/problem+json");
        assertThat(nameless.jsonPath().getString("detail")).contains("name");

        Response stale = act(id, "acknowledge", Map.of("by", "A. Tester", "eventId", "windlow-gw1.1.1"));
        assertThat(stale.statusCode()).isEqualTo(409);
        assertThat(stale.contentType()).startsWith("application/problem+json");
        assertThat(stale.jsonPath().getString("refusal")).isEqualTo("Bad_EventIdUnknown");
        assertThat(stale.jsonPath().getInt("status")).isEqualTo(409);

        Response done =
                act(id, "acknowledge", Map.of("by", "A. Tester", "eventId", String.valueOf(alarm.get("lastEvent"))));
        assertThat(done.statusCode()).isEqualTo(200);
        assertThat(done.jsonPath().getString("state"))
                .as("the answer already has the act in it")
                .isEqualTo("ACKED");

        given().get("/api/v1/alarms/" + id + "/events")
                .then()
                .statusCode(200)
                .body("events[0].kind", equalTo("acknowledged"))
                .body("events[0].by.name", equalTo("A. Tester"))
                .body("events[0].by.door", equalTo("rest"));
    }

    @Test
    void shelvingCommentAndUnshelvingAreActsWithANameToo() {
        String id = String.valueOf(openAlarm("cooling-t2").get("alarm"));

        assertThat(act(id, "shelve", Map.of("by", "A. Tester")).statusCode())
                .as("no reason")
                .isEqualTo(400);
        assertThat(act(id, "shelve", Map.of("by", "A. Tester", "reason", "x", "duration", "2h"))
                        .jsonPath()
                        .getString("detail"))
                .contains("PT2H");
        Response shelved =
                act(id, "shelve", Map.of("by", "A. Tester", "reason", "cable is being moved", "duration", "PT2H"));
        assertThat(shelved.statusCode()).isEqualTo(200);
        assertThat(shelved.jsonPath().getString("state")).isEqualTo("SHLVD");
        assertThat(needsSomeone().getList("setAside.shelved.alarm")).contains(id);
        assertThat(needsSomeone().getList("alarms.alarm")).doesNotContain(id);
        assertThat(act(id, "comment", Map.of("by", "A. Tester", "comment", "told the technician"))
                        .statusCode())
                .isEqualTo(200);
        assertThat(act(id, "unshelve", Map.of("by", "A. Tester")).statusCode()).isEqualTo(200);
        assertThat(act(id, "unshelve", Map.of("by", "A. Tester")).jsonPath().getString("refusal"))
                .isEqualTo("Bad_ConditionNotShelved");
    }

    @Test
    void whatIsNotThereIsSaidAsAProblem() {
        for (String path : List.of("/api/v1/alarms/t1/no-such", "/api/v1/devices/no-such", "/api/v1/no-such")) {
            Response answer = given().get(path);
            assertThat(answer.statusCode()).as(path).isEqualTo(404);
            assertThat(answer.contentType()).as(path).startsWith("application/problem+json");
        }
        assertThat(act("t1/no-such", "acknowledge", Map.of("by", "A. Tester")).statusCode())
                .isEqualTo(404);
        assertThat(given().contentType(ContentType.JSON)
                        .body("{")
                        .post("/api/v1/alarms/t1/x/comment")
                        .statusCode())
                .isEqualTo(400);
        assertThat(given().get("/api/v1/record?limit=0").statusCode()).isEqualTo(400);
    }

    @Test
    void theRecordIsReadPageByPageWithoutGapOrRepetition() {
        openAlarm("gas-t2");
        List<Integer> positions = new ArrayList<>();
        Integer next = 0;
        while (next != null) {
            JsonPath page = given().get("/api/v1/record?limit=3&after=" + next).jsonPath();
            List<Integer> found = page.getList("events.position");
            positions.addAll(found);
            next = page.get("next");
            assertThat(found.size()).isLessThanOrEqualTo(3);
        }
        assertThat(positions).hasSizeGreaterThan(3).doesNotHaveDuplicates().isSorted();
        assertThat(positions.get(positions.size() - 1) - positions.get(0)).isEqualTo(positions.size() - 1);
    }

    @Test
    void thePictureIsNotSentAgainWhileNothingChanged() {
        openAlarm("gas-t2");
        Awaitility.await("two questions without a change between them")
                .atMost(SOON)
                .until(() -> {
                    String tag = given().get("/api/v1/needs-someone").header("ETag");
                    return given().header("If-None-Match", tag)
                                    .get("/api/v1/needs-someone")
                                    .statusCode()
                            == 304;
                });
    }

    @Test
    void theLiveChannelTellsOfAnEventAndResumesAfterTheLastOneSeen() throws Exception {
        String id = String.valueOf(openAlarm("gas-t2").get("alarm"));
        String first;
        try (Stream stream = new Stream(null)) {
            stream.awaitName("alive");
            act(id, "comment", Map.of("by", "A. Tester", "comment", "first"));
            first = stream.await(e -> e.data().contains("\"text\":\"first\"")).id();
        }
        act(id, "comment", Map.of("by", "A. Tester", "comment", "while nobody listened"));
        try (Stream stream = new Stream(first)) {
            Event missed = stream.await(e -> e.name().equals("alarm"));
            assertThat(missed.data()).contains("while nobody listened");
            assertThat(missed.id()).isNotEqualTo(first);
        }
        try (Stream stream = new Stream("windlow-gw1.1.1")) {
            assertThat(stream.await(e -> !e.name().equals("alive")).name()).isEqualTo("gap");
        }
    }

    private record Event(String name, String id, String data) {}

    /** A plain reader of server-sent events (WHATWG HTML, 9.2.6). */
    private final class Stream implements AutoCloseable {
        private final HttpURLConnection connection;
        private final BufferedReader lines;

        Stream(@Nullable String lastEventId) throws IOException {
            connection =
                    (HttpURLConnection) URI.create(base + "api/v1/live").toURL().openConnection();
            connection.setReadTimeout(20_000);
            connection.setRequestProperty("Accept", "text/event-stream");
            if (lastEventId != null) {
                connection.setRequestProperty("Last-Event-ID", lastEventId);
            }
            lines = new BufferedReader(new InputStreamReader(connection.getInputStream(), StandardCharsets.UTF_8));
        }

        void awaitName(String name) throws IOException {
            await(e -> e.name().equals(name));
        }

        Event await(Predicate<Event> wanted) throws IOException {
            String name = "";
            String id = "";
            StringBuilder data = new StringBuilder();
            for (String line = lines.readLine(); line != null; line = lines.readLine()) {
                if (line.isEmpty()) {
                    Event event = new Event(name, id, data.toString());
                    if (wanted.test(event)) {
                        return event;
                    }
                    name = "";
                    data.setLength(0);
                } else if (line.startsWith("event:")) {
                    name = line.substring(6).strip();
                } else if (line.startsWith("id:")) {
                    id = line.substring(3).strip();
                } else if (line.startsWith("data:")) {
                    data.append(line.substring(5));
                }
            }
            throw new AssertionError("the stream ended");
        }

        @Override
        public void close() {
            connection.disconnect();
        }
    }

    @Test
    void healthSaysThatTheGatewayWorksAndThatTheControlRoomIsNotReached() {
        JsonPath health =
                given().get("/api/v1/health").then().statusCode(200).extract().jsonPath();
        assertThat(health.getBoolean("ok")).isTrue();
        assertThat(health.getInt("devices")).isEqualTo(4);
        Awaitility.await("the link is known to be down")
                .atMost(SOON)
                .until(() -> given().get("/api/v1/health").jsonPath().getString("links[0].lastError") != null);
    }

    @Test
    void thePageComesWithAPolicyThatLetsNothingForeignIn() {
        Response page = given().get("/");
        assertThat(page.statusCode()).isEqualTo(200);
        assertThat(page.header("Content-Security-Policy"))
                .contains("default-src 'none'")
                .contains("script-src 'self'")
                .doesNotContain("unsafe");
        assertThat(page.header("X-Content-Type-Options")).isEqualTo("nosniff");
        assertThat(page.asString())
                .doesNotContain("style=")
                .doesNotContain("onclick")
                .doesNotContain("//cdn");
    }

    @Test
    void schemasAndTheDescriptionOfTheInterfaceArePublished() {
        given().get("/api/v1/schemas/alarm-event-1.schema.json")
                .then()
                .statusCode(200)
                .contentType("application/schema+json");
        given().get("/api/v1/schemas/no-such-1.schema.json").then().statusCode(404);
        assertThat(given().get("/api/v1/openapi").asString())
                .contains("/api/v1/needs-someone")
                .contains("/api/v1/alarms/{asset}/{rule}/acknowledge");
    }

    private static Response post(String path, Map<String, Object> body) {
        return given().contentType(ContentType.JSON).body(body).post("/api/v1/" + path);
    }

    @Test
    void maintenanceBeginsAndEndsWithAPersonAPermitAndATime() {
        assertThat(post("standing/maintenance/gas-t2/begin", Map.of("by", "T. Tester", "reason", "fan"))
                        .statusCode())
                .as("no permit, no time")
                .isEqualTo(400);
        Map<String, Object> whole = Map.of("by", "T. Tester", "reason", "fan", "permit", "P-9", "duration", "PT2H");
        assertThat(post("standing/maintenance/gas-t2/begin", whole).statusCode())
                .isEqualTo(204);
        assertThat(post("standing/maintenance/gas-t2/begin", whole).statusCode())
                .isEqualTo(409);
        awaitPermits(List.of("P-9"));
        assertThat(needsSomeone().getList("setAside.outOfService.alarm").toString())
                .contains("gas-t2.");
        assertThat(post("standing/maintenance/gas-t2/end", Map.of("by", "T. Tester"))
                        .statusCode())
                .isEqualTo(204);
        awaitPermits(List.of());
    }

    private static void awaitPermits(List<String> permits) {
        Awaitility.await("maintenance under the permits " + permits)
                .atMost(SOON)
                .untilAsserted(() -> assertThat(
                                given().get("/api/v1/standing").jsonPath().getList("maintenance.permit"))
                        .isEqualTo(permits));
    }

    @Test
    void rulesAreLoadedAnewByAPersonAndTheFirstVersionCannotBeLeft() {
        assertThat(post("rules/load", Map.of()).statusCode()).as("nameless").isEqualTo(400);
        Response loaded = post("rules/load", Map.of("by", "P. Engineer"));
        assertThat(loaded.statusCode()).isEqualTo(200);
        assertThat(loaded.jsonPath().getString("version")).hasSize(64);
        assertThat(loaded.jsonPath().getList("history")).hasSize(1);
        Response elsewhere = post("rules/load?folder=/srv/another-station", Map.of("by", "P. Engineer"));
        assertThat(elsewhere.statusCode()).isEqualTo(409);
        assertThat(elsewhere.asString()).contains("runs on the station folder", "/srv/another-station");
        assertThat(post("rules/back", Map.of("by", "P. Engineer")).statusCode()).isEqualTo(409);
        given().get("/api/v1/rules").then().statusCode(200).body("form", equalTo("oilbird.rules/1"));
        assertThat(given().get("/api/v1/record?limit=1000").asString()).contains("P. Engineer (rest): ");
    }
}
