package oilbird.gateway.station;

import static org.assertj.core.api.Assertions.assertThat;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.io.InputStream;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The published schemas, each of which says in words what to write where a text must have a certain shape. */
class SchemaRemediesTest {
    @ParameterizedTest
    @ValueSource(strings = {"device-map-1", "alarm-rules-1", "fault-model-1", "station-1"})
    void whereATextHasToHaveAShapeTheRemedyIsInWordsAndNoPattern(String name) throws IOException {
        List<String> shaped = new ArrayList<>();
        List<String> silent = new ArrayList<>();
        try (InputStream text = getClass().getResourceAsStream("/oilbird/schema/" + name + ".schema.json")) {
            look(new ObjectMapper().readTree(text), "", shaped, silent);
        }
        assertThat(shaped).hasSizeGreaterThan(3);
        assertThat(silent).isEmpty();
    }

    private static void look(JsonNode node, String path, List<String> shaped, List<String> silent) {
        if (node.path("pattern").isTextual()) {
            shaped.add(path);
            if (!node.path("remedy").isTextual()) {
                silent.add(path);
            }
        }
        node.fields().forEachRemaining(field -> look(field.getValue(), path + "/" + field.getKey(), shaped, silent));
    }
}
