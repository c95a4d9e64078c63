package oilbird.gateway.app;

import static oilbird.gateway.app.As.given;
import static org.assertj.core.api.Assertions.assertThat;
import static org.hamcrest.Matchers.containsString;
import static org.hamcrest.Matchers.equalTo;

import io.quarkus.test.common.QuarkusTestResource;
import io.quarkus.test.junit.QuarkusTest;
import io.restassured.http.ContentType;
import io.restassured.path.json.JsonPath;
import io.restassured.response.ValidatableResponse;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import org.awaitility.Awaitility;
import org.junit.jupiter.api.Test;

/** Laboratory samples and pictures of a station whose monitors are all silent. */
@QuarkusTest
@QuarkusTestResource(SilentStation.class)
class TransformerHttpTest {
    private static final String TABLE = """
            asset,laboratory,sampled-at,reference,hydrogen,acetylene
            t2,Fen laboratory,2026-01-10,R 1,20,<1
            t2,Fen laboratory,2026-02-10,R 2,22,<1
            """;

    private static Map<String, Object> sample(String at, Map<String, String> gases) {
        return Map.of(
                "by",
                "L. Chemist",
                "laboratory",
                "Marsh laboratory",
                "sampledAt",
                at,
                "reference",
                "R 17",
                "gases",
                gases);
    }

    private static List<Map<String, Object>> samples(String asset) {
        JsonPath samples = given().get("/api/v1/assets/" + asset + "/samples")
                .then()
                .statusCode(200)
                .body("form", equalTo("oilbird.samples/1"))
                .extract()
                .jsonPath();
        return samples.getList("samples");
    }

    private static void await(String what, Runnable holds) {
        Awaitility.await(what).atMost(Duration.ofSeconds(60)).untilAsserted(holds::run);
    }

    private static ValidatableResponse post(String address, Object body) {
        return given().contentType(ContentType.JSON).body(body).post(address).then();
    }

    @Test
    void aLaboratorySampleIsEnteredShownAndTakenBack() {
        Map<String, Object> sample = sample("2026-03-01T08:00:00Z", Map.of("hydrogen", "120.5", "acetylene", "<1"));
        post("/api/v1/assets/t1/samples", sample).statusCode(204);
        await(
                "the sample is shown",
                () -> assertThat(samples("t1")).anySatisfy(s -> {
                    assertThat(s)
                            .containsEntry("laboratory", "Marsh laboratory")
                            .containsEntry("reference", "R 17");
                    assertThat(s.get("gases")).isEqualTo(Map.of("hydrogen", "120.5", "acetylene", "<1"));
                    assertThat(s.get("by")).isEqualTo(Map.of("name", "L. Chemist", "door", As.PROGRAM));
                }));
        post("/api/v1/assets/t1/samples", sample).statusCode(409).body("detail", containsString("entered already"));
        post("/api/v1/assets/t1/samples/withdraw", sample).statusCode(204);
        post("/api/v1/assets/t1/samples/withdraw", sample).statusCode(404);
        await("the sample is gone", () -> assertThat(samples("t1")).isEmpty());
    }

    @Test
    void whatIsWrongWithASampleIsSaidWithItsField() {
        post("/api/v1/assets/t1/samples", sample("yesterday", Map.of("hydrogen", "5")))
                .statusCode(400)
                .body("detail", containsString("2026-11-20"));
        post("/api/v1/assets/t1/samples", sample("2026-03-02", Map.of("hydrogen", "-5")))
                .statusCode(400)
                .body("detail", containsString("no content of hydrogen"));
        post("/api/v1/assets/t1/samples", sample("2026-03-02", Map.of("helium", "5")))
                .statusCode(400)
                .body("detail", containsString("there is no gas `helium`"));
        post("/api/v1/assets/t1/samples", sample("2199-03-02", Map.of("hydrogen", "5")))
                .statusCode(409)
                .body("detail", containsString("future"));
        post("/api/v1/assets/t9/samples", sample("2026-03-02", Map.of("hydrogen", "5")))
                .statusCode(404)
                .body("detail", containsString("computes nothing"));
    }

    @Test
    void aTableIsTakenWholeOrNotAtAllAndMayBeSentAgain() {
        String address = "/api/v1/samples?by=L.%20Chemist&file=fen.csv";
        given().contentType("text/csv")
                .body(TABLE.replace("22", "22 ppm"))
                .post(address)
                .then()
                .statusCode(400)
                .body("detail", containsString("fen.csv:3:34: error: `22 ppm` is no content of hydrogen"));
        given().contentType("text/csv")
                .body(TABLE.replace("t2,", "t8,"))
                .post(address)
                .then()
                .statusCode(400)
                .body("detail", containsString("fen.csv:2:1: error: the station computes nothing of an asset `t8`"));
        assertThat(samples("t2")).isEmpty();
        given().contentType("text/csv")
                .body(TABLE)
                .post(address)
                .then()
                .statusCode(200)
                .body("[0]", equalTo("2 samples entered, 0 known already"));
        await("both are shown", () -> assertThat(samples("t2")).hasSize(2));
        given().contentType("text/csv")
                .body(TABLE)
                .post(address)
                .then()
                .statusCode(200)
                .body("[0]", equalTo("0 samples entered, 2 known already"));
    }

    @Test
    void picturesAreListedAndDrawn() {
        given().get("/api/v1/assets/t1/pictures").then().statusCode(200).body("form", equalTo("oilbird.pictures/1"));
        String svg = given().get("/api/v1/assets/t1/pictures/triangle-1.svg")
                .then()
                .statusCode(200)
                .contentType("image/svg+xml")
                .extract()
                .asString();
        assertThat(svg).contains("Transformer 1: triangle 1", "No gas analysis yet.");
        given().get("/api/v1/assets/t1/pictures/triangle-9.svg").then().statusCode(404);
        given().get("/api/v1/assets/gateway/pictures").then().statusCode(404);
    }
}
