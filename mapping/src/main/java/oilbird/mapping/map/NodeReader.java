package oilbird.mapping.map;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.mapping.address.Node;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.NodeName;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import org.jspecify.annotations.Nullable;

/** Reads the section {@code opc_ua} and the key {@code node} of points and words, and joins the nodes into blocks. */
final class NodeReader {
    private static final Pattern BY_NAME =
            Pattern.compile("([a-z][a-z0-9]*(?:-[a-z0-9]+)*):([isgb]=.+)", Pattern.DOTALL);
    private static final Pattern BY_URI = Pattern.compile("nsu=([^;]+);(.+)", Pattern.DOTALL);
    private static final Pattern BY_INDEX = Pattern.compile("ns=([0-9]+);(.+)", Pattern.DOTALL);
    private static final String FORMS =
            "write NAME:s=Some.Node with a name of opc_ua.namespaces, nsu=URI;s=Some.Node, or i=2258 for namespace 0;"
                    + " the identifier is i= a number, s= a text, g= a GUID or b= Base64";
    private static final int QUEUE = 10;
    private static final List<String> OF_MODBUS =
            List.of("coil", "discrete_input", "holding_register", "input_register", "order", "length", "fields");
    private static final List<String> OF_NODES = List.of("node", "by", "sampling", "queue");

    private final MapText text;
    private final Map<String, String> namespaces = new LinkedHashMap<>();
    private final boolean subscribed;
    private final YamlMapping section;
    private final List<Taken> taken = new ArrayList<>();

    private record Taken(String name, Node node, String pollClass, boolean value, boolean stamps, Position at) {}

    NodeReader(MapText text, YamlMapping root) {
        this.text = text;
        this.section = root.mapping("opc_ua");
        for (YamlMapping.Entry entry : section.mapping("namespaces").entries()) {
            String uri = entry.value().asText();
            if (namespaces.containsValue(uri)) {
                text.problems.error(
                        entry.value().position(), "the namespace " + uri + " has two names", "delete one of them");
            }
            namespaces.put(entry.key(), uri);
        }
        subscribed = isSubscribed(section, true);
        for (String key : List.of("addresses", "requests", "read_effects")) {
            if (root.has(key)) {
                text.problems.error(
                        root.keyPosition(key),
                        "`" + key + "` belongs to Modbus, and the map is for OPC UA",
                        "delete it, or delete opc_ua: where the device speaks Modbus");
            }
        }
    }

    /** Tells every key of a point or word that belongs to the other protocol. */
    static void checkKeys(MapText text, YamlMapping of, boolean opcUa) {
        for (String key : opcUa ? OF_MODBUS : OF_NODES) {
            if (of.has(key)) {
                text.problems.error(
                        of.keyPosition(key),
                        opcUa
                                ? "`" + key + "` belongs to Modbus, and the map is for OPC UA"
                                : "`" + key + "` belongs to OPC UA, and the map has no section opc_ua",
                        opcUa
                                ? "write node: with the node that has the value, or delete opc_ua:"
                                : "add opc_ua: with the namespaces of the server, or give the address in Modbus");
            }
        }
    }

    private static boolean isSubscribed(YamlMapping of, boolean absent) {
        return !of.has("by") ? absent : !of.text("by").equals("read");
    }

    /** The node of a point or word; null after a mistake that was told. */
    @Nullable
    Node node(YamlMapping of, String pollClass) {
        Position at = of.valuePosition("node");
        if (!of.has("node")) {
            if (OF_MODBUS.stream().noneMatch(of::has)) {
                of.error("no node is given", "add node:; " + FORMS);
            }
            return null;
        }
        String written = of.text("node");
        if (text.problems.isMisshapen(at)) {
            return null;
        }
        NodeName name = name(written, at);
        boolean bySubscription = isSubscribed(of, subscribed);
        for (String key : List.of("sampling", "queue")) {
            if (!bySubscription && of.has(key)) {
                text.problems.error(
                        of.keyPosition(key),
                        "`" + key + "` makes no sense for a node that is read",
                        "delete it, or write by: subscription");
            }
        }
        Duration period = text.pollClasses.getOrDefault(pollClass, Duration.ofSeconds(1));
        Duration sampling = of.duration("sampling", section.duration("sampling", period));
        int queue = queue(of, queue(section, QUEUE));
        return name == null ? null : new Node(name, bySubscription, bySubscription ? sampling : period, queue);
    }

    private static int queue(YamlMapping of, int absent) {
        long queue = of.whole("queue", absent);
        return queue >= 1 && queue <= 1000 ? (int) queue : absent;
    }

    /** Null after a mistake that was told. */
    private @Nullable NodeName name(String written, Position at) {
        Matcher byIndex = BY_INDEX.matcher(written);
        if (byIndex.matches()) {
            text.problems.error(
                    at,
                    "the namespace is given by its index " + byIndex.group(1)
                            + ", which may change at any start of the server",
                    "give the URI of that namespace a name under opc_ua.namespaces and write NAME:" + byIndex.group(2));
            return null;
        }
        String namespace = NodeName.STANDARD;
        String id = written;
        Matcher byUri = BY_URI.matcher(written);
        Matcher byName = BY_NAME.matcher(written);
        if (byUri.matches()) {
            namespace = byUri.group(1).replace("%3B", ";").replace("%3b", ";").replace("%25", "%");
            id = byUri.group(2);
        } else if (byName.matches()) {
            String name = byName.group(1);
            String uri = namespaces.get(name);
            if (uri == null) {
                text.unknown(at, "namespace", name, namespaces.keySet(), "opc_ua.namespaces");
                return null;
            }
            namespace = uri;
            id = byName.group(2);
        }
        Optional<NodeName> name = NodeName.of(namespace, id);
        if (name.isEmpty()) {
            text.problems.error(at, "`" + written + "` names no node", FORMS);
        }
        return name.orElse(null);
    }

    /**
     * Notes that a point or word needs a node.
     *
     * @param stamps whether it is a time stamp of the node that is wanted, not the value.
     */
    void occupy(String name, Node node, String pollClass, boolean stamps, Position at) {
        for (Taken other : taken) {
            if (!stamps && other.value() && other.node().name().equals(node.name())) {
                text.problems.warning(
                        at,
                        "the node of `" + name + "` is already that of `" + other.name() + "` in line "
                                + other.at().line(),
                        "correct one of the two, unless both are meant");
                break;
            }
        }
        taken.add(new Taken(name, node, pollClass, !stamps, stamps, at));
    }

    /** The blocks for what was noted. */
    NodePlan plan(YamlMapping root) {
        List<NodeBlock> blocks = new ArrayList<>();
        for (String pollClass : text.pollClasses.keySet()) {
            for (boolean bySubscription : new boolean[] {true, false}) {
                Map<NodeName, NodeBlock.Item> items = new LinkedHashMap<>();
                for (Taken want : taken) {
                    if (want.pollClass().equals(pollClass) && want.node().subscribed() == bySubscription) {
                        items.merge(
                                want.node().name(), new NodeBlock.Item(want.node(), want.stamps()), NodeReader::both);
                    }
                }
                if (!items.isEmpty()) {
                    String name = pollClass + (bySubscription ? ".subscribed" : ".read");
                    blocks.add(new NodeBlock(name, pollClass, bySubscription, List.copyOf(items.values())));
                }
            }
        }
        YamlMapping identity = root.mapping("identification").mapping("nodes");
        return new NodePlan(
                blocks,
                identityNode(identity, "vendor", NodePlan.BUILD_MANUFACTURER),
                identityNode(identity, "product", NodePlan.BUILD_PRODUCT),
                identityNode(identity, "firmware", NodePlan.BUILD_SOFTWARE));
    }

    private static NodeBlock.Item both(NodeBlock.Item a, NodeBlock.Item b) {
        Duration sampling = a.node().sampling().compareTo(b.node().sampling()) <= 0
                ? a.node().sampling()
                : b.node().sampling();
        int queue = Math.max(a.node().queue(), b.node().queue());
        return new NodeBlock.Item(
                new Node(a.node().name(), a.node().subscribed(), sampling, queue), a.stamps() || b.stamps());
    }

    private NodeName identityNode(YamlMapping nodes, String key, NodeName absent) {
        YamlNode given = nodes.get(key);
        if (given == null) {
            return absent;
        }
        String written = given.asText();
        NodeName name = text.problems.isMisshapen(given.position()) ? null : name(written, given.position());
        return name == null ? absent : name;
    }
}
