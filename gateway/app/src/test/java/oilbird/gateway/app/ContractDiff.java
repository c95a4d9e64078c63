package oilbird.gateway.app;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import com.fasterxml.jackson.databind.node.TextNode;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;

/**
 * What of a new description of the interface breaks a program written against the old one: whoever asks may no longer
 * ask as before, or no longer gets what was promised.
 *
 * <p>Not breaking: a new path, parameter or key that may be left out, a new key in an answer, a new value of an
 * enumeration in an answer.
 */
final class ContractDiff {
    private enum Side {
        ASKED,
        ANSWERED
    }

    private static final List<String> METHODS = List.of("get", "put", "post", "delete", "patch", "head", "options");
    private static final Map<String, Integer> BOUNDS = bounds();

    private final JsonNode before;
    private final JsonNode after;
    private final List<String> breaking = new ArrayList<>();
    private final Set<String> compared = new LinkedHashSet<>();

    private ContractDiff(JsonNode before, JsonNode after) {
        this.before = before;
        this.after = after;
    }

    /** Keyword and the direction in which it grows stricter. */
    private static Map<String, Integer> bounds() {
        Map<String, Integer> bounds = new LinkedHashMap<>();
        bounds.put("maxLength", -1);
        bounds.put("maximum", -1);
        bounds.put("maxItems", -1);
        bounds.put("minLength", 1);
        bounds.put("minimum", 1);
        bounds.put("minItems", 1);
        return bounds;
    }

    /** Two descriptions by OpenAPI 3.1. */
    static List<String> ofOpenApi(JsonNode before, JsonNode after) {
        ContractDiff diff = new ContractDiff(before, after);
        diff.paths();
        return diff.breaking;
    }

    /**
     * Two sets of published JSON Schemas, each by its file name.
     *
     * @param asked names of those that clients send; all others are sent to them.
     */
    static List<String> ofForms(JsonNode before, JsonNode after, Set<String> asked) {
        ContractDiff diff = new ContractDiff(inOneDocument(before), inOneDocument(after));
        for (Iterator<String> names = before.fieldNames(); names.hasNext(); ) {
            String name = names.next();
            if (after.has(name)) {
                diff.schema(
                        name.replace(".schema.json", ""),
                        ref(name),
                        ref(name),
                        asked.contains(name) ? Side.ASKED : Side.ANSWERED);
            } else {
                diff.breaking.add(name + ": removed");
            }
        }
        return diff.breaking;
    }

    private static JsonNode ref(String name) {
        return new ObjectMapper().createObjectNode().put("$ref", "#/" + name);
    }

    private static JsonNode inOneDocument(JsonNode bundle) {
        JsonNode copy = bundle.deepCopy();
        copy.fields().forEachRemaining(file -> repoint(file.getValue(), file.getKey()));
        return copy;
    }

    private static void repoint(JsonNode node, String file) {
        if (node instanceof ObjectNode object && object.path("$ref").isTextual()) {
            String ref = object.path("$ref").asText();
            int hash = ref.indexOf('#');
            String target = hash < 0 ? ref : ref.substring(0, hash);
            String pointer = hash < 0 ? "" : ref.substring(hash + 1);
            object.set("$ref", TextNode.valueOf("#/" + (target.isEmpty() ? file : target) + pointer));
        }
        node.forEach(child -> repoint(child, file));
    }

    private void paths() {
        for (Iterator<String> paths = before.path("paths").fieldNames(); paths.hasNext(); ) {
            String path = paths.next();
            JsonNode was = before.path("paths").path(path);
            JsonNode is = after.path("paths").path(path);
            if (is.isMissingNode()) {
                breaking.add(path + ": removed");
                continue;
            }
            for (String method : METHODS) {
                if (was.has(method)) {
                    String where = method.toUpperCase(java.util.Locale.ROOT) + " " + path;
                    if (is.has(method)) {
                        operation(where, was, was.path(method), is, is.path(method));
                    } else {
                        breaking.add(where + ": removed");
                    }
                }
            }
        }
    }

    private void operation(String where, JsonNode wasPath, JsonNode was, JsonNode isPath, JsonNode is) {
        Map<String, JsonNode> wasParameters = parameters(wasPath, was, before);
        Map<String, JsonNode> isParameters = parameters(isPath, is, after);
        wasParameters.forEach((name, parameter) -> {
            JsonNode now = isParameters.get(name);
            if (now == null) {
                breaking.add(where + ": parameter " + name + ": removed");
                return;
            }
            if (now.path("required").asBoolean() && !parameter.path("required").asBoolean()) {
                breaking.add(where + ": parameter " + name + ": now required");
            }
            schema(where + ": parameter " + name, parameter.path("schema"), now.path("schema"), Side.ASKED);
        });
        isParameters.forEach((name, parameter) -> {
            if (!wasParameters.containsKey(name) && parameter.path("required").asBoolean()) {
                breaking.add(where + ": parameter " + name + ": new and required");
            }
        });
        JsonNode wasBody = resolve(was.path("requestBody"), before);
        JsonNode isBody = resolve(is.path("requestBody"), after);
        if (isBody.path("required").asBoolean() && !wasBody.path("required").asBoolean()) {
            breaking.add(where + ": request: now required");
        }
        contents(where + ": request", wasBody, isBody, Side.ASKED);
        for (Iterator<String> statuses = was.path("responses").fieldNames(); statuses.hasNext(); ) {
            String status = statuses.next();
            JsonNode wasAnswer = resolve(was.path("responses").path(status), before);
            JsonNode isAnswer = resolve(is.path("responses").path(status), after);
            if (isAnswer.isMissingNode()) {
                breaking.add(where + ": answer " + status + ": removed");
            } else {
                contents(where + ": answer " + status, wasAnswer, isAnswer, Side.ANSWERED);
            }
        }
    }

    private static Map<String, JsonNode> parameters(JsonNode path, JsonNode operation, JsonNode root) {
        Map<String, JsonNode> found = new LinkedHashMap<>();
        for (JsonNode list : List.of(path.path("parameters"), operation.path("parameters"))) {
            for (JsonNode parameter : list) {
                JsonNode resolved = resolve(parameter, root);
                found.put(
                        resolved.path("in").asText() + " "
                                + resolved.path("name").asText(),
                        resolved);
            }
        }
        return found;
    }

    private void contents(String where, JsonNode was, JsonNode is, Side side) {
        for (Iterator<String> types = was.path("content").fieldNames(); types.hasNext(); ) {
            String type = types.next();
            JsonNode now = is.path("content").path(type);
            if (now.isMissingNode()) {
                breaking.add(where + ": " + type + ": removed");
            } else {
                schema(where, was.path("content").path(type).path("schema"), now.path("schema"), side);
            }
        }
    }

    private void schema(String place, JsonNode wasWritten, JsonNode isWritten, Side side) {
        String wasRef = wasWritten.path("$ref").asText();
        String isRef = isWritten.path("$ref").asText();
        String where = place;
        if (!wasRef.isEmpty() && !isRef.isEmpty()) {
            if (!compared.add(wasRef + " " + isRef + " " + side)) {
                return;
            }
            // One mistake in a schema that many use is told once, under the schema's own name.
            where = wasRef.replaceFirst("^#/(components/schemas/)?", "").replace(".schema.json", "");
        }
        ObjectNode was = flat(wasWritten, before);
        ObjectNode is = flat(isWritten, after);
        types(where, was, is, side);
        values(where, was, is, side);
        keys(where, was, is, side);
        if (side == Side.ASKED) {
            limits(where, was, is);
        }
        if (was.has("items")) {
            schema(where + "[]", was.path("items"), is.path("items"), side);
        }
        if (was.path("additionalProperties").isObject()) {
            schema(where + "{}", was.path("additionalProperties"), is.path("additionalProperties"), side);
        }
        for (String choice : List.of("oneOf", "anyOf")) {
            for (int i = 0; i < was.path(choice).size(); i++) {
                if (i >= is.path(choice).size()) {
                    breaking.add(where + ": choice " + (i + 1) + ": removed");
                } else {
                    schema(
                            where + ": choice " + (i + 1),
                            was.path(choice).path(i),
                            is.path(choice).path(i),
                            side);
                }
            }
        }
    }

    private void types(String where, ObjectNode was, ObjectNode is, Side side) {
        Set<String> wasTypes = texts(was.path("type"));
        Set<String> isTypes = texts(is.path("type"));
        boolean fits = side == Side.ASKED
                ? isTypes.isEmpty() || (!wasTypes.isEmpty() && isTypes.containsAll(wasTypes))
                : wasTypes.isEmpty() || (!isTypes.isEmpty() && wasTypes.containsAll(isTypes));
        if (!fits) {
            breaking.add(where + ": type " + wasTypes + " became " + isTypes);
        } else if (!was.path("format").asText().equals(is.path("format").asText())) {
            breaking.add(where + ": format " + was.path("format").asText() + " became "
                    + is.path("format").asText());
        }
    }

    private void values(String where, ObjectNode was, ObjectNode is, Side side) {
        if (was.has("const") && !was.path("const").equals(is.path("const"))) {
            breaking.add(where + ": value " + was.path("const") + " became " + is.path("const"));
        }
        if (side == Side.ASKED && is.has("enum")) {
            Set<String> gone = texts(was.path("enum"));
            gone.removeAll(texts(is.path("enum")));
            if (!was.has("enum")) {
                breaking.add(where + ": now only " + texts(is.path("enum")));
            } else if (!gone.isEmpty()) {
                breaking.add(where + ": no longer " + gone);
            }
        }
    }

    private void keys(String where, ObjectNode was, ObjectNode is, Side side) {
        for (Iterator<String> names = was.path("properties").fieldNames(); names.hasNext(); ) {
            String name = names.next();
            JsonNode now = is.path("properties").path(name);
            if (now.isMissingNode()) {
                breaking.add(where + "." + name + ": removed");
            } else {
                schema(where + "." + name, was.path("properties").path(name), now, side);
            }
        }
        Set<String> wasNeeded = texts(was.path("required"));
        Set<String> isNeeded = texts(is.path("required"));
        if (side == Side.ASKED) {
            isNeeded.stream()
                    .filter(name -> !wasNeeded.contains(name))
                    .forEach(name -> breaking.add(where + "." + name + ": now required"));
        } else {
            wasNeeded.stream()
                    .filter(name ->
                            !isNeeded.contains(name) && is.path("properties").has(name))
                    .forEach(name -> breaking.add(where + "." + name + ": no longer always there"));
        }
    }

    private void limits(String where, ObjectNode was, ObjectNode is) {
        BOUNDS.forEach((bound, stricter) -> {
            if (is.has(bound)
                    && (!was.has(bound)
                            || Double.compare(
                                                    is.path(bound).asDouble(),
                                                    was.path(bound).asDouble())
                                            * stricter
                                    > 0)) {
                breaking.add(where + ": " + bound + " " + was.path(bound).asText("none") + " became "
                        + is.path(bound).asText());
            }
        });
        if (is.has("pattern") && !is.path("pattern").equals(was.path("pattern"))) {
            breaking.add(where + ": pattern " + was.path("pattern").asText("none") + " became "
                    + is.path("pattern").asText());
        }
    }

    private static Set<String> texts(JsonNode node) {
        Set<String> texts = new TreeSet<>();
        if (node.isArray()) {
            node.forEach(each -> texts.add(each.asText()));
        } else if (!node.isMissingNode()) {
            texts.add(node.asText());
        }
        return texts;
    }

    private static JsonNode resolve(JsonNode node, JsonNode root) {
        JsonNode resolved = node;
        while (resolved.has("$ref")) {
            String pointer = resolved.path("$ref").asText().substring(1);
            resolved = root.at(pointer);
            if (resolved.isMissingNode()) {
                throw new IllegalArgumentException("nothing at " + pointer);
            }
        }
        return resolved;
    }

    /** The schema with what its references and its {@code allOf} add. */
    private static ObjectNode flat(JsonNode written, JsonNode root) {
        JsonNode resolved = resolve(written, root);
        ObjectNode flat = new ObjectMapper().createObjectNode();
        if (resolved instanceof ObjectNode object) {
            flat.setAll(object.deepCopy());
        }
        for (JsonNode part : resolved.path("allOf")) {
            ObjectNode more = flat(part, root);
            more.fields().forEachRemaining(entry -> {
                if (entry.getKey().equals("properties")) {
                    flat.withObject("/properties").setAll((ObjectNode) entry.getValue());
                } else if (entry.getKey().equals("required")) {
                    flat.withArray("/required").addAll((ArrayNode) entry.getValue());
                } else if (!flat.has(entry.getKey())) {
                    flat.set(entry.getKey(), entry.getValue());
                }
            });
        }
        flat.remove("allOf");
        return flat;
    }
}
