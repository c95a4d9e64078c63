package oilbird.mapping.text;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.JsonNodeFactory;
import com.fasterxml.jackson.databind.node.ObjectNode;
import com.networknt.schema.Error;
import com.networknt.schema.Schema;
import com.networknt.schema.SchemaRegistry;
import com.networknt.schema.dialect.Dialect;
import com.networknt.schema.dialect.Dialects;
import com.networknt.schema.keyword.AnnotationKeyword;
import com.networknt.schema.keyword.DisallowUnknownKeywordFactory;
import com.networknt.schema.path.NodePath;
import java.io.InputStream;
import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.Iterator;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Checks a document against a published JSON Schema (draft 2020-12) and tells every mistake at its
 * position in words with a remedy.
 *
 * <p>A schema may give its own words in the annotation {@code remedy} beside a {@code pattern} or
 * another keyword.
 */
public final class SchemaCheck {
    /** Draft 2020-12 with our one annotation; a misspelt keyword in a schema is refused, not ignored. */
    private static final Dialect DIALECT = Dialect.builder(Dialects.getDraft202012())
            .keyword(new AnnotationKeyword("remedy"))
            .unknownKeywordFactory(DisallowUnknownKeywordFactory.getInstance())
            .build();

    private final Schema schema;
    private final JsonNode schemaRoot;

    private SchemaCheck(Schema schema) {
        this.schema = schema;
        this.schemaRoot = schema.getSchemaNode();
    }

    /**
     * Loads a schema that is part of the program.
     *
     * @param resource absolute class path name, for example {@code /oilbird/schema/device-map-1.schema.json}.
     * @throws IllegalArgumentException if there is no such resource or it is no schema.
     */
    public static SchemaCheck of(String resource) {
        InputStream text = SchemaCheck.class.getResourceAsStream(resource);
        if (text == null) {
            throw new IllegalArgumentException("no such schema: " + resource);
        }
        Schema schema = SchemaRegistry.withDefaultDialect(DIALECT).getSchema(text);
        schema.initializeValidators();
        return new SchemaCheck(schema);
    }

    /** Adds the mistakes to the document's own problems. */
    public void check(YamlNode root) {
        List<Error> errors = new ArrayList<>(schema.validate(json(root)));
        // Of several complaints about one value the wrong type is the one that helps.
        errors.sort(Comparator.comparing((Error e) -> !e.getKeyword().equals("type")));
        for (Error error : errors) {
            tell(root, error);
        }
    }

    private void tell(YamlNode root, Error error) {
        YamlNode node = find(root, error.getInstanceLocation());
        JsonNode rule = parentRule(error.getSchemaLocation().getFragment());
        String keyword = error.getKeyword();
        String property = error.getProperty() == null ? "" : error.getProperty();
        switch (keyword) {
            case "type" -> Mistakes.wrongType(node, texts(rule.path("type")), remedy(rule, ""));
            case "required" -> {
                if (node instanceof YamlMapping mapping) {
                    Mistakes.missingKey(mapping, property);
                }
            }
            case "additionalProperties" -> {
                if (node instanceof YamlMapping mapping) {
                    Mistakes.unknownKey(mapping, property, names(rule.path("properties")));
                }
            }
            case "enum", "const" ->
                Mistakes.notOneOf(
                        node,
                        remedy(
                                rule,
                                Mistakes.otherWords(
                                        node instanceof YamlScalar scalar ? scalar.written() : "",
                                        texts(rule.path(keyword)))));
            case "minimum" ->
                node.problems()
                        .misshapen(node.position(), node.shown() + " is too small", remedy(rule, numberRemedy(rule)));
            case "maximum" ->
                node.problems()
                        .misshapen(node.position(), node.shown() + " is too large", remedy(rule, numberRemedy(rule)));
            case "exclusiveMinimum" ->
                node.problems()
                        .misshapen(
                                node.position(),
                                node.shown() + " is too small",
                                remedy(rule, "write a number above " + rule.path(keyword)));
            case "exclusiveMaximum" ->
                node.problems()
                        .misshapen(
                                node.position(),
                                node.shown() + " is too large",
                                remedy(rule, "write a number below " + rule.path(keyword)));
            case "pattern" ->
                node.problems()
                        .misshapen(
                                node.position(),
                                node.shown() + " is not written as it must be",
                                remedy(rule, "write it so that it matches " + rule.path("pattern")));
            case "minLength" ->
                node.problems()
                        .misshapen(
                                node.position(),
                                "the text " + node.shown() + " is too short",
                                remedy(rule, "write at least " + counted(rule.path(keyword), "character")));
            case "maxLength" ->
                node.problems()
                        .misshapen(
                                node.position(),
                                "the text " + node.shown() + " is too long",
                                remedy(rule, "write at most " + counted(rule.path(keyword), "character")));
            case "minItems" ->
                node.problems()
                        .misshapen(
                                node.position(),
                                "the list is too short",
                                remedy(rule, "give at least " + counted(rule.path(keyword), "item")));
            case "maxItems" ->
                node.problems()
                        .misshapen(
                                node.position(),
                                "the list is too long",
                                remedy(rule, "give at most " + counted(rule.path(keyword), "item")));
            case "uniqueItems" ->
                node.problems().misshapen(node.position(), "an item is given twice", remedy(rule, "delete one"));
            case "minProperties" ->
                node.problems()
                        .misshapen(
                                node.position(),
                                "nothing is described here",
                                remedy(rule, "describe at least " + rule.path(keyword)));
            case "maxProperties" ->
                node.problems()
                        .misshapen(
                                node.position(),
                                "too much is described here",
                                remedy(rule, "describe at most " + rule.path(keyword)));
            case "propertyNames" -> tellName(node, property, rule);
            default ->
                node.problems()
                        .misshapen(node.position(), error.getMessage(), remedy(rule, "correct it as the schema says"));
        }
    }

    private void tellName(YamlNode node, String name, JsonNode rule) {
        JsonNode names = rule.path("propertyNames");
        if (names.has("$ref")) {
            names = schemaRoot.at(names.path("$ref").asText().substring(1));
        }
        Position at = node instanceof YamlMapping mapping ? mapping.keyPosition(name) : node.position();
        node.problems()
                .misshapen(
                        at,
                        "the name " + Mistakes.quoted(name) + " is not written as it must be",
                        remedy(names, "write it so that it matches " + names.path("pattern")));
    }

    private static String counted(JsonNode count, String noun) {
        return count.asInt() == 1 ? "one " + noun : count.asInt() + " " + noun + "s";
    }

    private static String numberRemedy(JsonNode rule) {
        JsonNode low = rule.path("minimum");
        JsonNode high = rule.path("maximum");
        if (low.isMissingNode()) {
            return "write at most " + high;
        }
        return high.isMissingNode() ? "write at least " + low : "write " + low + " to " + high;
    }

    private static String remedy(JsonNode rule, String otherwise) {
        return rule.path("remedy").isTextual() ? rule.path("remedy").asText() : otherwise;
    }

    /** The schema object that holds the keyword that failed. */
    private JsonNode parentRule(NodePath keywordPath) {
        JsonNode rule = schemaRoot;
        for (int i = 0; i < keywordPath.getNameCount() - 1; i++) {
            Object step = keywordPath.getElement(i);
            rule = step instanceof Integer index ? rule.path(index) : rule.path(step.toString());
        }
        return rule;
    }

    private static YamlNode find(YamlNode root, NodePath path) {
        YamlNode node = root;
        for (int i = 0; i < path.getNameCount(); i++) {
            YamlNode next = null;
            if (node instanceof YamlMapping mapping) {
                next = mapping.get(path.getElement(i).toString());
            } else if (node instanceof YamlList list && path.getElement(i) instanceof Integer index) {
                next = index < list.items().size() ? list.items().get(index) : null;
            }
            if (next == null) {
                return node;
            }
            node = next;
        }
        return node;
    }

    private static List<String> texts(JsonNode oneOrMany) {
        List<String> texts = new ArrayList<>();
        if (oneOrMany.isArray()) {
            oneOrMany.forEach(item -> texts.add(item.asText()));
        } else {
            texts.add(oneOrMany.asText());
        }
        return texts;
    }

    private static List<String> names(JsonNode object) {
        List<String> names = new ArrayList<>();
        for (Iterator<String> each = object.fieldNames(); each.hasNext(); ) {
            names.add(each.next());
        }
        return names;
    }

    private static JsonNode json(YamlNode node) {
        JsonNodeFactory factory = JsonNodeFactory.withExactBigDecimals(true);
        if (node instanceof YamlMapping mapping) {
            ObjectNode object = factory.objectNode();
            for (YamlMapping.Entry entry : mapping.entries()) {
                object.set(entry.key(), json(entry.value()));
            }
            return object;
        }
        if (node instanceof YamlList list) {
            ArrayNode array = factory.arrayNode();
            for (YamlNode item : list.items()) {
                array.add(json(item));
            }
            return array;
        }
        YamlScalar scalar = (YamlScalar) node;
        @Nullable BigDecimal number = scalar.number();
        return switch (scalar.kind()) {
            case TEXT -> factory.textNode(scalar.written());
            case TRUTH -> factory.booleanNode(scalar.written().equals("true"));
            case NOTHING -> factory.nullNode();
            case WHOLE -> factory.numberNode(number == null ? null : number.toBigInteger());
            case DECIMAL -> factory.numberNode(number);
        };
    }
}
