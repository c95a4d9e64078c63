package oilbird.gateway.app;

import static oilbird.gateway.app.As.given;
import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.SerializationFeature;
import com.fasterxml.jackson.databind.node.ObjectNode;
import com.networknt.schema.SchemaLocation;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import io.quarkus.test.common.QuarkusTestResource;
import io.quarkus.test.junit.QuarkusTest;
import io.restassured.response.Response;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import org.junit.jupiter.api.Test;

/**
 * What the gateway promises to programs: its description and its published schemas are those committed under
 * {@code deploy/docs}, and what it really answers fits them.
 */
@QuarkusTest
@QuarkusTestResource(SilentStation.class)
class ContractTest {
    private static final Path DOCS = Path.of("../../deploy/docs");
    private static final ObjectMapper JSON = new ObjectMapper().enable(SerializationFeature.INDENT_OUTPUT);
    private static final Set<String> ASKED = Set.of(
            "act-1.schema.json",
            "standing-act-1.schema.json",
            "fault-finding-act-1.schema.json",
            "sample-1.schema.json",
            "sign-in-1.schema.json",
            "set-up-1.schema.json",
            "password-1.schema.json");

    private static JsonNode description() throws IOException {
        return sorted(JSON.readTree(given().get("/api/v1/openapi?format=json").asString()));
    }

    /** Keys in order, so that the committed file changes only where the interface does. */
    private static JsonNode sorted(JsonNode node) {
        if (node instanceof ObjectNode object) {
            ObjectNode copy = JSON.createObjectNode();
            Map<String, JsonNode> keys = new TreeMap<>();
            object.fields().forEachRemaining(entry -> keys.put(entry.getKey(), sorted(entry.getValue())));
            copy.setAll(keys);
            return copy;
        }
        if (node.isArray()) {
            var copy = JSON.createArrayNode();
            node.forEach(each -> copy.add(sorted(each)));
            return copy;
        }
        return node;
    }

    private static ObjectNode forms() throws IOException {
        ObjectNode forms = JSON.createObjectNode();
        for (String path : given().get("/api/v1/schemas").jsonPath().<String>getList("schemas")) {
            Response schema = given().get(path);
            assertThat(schema.statusCode()).as(path).isEqualTo(200);
            forms.set(path.substring("/api/v1/schemas/".length()), JSON.readTree(schema.asByteArray()));
        }
        return forms;
    }

    @Test
    void theInterfaceBreaksNobodyUnannounced() throws IOException {
        JsonNode description = description();
        ObjectNode forms = forms();
        boolean update = "update".equals(System.getProperty("oilbird.contract"));
        if (update && !Files.exists(DOCS.resolve("openapi.json"))) {
            write("openapi.json", description);
            write("forms.json", forms);
        }
        JsonNode committed = JSON.readTree(DOCS.resolve("openapi.json").toFile());
        JsonNode committedForms = JSON.readTree(DOCS.resolve("forms.json").toFile());
        List<String> breaking = new ArrayList<>(ContractDiff.ofOpenApi(committed, description));
        breaking.addAll(ContractDiff.ofForms(committedForms, forms, ASKED));
        String announced = Files.readString(DOCS.resolve("interface-changes.md"));

        assertThat(breaking.stream().filter(change -> !announced.contains("`" + change + "`")))
                .as("These changes break programs that use the interface. Undo them, or announce each in"
                        + " deploy/docs/interface-changes.md as that page says.")
                .isEmpty();
        if (update) {
            write("openapi.json", description);
            write("forms.json", forms);
            return;
        }
        String remedy = "The interface has changed and breaks nobody. Take the change over into deploy/docs with"
                + " ./mvnw -pl gateway/app -am test -Dtest=ContractTest -Dsurefire.failIfNoSpecifiedTests=false"
                + " -Doilbird.contract=update, and look at the difference.";
        assertThat(description).as(remedy).isEqualTo(committed);
        assertThat(forms).as(remedy).isEqualTo(committedForms);
    }

    private static void write(String name, JsonNode node) throws IOException {
        Files.writeString(DOCS.resolve(name), JSON.writeValueAsString(node) + "\n");
    }

    @Test
    void whatIsAnsweredFitsThePublishedSchemas() throws IOException {
        Map<String, String> documents = new LinkedHashMap<>();
        forms().fields()
                .forEachRemaining(form -> documents.put(
                        "https://oilbird.example/" + form.getKey(),
                        form.getValue().toString()));
        SchemaRegistry registry = SchemaRegistry.withDefaultDialect(
                SpecificationVersion.DRAFT_2020_12, builder -> builder.schemas(documents));
        List<String> answers = List.of(
                "needs-someone",
                "alarms",
                "alarms?limit=2",
                "alarms/t1/gas-t1.oil-flow-low",
                "alarms/t1/gas-t1.communication-lost/events",
                "assets",
                "assets/t1",
                "devices",
                "lines",
                "links",
                "links/control-room",
                "devices/gas-t1",
                "readings",
                "readings?limit=3&quality=bad",
                "readings/gas-t1/hydrogen",
                "record",
                "standing",
                "diagnoses",
                "fault-findings",
                "record?kind=raised&before=100000",
                "rules",
                "health",
                "schemas",
                "session",
                "devices/no-such",
                "alarms?limit=0");
        for (String path : answers) {
            Response answer = given().get("/api/v1/" + path);
            JsonNode json = JSON.readTree(answer.asByteArray());
            String schema = answer.statusCode() < 400
                    ? json.path("form").asText().replace("oilbird.", "").replace('/', '-') + ".schema.json"
                    : "problem-1.schema.json";
            assertThat(documents).as(path).containsKey("https://oilbird.example/" + schema);
            assertThat(registry.getSchema(SchemaLocation.of("https://oilbird.example/" + schema))
                            .validate(json))
                    .as(path)
                    .isEmpty();
        }
    }

    /** RFC 9457, 3: members type, title, status and detail, and the media type. */
    @Test
    void everyMistakeIsAnsweredWithProblemDetails() throws IOException {
        Object[][] mistakes = {
            {404, "", given().get("/api/v1/no-such")},
            {404, "", given().get("/api/v1/readings/gas-t1/no-such")},
            {404, "", given().get("/api/v1/links/no-such")},
            {404, "", given().contentType("application/json").body("{}").post("/api/v1/links/no-such/test")},
            {
                400,
                "within",
                given().contentType("application/json")
                        .body("{\"within\":\"PT2M\"}")
                        .post("/api/v1/links/control-room/test")
            },
            {404, "", given().get("/api/v1/diagnoses/no-such")},
            {404, "", given().get("/api/v1/fault-findings/no-such")},
            {404, "", given().get("/api/v1/fault-findings/no-such/record")},
            {400, "key", finding("", "{\"by\":\"A\",\"diagnosis\":\"gw.1.1\"}")},
            {400, "diagnosis", finding("", "{\"by\":\"A\",\"key\":\"k\"}")},
            {404, "", finding("", "{\"by\":\"A\",\"key\":\"k\",\"diagnosis\":\"gw.1.1\"}")},
            {400, "seen", finding("/gw.1.1/inputs", "{\"by\":\"A\",\"key\":\"k\",\"does\":\"join\"}")},
            {400, "seen", finding("/gw.1.1/inputs", "{\"by\":\"A\",\"seen\":\"x\"}")},
            {400, "does", finding("/gw.1.1/inputs", "{\"by\":\"A\",\"key\":\"k\",\"seen\":0,\"does\":\"mend\"}")},
            {400, "doneAt", finding("/gw.1.1/inputs", "{\"by\":\"A\",\"key\":\"k\",\"seen\":0,\"doneAt\":\"today\"}")},
            {404, "", finding("/gw.1.1/inputs", "{\"by\":\"A\",\"key\":\"k\",\"seen\":0,\"does\":\"join\"}")},
            {400, "before", given().get("/api/v1/record?after=1&before=2")},
            {404, "", given().get("/api/v1/record?after=windlow-gw1.1.1")},
            {400, "after", given().get("/api/v1/record?after=yesterday")},
            {400, "limit", given().get("/api/v1/alarms?limit=1001")},
            {400, "priority", given().get("/api/v1/alarms?priority=high")},
            {400, "active", given().get("/api/v1/alarms?active=yes")},
            {400, "after", given().get("/api/v1/alarms?after=nonsense")},
            {400, "devcie", given().get("/api/v1/alarms?devcie=gas-t1")},
            {405, "", given().contentType("application/json").body("{}").put("/api/v1/devices")},
            {405, "", given().get("/api/v1/alarms/t1/gas-t1.oil-flow-low/acknowledge")},
            {406, "", given().accept("text/html").get("/api/v1/devices")},
            {415, "", given().contentType("text/plain").body("by me").post(comment())},
            {400, "", given().contentType("application/json").body("{\"by\":").post(comment())},
            {400, "", given().contentType("application/json").body("[]").post(comment())},
            {
                400,
                "by",
                given().contentType("application/json")
                        .body("{\"comment\":\"x\",\"by\":\"" + "x".repeat(61) + "\"}")
                        .post(comment())
            },
            {
                400,
                "by",
                given().contentType("application/json").body("{\"by\":5}").post(comment())
            },
            {
                400,
                "comment",
                given().contentType("application/json")
                        .body("{\"by\":\"A\",\"comment\":{}}")
                        .post(comment())
            },
            {
                400,
                "coment",
                given().contentType("application/json")
                        .body("{\"by\":\"A\",\"coment\":\"x\"}")
                        .post(comment())
            },
            {
                400,
                "duration",
                given().contentType("application/json")
                        .body("{\"by\":\"A\",\"reason\":\"x\",\"duration\":\"2 h\"}")
                        .post("/api/v1/alarms/t1/gas-t1.oil-flow-low/shelve")
            },
            {
                409,
                "",
                given().contentType("application/json")
                        .body("{\"by\":\"A\"}")
                        .post("/api/v1/alarms/t1/gas-t1.oil-flow-low/unshelve")
            },
            {
                412,
                "",
                given().contentType("application/json")
                        .header("If-Match", "\"windlow-gw1.1.1\"")
                        .body("{\"by\":\"A\",\"comment\":\"x\"}")
                        .post(comment())
            },
            {500, "", given().get("/api/v1/broken")},
        };
        for (Object[] mistake : mistakes) {
            Response answer = (Response) mistake[2];
            JsonNode problem = JSON.readTree(answer.asByteArray());
            assertThat(answer.statusCode()).as(problem.toString()).isEqualTo(mistake[0]);
            assertThat(answer.contentType()).startsWith("application/problem+json");
            assertThat(problem.path("status").asInt()).isEqualTo(mistake[0]);
            assertThat(problem.path("type").asText()).as(problem.toString()).isNotBlank();
            assertThat(problem.path("title").asText()).isNotBlank();
            assertThat(problem.path("detail").asText())
                    .as(problem.toString())
                    .isNotBlank()
                    .doesNotContain("Exception", "jakarta", "fasterxml", "HTTP ");
            assertThat(problem.path("field").asText()).as(problem.toString()).isEqualTo(mistake[1]);
        }
    }

    private static Response finding(String below, String body) {
        return given().contentType("application/json").body(body).post("/api/v1/fault-findings" + below);
    }

    private static String comment() {
        return "/api/v1/alarms/t1/gas-t1.oil-flow-low/comment";
    }

    @Test
    void anotherMethodIsToldWhichOnesThereAre() {
        assertThat(given().delete("/api/v1/devices").header("Allow")).contains("GET");
    }
}
