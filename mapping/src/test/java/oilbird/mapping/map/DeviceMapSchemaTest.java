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
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import oilbird.mapping.address.WordOrder;
import org.junit.jupiter.api.Test;

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
    }

    private static List<String> texts(JsonNode list) {
        List<String> texts = new ArrayList<>();
        list.forEach(item -> texts.add(item.asText()));
        return texts;
    }
}
