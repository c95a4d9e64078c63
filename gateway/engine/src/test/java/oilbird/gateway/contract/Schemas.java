package oilbird.gateway.contract;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ObjectNode;
import com.networknt.schema.Error;
import com.networknt.schema.SchemaLocation;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.SpecificationVersion;
import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.net.URISyntaxException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.stream.Stream;

/** The published schemas, made strict: a key that a schema does not name is a mistake here, and none for a receiver. */
final class Schemas {
    private static final ObjectMapper JSON = new ObjectMapper();
    private static final String BASE = "https://oilbird.example/schemas/";

    private final SchemaRegistry registry;

    Schemas() {
        Map<String, String> documents = new LinkedHashMap<>();
        for (String name : names()) {
            documents.put(BASE + name, strict(name));
        }
        registry = SchemaRegistry.withDefaultDialect(
                SpecificationVersion.DRAFT_2020_12, builder -> builder.schemas(documents));
    }

    static List<String> names() {
        try (Stream<Path> files = Files.list(Path.of(
                Objects.requireNonNull(Forms.class.getResource("schema")).toURI()))) {
            return files.map(file -> file.getFileName().toString()).sorted().toList();
        } catch (IOException | URISyntaxException e) {
            throw new IllegalStateException(e);
        }
    }

    static JsonNode document(String name) {
        try (InputStream in = Objects.requireNonNull(Forms.class.getResourceAsStream("schema/" + name), name)) {
            return JSON.readTree(in);
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    private static String strict(String name) {
        JsonNode document = document(name);
        close(document);
        return document.toString();
    }

    private static void close(JsonNode node) {
        if (node instanceof ObjectNode object
                && object.has("properties")
                && object.path("type").asText().equals("object")) {
            object.put("additionalProperties", false);
        }
        node.forEach(Schemas::close);
    }

    /** What is wrong with a written form by its schema; empty when nothing is. */
    List<String> mistakes(String schema, byte[] written) {
        try {
            JsonNode instance = JSON.readTree(written);
            List<Error> errors =
                    registry.getSchema(SchemaLocation.of(BASE + schema)).validate(instance);
            return errors.stream().map(Error::toString).toList();
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }
}
