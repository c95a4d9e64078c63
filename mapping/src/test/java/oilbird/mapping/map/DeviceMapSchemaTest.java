package oilbird.mapping.map;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.networknt.schema.Error;
import com.networknt.schema.InputFormat;
import com.networknt.schema.SchemaLocation;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import oilbird.mapping.address.WordOrder;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The published schema, by which editors complete and check a map. */
class DeviceMapSchemaTest {
    private static JsonNode schema() throws IOException {
        try (InputStream text = MapReader.class.getResourceAsStream(MapReader.SCHEMA)) {
            assertThat(text).isNotNull();
            return new ObjectMapper().readTree(text);
        }
    }

    /** JSON Schema draft 2020-12, whose meta-schema is part of the validator. */
    @Test
    void itIsAValidSchema() throws IOException {
        List<Error> errors = SchemaRegistry.withDefaultDialect(SpecificationVersion.DRAFT_2020_12)
                .getSchema(SchemaLocation.of("https://json-schema.org/draft/2020-12/schema"))
                .validate(schema().toString(), InputFormat.JSON);
        assertThat(errors).isEmpty();
    }

    @Test
    void everyKeyIsDescribedForEditors() throws IOException {
        List<String> undescribed = new ArrayList<>();
        JsonNode schema = schema();
        int keys = undescribed(schema, schema, "", undescribed);
        assertThat(undescribed).isEmpty();
        assertThat(keys).isGreaterThan(80);
    }

    private static int undescribed(JsonNode root, JsonNode node, String path, List<String> found) {
        int keys = 0;
        JsonNode properties = node.path("properties");
        for (var each = properties.fields(); each.hasNext(); ) {
            var entry = each.next();
            keys++;
            JsonNode target = entry.getValue();
            boolean described = target.has("description");
            if (target.has("$ref")) {
                described |= root.at(target.path("$ref").asText().substring(1)).has("description");
            }
            if (!described) {
                found.add(path + "/" + entry.getKey());
            }
        }
        for (var each = node.fields(); each.hasNext(); ) {
            var entry = each.next();
            if (entry.getValue().isObject()) {
                keys += undescribed(root, entry.getValue(), path + "/" + entry.getKey(), found);
            }
        }
        return keys;
    }

    @Test
    void itsListsAreThoseOfTheProgram() throws IOException {
        JsonNode point = schema().at("/$defs/point/properties");
        assertThat(texts(point.at("/type/enum")))
                .isEqualTo(Arrays.stream(ValueType.values())
                        .map(t -> t.name().toLowerCase(Locale.ROOT).replace('_', '-'))
                        .toList());
        assertThat(texts(point.at("/order/enum")))
                .isEqualTo(Arrays.stream(WordOrder.values()).map(Enum::name).toList());
        assertThat(texts(point.at("/unit/examples"))).hasSizeGreaterThan(60).allMatch(Unit::isKnown);
    }

    /**
     * What an editor offers at a place in the file: the keys of an object, or the texts of which one is meant. It
     * follows references, and takes whatever name stands under a key that may have any name.
     */
    private static List<String> offered(String place) throws IOException {
        JsonNode root = schema();
        JsonNode here = root;
        for (String step : place.split("/")) {
            if (!step.isEmpty()) {
                here = at(root, here, step);
            }
        }
        JsonNode target = resolved(root, here);
        List<String> offers = new ArrayList<>();
        target.path("properties").fieldNames().forEachRemaining(offers::add);
        for (JsonNode each : List.of(here, target)) {
            each.path("enum").forEach(text -> offers.add(text.asText()));
            each.path("examples").forEach(text -> offers.add(text.asText()));
        }
        return offers;
    }

    private static JsonNode at(JsonNode root, JsonNode here, String step) {
        JsonNode object = resolved(root, here);
        JsonNode named = object.path("properties").path(step);
        if (!named.isMissingNode()) {
            return named;
        }
        JsonNode any = object.path("additionalProperties");
        return any.isObject() ? any : object.path("items");
    }

    private static JsonNode resolved(JsonNode root, JsonNode node) {
        return node.has("$ref") ? root.at(node.path("$ref").asText().substring(1)) : node;
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "/ | device_map name text identification addresses poll_classes requests read_effects points words indications",
                "/addresses | zero-based one-based",
                "/identification | vendor product firmware",
                "/requests | max_registers max_bits read_across_gaps never_across by_hand",
                "/requests/by_hand/all | coil discrete_input holding_register input_register count poll",
                "/requests/never_across/0 | coil discrete_input holding_register input_register count",
                "/read_effects/0 | holding_register count text",
                "/points/flow | text coil holding_register node type order scale offset unit range no_value current_loop sensor valid_when frozen_after update poll verified",
                "/points/flow/type | bit int16 float32 bcd16 text cp56time2a number",
                "/points/flow/order | ABCD CDAB BADC DCBA",
                "/points/flow/sensor | pt100",
                "/points/flow/unit | ppm degC l/min ohm",
                "/points/flow/current_loop | at_4_ma at_20_ma",
                "/points/flow/update | every counter",
                "/points/flow/verified | by on",
                "/words/state | text width order bit_numbering bits",
                "/words/state/bit_numbering | lsb-0 lsb-1 msb-0 msb-1",
                "/words/state/bits/3 | indication inverted field values valid_when",
                "/indications/fan | text meaning engineer_only service makes first_checks semantic",
                "/indications/fan/makes | doubtful worthless",
                "/first_checks/look | exposure action accepted outcomes cautions minutes",
                "/first_checks/look/outcomes/0 | found means",
                "/clock | point zone wrong_beyond indication",
            })
    void anEditorOffersWhatBelongsThere(String place, String expected) throws IOException {
        assertThat(offered(place)).contains(expected.split(" "));
    }

    private static List<String> texts(JsonNode list) {
        List<String> texts = new ArrayList<>();
        list.forEach(item -> texts.add(item.asText()));
        return texts;
    }

    private static List<String> checked(String yaml) {
        try {
            return SchemaRegistry.withDefaultDialect(SpecificationVersion.DRAFT_2020_12)
                    .getSchema(schema())
                    .validate(yaml, InputFormat.YAML)
                    .stream()
                    .map(error -> error.getInstanceLocation() + " " + error.getKeyword())
                    .toList();
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private static final String LEAST = "device_map: 1\nname: pump\ntext: pump\npoll_classes: {status: 1 s}\n";

    /** What an editor marks, without Oilbird's own reader: the file, then the place and the rule that is broken. */
    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "points: {flow: {text: flow, typ: uint16}} | /points/flow additionalProperties",
                "points: {Flow: {text: flow}} | /points propertyNames",
                "points: {flow: {text: flow, type: unit16}} | /points/flow/type enum",
                "points: {flow: {text: flow, order: ABDC}} | /points/flow/order enum",
                "points: {flow: {text: flow, holding_register: 70000}} | /points/flow/holding_register maximum",
                "points: {flow: {text: flow, holding_register: -1}} | /points/flow/holding_register minimum",
                "points: {flow: {text: flow, range: [1]}} | /points/flow/range minItems",
                "points: {flow: {text: flow, sensor: pt1000}} | /points/flow/sensor enum",
                "points: {flow: {text: flow, valid_when: bit 3}} | /points/flow/valid_when pattern",
                "points: {flow: {text: flow, frozen_after: soon}} | /points/flow/frozen_after pattern",
                "points: {flow: {text: flow, update: {counter: c}}} | /points/flow/update required",
                "points: {flow: {holding_register: 1}} | /points/flow required",
                "points: {flow: {text: flow, verified: {by: a}}} | /points/flow/verified required",
                "points: {flow: {text: flow, verified: {by: a, on: March}}} | /points/flow/verified/on pattern",
                "words: {state: {text: s, width: 65, bits: {0: a}}} | /words/state/width maximum",
                "words: {state: {text: s, width: 16, bits: {}}} | /words/state/bits minProperties",
                "words: {state: {text: s, width: 16, bit_numbering: msb, bits: {0: a}}} | /words/state/bit_numbering enum",
                "words: {state: {text: s, width: 16, bits: {0: {indication: a, invert: true}}}} | /words/state/bits/0 additionalProperties",
                "clock: {point: t, zone: UTC, wrong_beyond: 1 min} | /clock required",
                "clock: {point: t, zone: UTC, wrong_beyond: 60, indication: c} | /clock/wrong_beyond type",
                "first_checks: {look: {exposure: 5, action: a, outcomes: [{found: b, means: c}]}} | /first_checks/look/exposure maximum",
                "first_checks: {look: {exposure: 0, action: a, outcomes: []}} | /first_checks/look/outcomes minItems",
                "requests: {max_registers: 126} | /requests/max_registers maximum",
                "read_effects: [{coil: 1, count: 1}] | /read_effects/0 required",
                "colour: red | ' additionalProperties'",
            })
    void anEditorMarksTheMistake(String addition, String expected) {
        assertThat(checked(LEAST + addition)).containsExactly(expected);
    }

    @Test
    void anEditorMarksNothingInTheDemoMaps() {
        assertThat(checked(LEAST)).isEmpty();
        for (String map : List.of("hbg-8", "tcc-4", "swt-2", "rvb-3", "cwt-5")) {
            assertThat(checked(DemoMaps.text(map))).as(map).isEmpty();
        }
    }

    /** Editors offer the values of an enumeration and insert nothing else. */
    @Test
    void everyTextThatIsOneOfAFewIsAnEnumeration() throws IOException {
        List<String> found = new ArrayList<>();
        enumerations(schema(), "", found);
        assertThat(found)
                .contains(
                        "/properties/addresses",
                        "/$defs/point/properties/type",
                        "/$defs/point/properties/order",
                        "/$defs/point/properties/sensor",
                        "/$defs/word/properties/bit_numbering");
    }

    private static void enumerations(JsonNode node, String path, List<String> found) {
        if (node.path("enum").isArray()) {
            found.add(path);
        }
        for (var each = node.fields(); each.hasNext(); ) {
            var entry = each.next();
            enumerations(entry.getValue(), path + "/" + entry.getKey(), found);
        }
    }
}
