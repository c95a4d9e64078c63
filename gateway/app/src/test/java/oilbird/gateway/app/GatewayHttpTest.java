package oilbird.gateway.app;

import static oilbird.gateway.app.As.given;
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
import java.util.SplittableRandom;
import java.util.concurrent.CompletableFuture;
import java.util.function.Predicate;
import java.util.stream.IntStream;
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
    void anAcknowledgementTakesTheEventThatWasSeenAndNamesThePersonBehindTheProgram() {
        Map<String, Object> alarm = openAlarm("cooling-t1");
        String id = String.valueOf(alarm.get("alarm"));

        Response endless = act(id, "acknowledge", Map.of("by", "x".repeat(61)));
        assertThat(endless.statusCode()).isEqualTo(400);
        assertThat(endless.contentType()).startsWith("application/problem+json");
        assertThat(endless.jsonPath().getString("detail")).contains("name");

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
                .body("events[0].by.door", equalTo(As.PROGRAM));
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
    void suppressionServiceAndDisablingOfOneAlarmAreActsThatAreAnsweredWithTheStateAfterThem() {
        String id = String.valueOf(openAlarm("cooling-t3").get("alarm"));

        assertThat(act(id, "suppress", Map.of("by", "A. Tester")).statusCode())
                .as("no reason")
                .isEqualTo(400);
        Response suppressed = act(id, "suppress", Map.of("by", "A. Tester", "reason", "load test"));
        assertThat(suppressed.jsonPath().getString("state")).isEqualTo("DSUPR");
        assertThat(suppressed.jsonPath().getString("suppression.by.name")).isEqualTo("A. Tester");
        assertThat(act(id, "suppress", Map.of("by", "A. Tester", "reason", "again"))
                        .statusCode())
                .isEqualTo(409);
        assertThat(act(id, "unsuppress", Map.of("by", "A. Tester")).jsonPath().getString("state"))
                .isEqualTo("UNACK");

        Response removed = act(
                id,
                "remove-from-service",
                Map.of("by", "A. Tester", "reason", "cable", "permit", "W-7", "duration", "PT1H"));
        assertThat(removed.jsonPath().getString("state")).isEqualTo("OOSRV");
        Awaitility.await("the permit is shown")
                .atMost(SOON)
                .until(() -> "W-7"
                        .equals(given().get("/api/v1/alarms/" + id).jsonPath().getString("outOfService.permit")));
        assertThat(act(id, "place-in-service", Map.of("by", "A. Tester"))
                        .jsonPath()
                        .getString("state"))
                .isEqualTo("UNACK");

        assertThat(act(id, "disable", Map.of("by", "A. Tester", "reason", "not wanted"))
                        .jsonPath()
                        .getString("state"))
                .isEqualTo("DISABLED");
        assertThat(act(id, "enable", Map.of("by", "A. Tester")).jsonPath().getString("state"))
                .isEqualTo("UNACK");

        Response confirmed = act(id, "confirm", Map.of("by", "A. Tester"));
        assertThat(confirmed.statusCode()).isEqualTo(409);
        assertThat(confirmed.jsonPath().getString("refusal")).isEqualTo("Bad_InvalidState");
    }

    @Test
    void whatALinkServesIsSeenPointByPoint() {
        String path = "/api/v1/links/control-room/points";
        Awaitility.await("the gas monitor of transformer 1 is told to be silent")
                .atMost(SOON)
                .until(() -> "on"
                        .equals(given().get(path).jsonPath().getString("points.find { it.address == '1004' }.state")));
        JsonPath all = given().get(path).then().statusCode(200).extract().jsonPath();
        assertThat(all.getString("form")).isEqualTo("oilbird.points/1");
        assertThat(all.getString("list")).isEqualTo("control-room.csv");
        assertThat(all.getString("points.find { it.address == '3004' }.text")).isEqualTo("T3 MONITORING COMM OK");
        assertThat(all.getBoolean("points.find { it.address == '1021' }.told"))
                .as("hydrogen was never read")
                .isFalse();
        given().get("/api/v1/links/no-such/points").then().statusCode(404);
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

    /** Events go on while the listener is away; each time it comes back with the id of the last one that it saw. */
    @Test
    void aListenerThatIsCutOffAgainAndAgainMissesNothingAndHearsNothingTwice() throws Exception {
        String id = String.valueOf(openAlarm("gas-t2").get("alarm"));
        SplittableRandom random = new SplittableRandom(20261125);
        String lastSeen;
        try (Stream stream = new Stream(null)) {
            stream.awaitName("alive");
            act(id, "comment", Map.of("by", "A. Tester", "comment", "zero"));
            lastSeen = stream.await(e -> e.data().contains("\"text\":\"zero\"")).id();
        }
        int events = 60;
        CompletableFuture<Void> acting = CompletableFuture.runAsync(() -> {
            for (int i = 1; i <= events; i++) {
                assertThat(act(id, "comment", Map.of("by", "A. Tester", "comment", "number " + i))
                                .statusCode())
                        .isEqualTo(200);
            }
        });
        List<String> heard = new ArrayList<>();
        List<Long> positions = new ArrayList<>();
        int streams = 0;
        while (!heard.contains("number " + events)) {
            streams++;
            int most = random.nextInt(1, 9);
            try (Stream stream = new Stream(lastSeen)) {
                for (int i = 0; i < most && !heard.contains("number " + events); i++) {
                    Event event = stream.await(e -> !e.name().equals("alive"));
                    assertThat(event.name()).isNotEqualTo("gap");
                    JsonPath form = JsonPath.from(event.data());
                    positions.add(form.getLong("position"));
                    heard.add(String.valueOf(form.getString("text")));
                    lastSeen = event.id();
                }
            }
        }
        acting.join();
        assertThat(streams).as("cut off again and again").isGreaterThan(5);
        assertThat(positions).isSorted().doesNotHaveDuplicates();
        assertThat(positions.get(positions.size() - 1) - positions.get(0))
                .as("no position of the record is missing")
                .isEqualTo(positions.size() - 1);
        assertThat(heard.stream().filter(text -> text.startsWith("number ")))
                .containsExactlyElementsOf(IntStream.rangeClosed(1, events)
                        .mapToObj(i -> "number " + i)
                        .toList());
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
            connection.setRequestProperty("Authorization", As.bearer(As.PROGRAM));
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
        assertThat(health.getInt("devices")).isEqualTo(9);
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

    @Test
    void anActOnWhatTheStationDoesNotKnowIsAnsweredWithNotFoundAndSaysSo() {
        Map<String, Object> whole = Map.of(
                "by", "T. Tester", "reason", "r", "permit", "P", "duration", "PT10M", "comment", "c", "forcedTo", "1");
        Map<String, Object> alarm = Map.of("by", "T. Tester", "reason", "r", "duration", "PT10M", "forcedTo", "active");
        for (String path : List.of(
                "standing/maintenance/no-such/begin",
                "standing/maintenance/no-such/end",
                "standing/release/no-such/begin",
                "standing/release/no-such/end",
                "standing/test/reading/no-such/hydrogen",
                "standing/test/reading/gas-t2/no-such",
                "standing/test/reading/gas-t2/no-such/end",
                "standing/test/alarm/t2/no-such/end")) {
            Response answer = post(path, whole);
            assertThat(answer.statusCode()).as(path).isEqualTo(404);
            assertThat(answer.contentType()).as(path).startsWith("application/problem+json");
            assertThat(answer.jsonPath().getString("refusal")).as(path).isEqualTo("Bad_NodeIdUnknown");
        }
        assertThat(post("standing/test/alarm/t2/no-such", alarm).statusCode()).isEqualTo(404);
        Map<String, Object> release = Map.of("by", "T. Tester", "comment", "c");
        assertThat(post("keep-away/no-such/release", release).statusCode()).isEqualTo(404);
        assertThat(post("standing/maintenance/gas-t2/end", whole).statusCode())
                .as("known, and not in maintenance")
                .isEqualTo(409);
        assertThat(post("standing/test/reading/gas-t2/oil-flow/end", whole).statusCode())
                .isEqualTo(409);
        assertThat(post("keep-away/t2/release", release).statusCode()).isEqualTo(409);
    }

    @Test
    void aReleasedConnectionIsToldWithPersonAndEndAndItsDeviceIsNotPolledMeanwhile() {
        Map<String, Object> whole = Map.of("by", "T. Tester", "reason", "maker's laptop", "duration", "PT30M");
        assertThat(post("standing/release/cooling-t2/begin", Map.of("by", "T. Tester", "reason", "laptop"))
                        .statusCode())
                .as("no time")
                .isEqualTo(400);
        assertThat(post("standing/release/no-such/begin", whole).statusCode()).isEqualTo(404);
        assertThat(post("standing/release/cooling-t2/begin", whole).statusCode())
                .isEqualTo(204);
        assertThat(post("standing/release/cooling-t2/begin", whole).statusCode())
                .isEqualTo(409);
        Awaitility.await("the release is told").atMost(SOON).untilAsserted(() -> {
            JsonPath standing = given().get("/api/v1/standing").jsonPath();
            assertThat(standing.getList("releases.devices")).isEqualTo(List.of(List.of("cooling-t2")));
            assertThat(standing.getList("releases.by.name")).isEqualTo(List.of("T. Tester"));
            JsonPath device = given().get("/api/v1/devices/cooling-t2").jsonPath();
            assertThat(device.getString("device.link")).isEqualTo("released");
            assertThat(device.getList("readings.reason", String.class)).containsOnly("released");
        });
        assertThat(given().get("/api/v1/record?limit=1000").asString())
                .contains("T. Tester (tests): maker's laptop; not polled: cooling-t2; for PT30M");
        assertThat(post("standing/release/cooling-t2/end", Map.of("by", "T. Tester"))
                        .statusCode())
                .isEqualTo(204);
        Awaitility.await("it is over")
                .atMost(SOON)
                .untilAsserted(() -> assertThat(
                                given().get("/api/v1/standing").jsonPath().getList("releases"))
                        .isEmpty());
        given().get("/api/v1/lines").then().statusCode(200).body("form", equalTo("oilbird.lines/1"));
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
        Response loaded = post("rules/load", Map.of("by", "P. Engineer"));
        assertThat(loaded.statusCode()).isEqualTo(200);
        assertThat(loaded.jsonPath().getString("version")).hasSize(64);
        assertThat(loaded.jsonPath().getList("history")).hasSize(1);
        Response elsewhere = post("rules/load?folder=/srv/another-station", Map.of("by", "P. Engineer"));
        assertThat(elsewhere.statusCode()).isEqualTo(409);
        assertThat(elsewhere.asString()).contains("runs on the station folder", "/srv/another-station");
        assertThat(post("rules/back", Map.of("by", "P. Engineer")).statusCode()).isEqualTo(409);
        given().get("/api/v1/rules").then().statusCode(200).body("form", equalTo("oilbird.rules/1"));
        assertThat(given().get("/api/v1/record?limit=1000").asString()).contains("P. Engineer (tests): ");
    }

    @Test
    void alarmsAndReadingsAreFilteredAndPagedByAStableCursor() {
        openAlarm("gas-t1");
        List<String> all = new ArrayList<>();
        String next = "";
        while (next != null) {
            JsonPath page = given().get("/api/v1/alarms?limit=7" + (next.isEmpty() ? "" : "&after=" + next))
                    .jsonPath();
            all.addAll(page.getList("alarms.alarm"));
            next = page.get("next");
        }
        assertThat(all).hasSizeGreaterThan(14).doesNotHaveDuplicates();
        assertThat(given().get("/api/v1/alarms?limit=1000").jsonPath().<String>getList("alarms.alarm"))
                .isEqualTo(all);
        JsonPath lost = given().get("/api/v1/alarms?device=gas-t1&active=true&class=communications")
                .jsonPath();
        assertThat(lost.<String>getList("alarms.device")).isNotEmpty().containsOnly("gas-t1");
        assertThat(lost.<Boolean>getList("alarms.active")).containsOnly(true);
        assertThat(given().get("/api/v1/alarms?asset=t2&state=NORM").jsonPath().<String>getList("alarms.asset"))
                .doesNotContain("t1");
        JsonPath bad =
                given().get("/api/v1/readings?asset=t1&quality=bad&limit=3").jsonPath();
        assertThat(bad.<String>getList("readings.quality")).hasSize(3).containsOnly("bad");
        assertThat(bad.getString("next")).isEqualTo(bad.getString("readings[2].reading"));
        assertThat(given().get("/api/v1/readings/gas-t1/hydrogen").jsonPath().getString("reading.quality"))
                .isEqualTo("bad");
        assertThat(given().get("/api/v1/assets/t1").jsonPath().<String>getList("devices.device.device"))
                .contains("gas-t1", "cooling-t1");
    }

    /** RFC 9110, 13.1.2: weak comparison, lists, and the star; and that a change gives another tag. */
    @Test
    void whatIsReadHasATagAndIsNotSentAgainWhileItSaysTheSame() {
        String id = String.valueOf(openAlarm("gas-t1").get("alarm"));
        for (String path : List.of("alarms/" + id, "devices/gas-t1", "assets", "rules", "schemas", "alarms")) {
            Awaitility.await("two questions about " + path + " without a change between them")
                    .atMost(SOON)
                    .untilAsserted(() -> {
                        String tag = given().get("/api/v1/" + path).header("ETag");
                        assertThat(tag).matches("W/\"[\\w-]{22}\"");
                        Response again = given().header("If-None-Match", "\"other\", " + tag)
                                .get("/api/v1/" + path);
                        assertThat(again.statusCode()).isEqualTo(304);
                        assertThat(again.asByteArray()).isEmpty();
                        assertThat(again.header("ETag")).isEqualTo(tag);
                    });
        }
        String before = given().get("/api/v1/alarms/" + id).header("ETag");
        act(id, "comment", Map.of("by", "A. Tester", "comment", "changes it"));
        assertThat(given().header("If-None-Match", before)
                        .get("/api/v1/alarms/" + id)
                        .statusCode())
                .isEqualTo(200);
        assertThat(given().header("If-None-Match", "*").get("/api/v1/assets").statusCode())
                .isEqualTo(304);
        assertThat(given().get("/api/v1/devices/no-such").header("ETag")).isNull();
    }

    @Test
    void theRecordIsReadFromAnEventOnNewestFirstAndByKind() {
        String id = String.valueOf(openAlarm("cooling-t1").get("alarm"));
        String first = String.valueOf(act(id, "comment", Map.of("by", "A. Tester", "comment", "first of two"))
                .jsonPath()
                .getString("lastEvent"));
        String newest = given().get("/api/v1/alarms/" + id + "/events?limit=1")
                .jsonPath()
                .getString("events[0].eventId");
        act(id, "comment", Map.of("by", "A. Tester", "comment", "second of two"));
        assertThat(given().get("/api/v1/record?after=" + newest).jsonPath().<String>getList("events.text"))
                .contains("second of two")
                .doesNotContain("first of two");
        JsonPath comments =
                given().get("/api/v1/record?kind=commented&before=1000000").jsonPath();
        assertThat(comments.<String>getList("events.kind")).isNotEmpty().containsOnly("commented");
        List<Integer> positions = comments.getList("events.position");
        assertThat(positions).isSortedAccordingTo(java.util.Comparator.reverseOrder());
        assertThat(first).isNotBlank();
    }

    @Test
    void anActMayBeTiedToWhatThePersonHasSeen() {
        String id = String.valueOf(openAlarm("cooling-t2").get("alarm"));
        String seen = given().get("/api/v1/alarms/" + id).jsonPath().getString("lastEvent");
        Map<String, Object> words = Map.of("by", "A. Tester", "comment", "tied");
        Response tied = given().contentType(ContentType.JSON)
                .header("If-Match", "\"" + seen + "\"")
                .body(words)
                .post("/api/v1/alarms/" + id + "/comment");
        assertThat(tied.statusCode()).isEqualTo(200);
        act(id, "reset", Map.of("by", "A. Tester"));
        assertThat(given().contentType(ContentType.JSON)
                        .header("If-Match", "\"windlow-gw1.1.1\"")
                        .body(words)
                        .post("/api/v1/alarms/" + id + "/comment")
                        .statusCode())
                .isEqualTo(412);
    }
}
