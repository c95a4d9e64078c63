package oilbird.mapping.map;

import java.util.List;
import java.util.Optional;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.text.Claims;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.SchemaCheck;
import oilbird.mapping.text.YamlDocument;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import org.jspecify.annotations.Nullable;

/** Reads a device map from the text of its YAML file. */
public final class MapReader {
    /** Class path name of the published schema. */
    public static final String SCHEMA = "/oilbird/schema/device-map-1.schema.json";

    private static final SchemaCheck CHECK = SchemaCheck.of(SCHEMA);

    private MapReader() {}

    /**
     * A device map, or every mistake that prevents one. Never throws, whatever the text.
     *
     * @param fileName as the user would write it, for positions.
     */
    public static Loaded<DeviceMap> read(String fileName, String text) {
        Problems problems = new Problems();
        Optional<YamlNode> root = YamlDocument.read(fileName, text, problems);
        DeviceMap map = null;
        if (root.isPresent()) {
            CHECK.check(root.get());
            Claims.refuse(root.get());
            if (root.get() instanceof YamlMapping mapping) {
                map = map(mapping);
            }
        }
        return problems.loaded(map);
    }

    private static DeviceMap map(YamlMapping root) {
        MapText text = new MapText(root);
        if (root.mapping("points").entries().isEmpty()
                && root.mapping("words").entries().isEmpty()) {
            root.error("the map has no point and no word", "describe what can be read under points: or words:");
        }
        RequestReader requests = new RequestReader(
                text, root.mapping("requests"), root.list("read_effects").items());
        PointReader pointReader = new PointReader(text);
        List<Point> read = pointReader.read(root.mapping("points"));
        WordReader wordReader = new WordReader(text);
        List<StatusWord> words = wordReader.read(root.mapping("words"));
        List<Point> points = pointReader.conditions(root.mapping("points"), read, root.mapping("words"), words);
        DeviceClock clock = new ClockReader(text).read(root, points, wordReader);
        List<Feature> features = new MapFeatures(text, root, points, wordReader).read();
        List<MappedIndication> indications = new IndicationReader(text, root.mapping("points"), wordReader.told())
                .read(root.mapping("indications"), root.mapping("first_checks"));
        List<ReadBlock> plan = requests.plan();
        NodeReader nodes = text.nodes;
        YamlMapping identity = root.mapping("identification");
        if (nodes == null && identity.has("nodes")) {
            text.problems.error(
                    identity.keyPosition("nodes"),
                    "`nodes` belongs to OPC UA, and the map has no section opc_ua",
                    "delete it, or add opc_ua:");
        }
        DeviceMap map = new DeviceMap(
                root.text("name"),
                root.text("text"),
                identification(root),
                text.pollClasses,
                points,
                words,
                indications,
                clock,
                requests.effects(),
                plan,
                nodes == null ? null : nodes.plan(root),
                features);
        pointReader.checkConditions(root.mapping("points"), map);
        return map;
    }

    private static @Nullable Identification identification(YamlMapping root) {
        if (!root.has("identification")) {
            return null;
        }
        YamlMapping given = root.mapping("identification");
        return new Identification(given.textOrNull("vendor"), given.textOrNull("product"), given.texts("firmware"));
    }
}
