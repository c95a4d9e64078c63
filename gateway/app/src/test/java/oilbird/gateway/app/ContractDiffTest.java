package oilbird.gateway.app;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.nio.file.Path;
import java.util.List;
import java.util.Set;
import java.util.function.Consumer;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;

/** Changes planted in the committed descriptions: those that break somebody are found, and no others. */
class ContractDiffTest {
    private static final ObjectMapper JSON = new ObjectMapper();
    private static final JsonNode OPENAPI = read("openapi.json");
    private static final JsonNode FORMS = read("forms.json");
    private static final String SHELVE = "/paths/~1api~1v1~1alarms~1{asset}~1{rule}~1shelve";

    private static JsonNode read(String name) {
        try {
            return JSON.readTree(Path.of("../../deploy/docs/" + name).toFile());
        } catch (java.io.IOException e) {
            throw new java.io.UncheckedIOException(e);
        }
    }

    private static Arguments planted(String told, Consumer<JsonNode> change) {
        return Arguments.of(told, change);
    }

    private static ObjectNode at(JsonNode root, String pointer) {
        JsonNode found = root.at(pointer);
        assertThat(found).as(pointer).isInstanceOf(ObjectNode.class);
        return (ObjectNode) found;
    }

    static Stream<Arguments> breakingChanges() {
        return Stream.of(
                planted("/api/v1/devices: removed", api -> at(api, "/paths").remove("/api/v1/devices")),
                planted(
                        "POST /api/v1/alarms/{asset}/{rule}/shelve: removed",
                        api -> at(api, SHELVE).remove("post")),
                planted(
                        "DeviceForm.product: removed",
                        api -> at(api, "/components/schemas/DeviceForm/properties")
                                .remove("product")),
                planted("DeviceForm.product: removed", api -> {
                    ObjectNode keys = at(api, "/components/schemas/DeviceForm/properties");
                    keys.set("model", keys.remove("product"));
                }),
                planted(
                        "Counts.good: type [integer] became [string]",
                        api -> at(api, "/components/schemas/Counts/properties/good")
                                .put("type", "string")
                                .remove("format")),
                planted("ActForm.signature: now required", api -> {
                    ObjectNode form = at(api, "/components/schemas/ActForm");
                    form.withObject("/properties").putObject("signature").put("type", "string");
                    form.withArray("/required").add("signature");
                }),
                planted(
                        "ActForm.reason: now required",
                        api -> at(api, "/components/schemas/ActForm")
                                .withArray("/required")
                                .add("reason")),
                planted(
                        "ActForm.comment: maxLength none became 10",
                        api -> at(api, "/components/schemas/ActForm/properties/comment")
                                .put("maxLength", 10)),
                planted(
                        "GET /api/v1/alarms: parameter query token: new and required",
                        api -> ((ArrayNode) api.at("/paths/~1api~1v1~1alarms/get/parameters"))
                                .addObject()
                                .put("in", "query")
                                .put("name", "token")
                                .put("required", true)),
                planted("GET /api/v1/alarms: parameter query after: removed", api -> {
                    ArrayNode parameters = (ArrayNode) api.at("/paths/~1api~1v1~1alarms/get/parameters");
                    for (int i = 0; i < parameters.size(); i++) {
                        if (parameters.path(i).path("name").asText().equals("after")) {
                            parameters.remove(i);
                        }
                    }
                }),
                planted(
                        "GET /api/v1/devices: answer 200: removed",
                        api -> at(api, "/paths/~1api~1v1~1devices/get/responses")
                                .remove("200")),
                planted("GET /api/v1/devices: answer 200: application/json: removed", api -> {
                    ObjectNode content = at(api, "/paths/~1api~1v1~1devices/get/responses/200/content");
                    content.set("application/xml", content.remove("application/json"));
                }));
    }

    @ParameterizedTest(name = "{0}")
    @MethodSource("breakingChanges")
    void aChangeThatBreaksSomebodyIsTold(String told, Consumer<JsonNode> change) {
        JsonNode changed = OPENAPI.deepCopy();
        change.accept(changed);
        assertThat(ContractDiff.ofOpenApi(OPENAPI, changed)).containsExactly(told);
    }

    @Test
    void whatOnlyAddsBreaksNobody() {
        JsonNode more = OPENAPI.deepCopy();
        at(more, "/paths").set("/api/v1/new", at(more, "/paths").get("/api/v1/devices"));
        at(more, "/components/schemas/DeviceForm/properties").putObject("new").put("type", "string");
        at(more, "/components/schemas/ActForm/properties").putObject("new").put("type", "string");
        ((ArrayNode) more.at("/paths/~1api~1v1~1alarms/get/parameters"))
                .addObject()
                .put("in", "query")
                .put("name", "new");

        assertThat(ContractDiff.ofOpenApi(OPENAPI, more)).isEmpty();
        assertThat(ContractDiff.ofOpenApi(OPENAPI, OPENAPI)).isEmpty();
        assertThat(ContractDiff.ofOpenApi(more, OPENAPI))
                .as("the other way round it does break")
                .hasSizeGreaterThanOrEqualTo(4);
    }

    @Test
    void aPublishedFormThatLosesOrChangesSomethingIsTold() {
        JsonNode changed = FORMS.deepCopy();
        at(changed, "/alarm-event-1.schema.json/properties").remove("headline");
        at(changed, "/common-1.schema.json/$defs/time").put("type", "integer");
        at(changed, "/cloud-event-1.schema.json/properties/specversion").put("const", "2.0");
        at(changed, "/act-1.schema.json").withArray("/required").add("reason");
        ((ObjectNode) changed).remove("gateway-1.schema.json");
        ((ArrayNode) at(changed, "/notice-1.schema.json").at("/required")).remove(0);

        List<String> told = ContractDiff.ofForms(FORMS, changed, Set.of("act-1.schema.json"));
        assertThat(told)
                .contains(
                        "alarm-event-1.headline: removed",
                        "common-1/$defs/time: type [string] became [integer]",
                        "cloud-event-1.specversion: value \"1.0\" became \"2.0\"",
                        "act-1.reason: now required",
                        "gateway-1.schema.json: removed",
                        "notice-1.form: no longer always there");
        assertThat(ContractDiff.ofForms(FORMS, FORMS, Set.of())).isEmpty();
    }
}
