package oilbird.gateway.opcua.server.condition;

import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.DynamicContainer.dynamicContainer;
import static org.junit.jupiter.api.DynamicTest.dynamicTest;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.stream.Stream;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.opcua.server.condition.Watcher.Seen;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.eclipse.milo.opcua.sdk.client.DiscoveryClient;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaMonitoredItem;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaSubscription;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.ExtensionObject;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;
import org.eclipse.milo.opcua.stack.core.types.enumerated.BrowseDirection;
import org.eclipse.milo.opcua.stack.core.types.enumerated.FilterOperator;
import org.eclipse.milo.opcua.stack.core.types.structured.BrowseDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.LiteralOperand;
import org.eclipse.milo.opcua.stack.core.types.structured.ReferenceDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;
import org.junit.jupiter.api.AfterAll;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.DynamicNode;
import org.junit.jupiter.api.TestFactory;
import org.junit.jupiter.api.function.Executable;
import org.junit.jupiter.api.io.TempDir;

/**
 * Every row of {@code part9/checklist.csv} (made from OPC 10000-9, 1.05; clause and confidence are in the row) against the
 * real server, by the library's real client over TCP. A row that cannot be met has a reason; all are printed at the end.
 */
class ChecklistTest {
    private static final Map<String, String> NOT_MET = new LinkedHashMap<>();

    static {
        String branches = "the server keeps no branches (a choice of OPC 10000-9, 5.5.3); C29 holds instead";
        NOT_MET.put("C26", branches);
        NOT_MET.put("C27", branches);
        NOT_MET.put("C28", branches);
        NOT_MET.put("C43", branches);
        String client = "for an alarm client: the gateway's own OPC UA client follows monitors and reads no alarms";
        NOT_MET.put("C80", client);
        NOT_MET.put("C81", client);
        NOT_MET.put("C82", client);
        NOT_MET.put("C83", "for a redundant server: a gateway stands alone");
    }

    @TempDir
    static Path data;

    @TempDir
    static Path other;

    private static Bench bench;
    private static Watcher operator;
    private static Watcher engineer;
    private static Watcher viewer;
    private static Watcher.Watch watch;
    private static List<Seen> beforeAnything;
    private static final Map<String, String> OUTCOMES = new LinkedHashMap<>();

    @BeforeAll
    static void start() throws Exception {
        bench = new Bench(data);
        operator = new Watcher(bench, "operator");
        engineer = new Watcher(bench, "engineer");
        viewer = new Watcher(bench, "viewer");
        watch = operator.watch();
        // once this one has come, nothing of the start can come any more
        bench.sign("first-a", true);
        bench.sign("first-a", false);
        watch.next(seen -> operator.condition(bench.alarm("first-a")).equals(seen.conditionOrNull())
                && !seen.is("ActiveState/Id"));
        beforeAnything = watch.rest();
    }

    @AfterAll
    static void end() throws Exception {
        System.out.println("OPC 10000-9, list of " + OUTCOMES.size() + " rows:");
        OUTCOMES.forEach((row, outcome) -> System.out.println("  " + row + "  " + outcome));
        System.out.printf(
                "met %d, not met with a reason %d%n",
                OUTCOMES.values().stream().filter(o -> o.startsWith("met")).count(),
                OUTCOMES.values().stream().filter(o -> o.startsWith("not met")).count());
        operator.close();
        engineer.close();
        viewer.close();
        bench.close();
    }

    private record Row(String id, String area, String check, String expected) {}

    private static List<List<String>> table(String name) throws IOException {
        try (InputStream in = Objects.requireNonNull(ChecklistTest.class.getResourceAsStream("/part9/" + name))) {
            return new String(in.readAllBytes(), StandardCharsets.UTF_8)
                    .lines()
                    .skip(1)
                    .map(line -> List.of(line.split(",", -1)))
                    .toList();
        }
    }

    @TestFactory
    Stream<DynamicNode> everyRowIsMetOrHasAReason() throws IOException {
        Map<String, List<Row>> areas = new LinkedHashMap<>();
        for (List<String> cells : table("checklist.csv")) {
            Row row = new Row(cells.get(0), cells.get(1), cells.get(2), cells.get(3));
            areas.computeIfAbsent(row.area(), a -> new ArrayList<>()).add(row);
        }
        Map<String, Executable> checks = checks();
        List<DynamicNode> nodes = new ArrayList<>();
        nodes.add(dynamicTest("no row is missing, and none is in both", () -> {
            Set<String> rows = new HashSet<>();
            areas.values().forEach(list -> list.forEach(row -> rows.add(row.id())));
            Set<String> known = new HashSet<>(checks.keySet());
            known.addAll(NOT_MET.keySet());
            assertThat(rows).hasSize(85);
            assertThat(known).isEqualTo(rows);
            assertThat(checks.keySet()).doesNotContainAnyElementsOf(NOT_MET.keySet());
        }));
        areas.forEach((area, rows) -> nodes.add(dynamicContainer(
                area,
                rows.stream()
                        .map(row -> dynamicTest(row.id() + " " + row.check() + ": " + row.expected(), () -> {
                            String reason = NOT_MET.get(row.id());
                            if (reason != null) {
                                OUTCOMES.put(row.id(), "not met: " + reason);
                                return;
                            }
                            OUTCOMES.put(row.id(), "FAILED: " + row.check());
                            Objects.requireNonNull(checks.get(row.id())).execute();
                            OUTCOMES.put(row.id(), "met: " + row.check());
                        })))));
        return nodes.stream();
    }

    // ---- what the rows need again and again

    private static Seen raise(String rule) throws Exception {
        bench.sign(rule, true);
        Seen seen = watch.next(bench.alarm(rule));
        assertThat(seen.is("ActiveState/Id")).isTrue();
        return seen;
    }

    private static Seen clear(String rule) throws Exception {
        bench.sign(rule, false);
        Seen seen = watch.next(bench.alarm(rule));
        assertThat(seen.is("ActiveState/Id")).isFalse();
        return seen;
    }

    private static Seen acknowledged(Seen seen) throws Exception {
        assertThat(operator.acknowledge(seen, null)).isEqualTo(StatusCode.GOOD);
        return watch.next(any -> seen.condition().equals(any.conditionOrNull()));
    }

    private static Seen confirmed(Seen seen) throws Exception {
        assertThat(operator.confirm(seen, null)).isEqualTo(StatusCode.GOOD);
        return watch.next(any -> seen.condition().equals(any.conditionOrNull()));
    }

    /** Everything of an alarm that came up to a sign of another one that is raised and ended now. */
    private static List<Seen> upToNow(String rule) throws Exception {
        bench.sign("first-b", true);
        bench.sign("first-b", false);
        List<Seen> seen = new ArrayList<>();
        NodeId condition = operator.condition(bench.alarm(rule));
        watch.next(any -> {
            if (condition.equals(any.conditionOrNull())) {
                seen.add(any);
            }
            return operator.condition(bench.alarm("first-b")).equals(any.conditionOrNull())
                    && !any.is("ActiveState/Id");
        });
        return seen;
    }

    private static NodeId condition(String rule) {
        return operator.condition(bench.alarm(rule));
    }

    private static void status(long expected, StatusCode was) {
        assertThat(was).isEqualTo(new StatusCode(expected));
    }

    private static Seen done(Watcher who, String rule, NodeId method, Object... arguments) throws Exception {
        assertThat(who.call(condition(rule), method, arguments)).isEqualTo(StatusCode.GOOD);
        return watch.next(bench.alarm(rule));
    }

    private static List<ReferenceDescription> browse(NodeId node, NodeId reference, BrowseDirection direction)
            throws Exception {
        var result = operator.client.browse(
                new BrowseDescription(node, direction, reference, true, UInteger.valueOf(0), UInteger.valueOf(63)));
        assertThat(result.getStatusCode()).isEqualTo(StatusCode.GOOD);
        return List.of(Objects.requireNonNullElse(result.getReferences(), new ReferenceDescription[0]));
    }

    private static List<NodeId> targets(NodeId node, NodeId reference) throws Exception {
        return browse(node, reference, BrowseDirection.Forward).stream()
                .map(r -> r.getNodeId()
                        .toNodeId(operator.client.getNamespaceTable())
                        .orElseThrow())
                .toList();
    }

    private static List<NodeId> everyCondition() throws Exception {
        List<NodeId> all = new ArrayList<>();
        for (String device : List.of("bench-t1", "bench-t2")) {
            all.addAll(targets(operator.names.ofDevice(device), NodeIds.HasCondition));
        }
        assertThat(all).hasSizeGreaterThan(60);
        return all;
    }

    private static Object value(NodeId node, AttributeId attribute) throws Exception {
        var response = operator.client.read(
                0,
                org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn.Both,
                List.of(new org.eclipse.milo.opcua.stack.core.types.structured.ReadValueId(
                        node,
                        attribute.uid(),
                        null,
                        org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName.NULL_VALUE)));
        var value = Objects.requireNonNull(response.getResults())[0];
        assertThat(value.getStatusCode()).isEqualTo(StatusCode.GOOD);
        return Objects.requireNonNull(value.getValue().value());
    }

    private static ExtensionObject literal(Object value) throws Exception {
        return ExtensionObject.encode(
                operator.client.getStaticEncodingContext(), new LiteralOperand(new Variant(value)));
    }

    private static ExtensionObject selected(String path) throws Exception {
        return ExtensionObject.encode(operator.client.getStaticEncodingContext(), Watcher.field(path));
    }

    private static ContentFilterElement[] where(FilterOperator operator, ExtensionObject... operands) {
        return new ContentFilterElement[] {new ContentFilterElement(operator, operands)};
    }

    private static Map<String, Executable> checks() {
        Map<String, Executable> checks = new LinkedHashMap<>();
        typesAndSpace(checks);
        events(checks);
        sequences(checks);
        acknowledging(checks);
        enabling(checks);
        refreshing(checks);
        shelving(checks);
        suppressing(checks);
        latchesAndDelays(checks);
        theRest(checks);
        return checks;
    }

    private static void typesAndSpace(Map<String, Executable> checks) {
        checks.put("C01", () -> {
            Set<NodeId> seen = new HashSet<>();
            for (NodeId condition : everyCondition()) {
                seen.addAll(targets(condition, NodeIds.HasTypeDefinition));
            }
            assertThat(seen).hasSize(ConditionKind.values().length);
            for (NodeId type : seen) {
                assertThat(value(type, AttributeId.IsAbstract)).isEqualTo(false);
                NodeId above = type;
                while (!above.equals(NodeIds.AlarmConditionType)) {
                    above = browse(above, NodeIds.HasSubtype, BrowseDirection.Inverse)
                            .get(0)
                            .getNodeId()
                            .toNodeId(operator.client.getNamespaceTable())
                            .orElseThrow();
                }
            }
        });
        checks.put("C02", () -> {
            List<String> mandatory = table("types.csv").stream()
                    .filter(c -> c.get(0).equals("ConditionType") && c.get(6).startsWith("Mandatory"))
                    .map(c -> c.get(2))
                    .toList();
            assertThat(mandatory).hasSize(15);
            for (String rule : List.of("plain", "level", "rate", "discrepancy", "monitor-fault", "silent")) {
                assertThat(browse(condition(rule), NodeIds.HierarchicalReferences, BrowseDirection.Forward))
                        .extracting(r -> r.getBrowseName().name())
                        .containsAll(mandatory);
            }
        });
        checks.put(
                "C03",
                () -> assertThat(browse(condition("plain"), NodeIds.HasComponent, BrowseDirection.Forward))
                        .extracting(r -> r.getBrowseName().name())
                        .contains("AckedState", "Acknowledge"));
        checks.put("C04", () -> {
            for (NodeId condition : everyCondition()) {
                assertThat(value(ConditionNodes.part(condition, "ActiveState"), AttributeId.Value))
                        .isInstanceOf(LocalizedText.class);
                assertThat(value(ConditionNodes.part(condition, "InputNode"), AttributeId.Value))
                        .isInstanceOf(NodeId.class);
                assertThat(value(ConditionNodes.part(condition, "SuppressedOrShelved"), AttributeId.Value))
                        .isInstanceOf(Boolean.class);
            }
            assertThat(value(ConditionNodes.part(condition("level"), "InputNode"), AttributeId.Value))
                    .isEqualTo(operator.names.ofReading(new SignalId(Bench.DEVICE, "level-one")));
        });
        checks.put(
                "C05",
                () -> assertThat(value(ConditionNodes.part(condition("plain"), "NormalState"), AttributeId.Value))
                        .isInstanceOf(NodeId.class));
        checks.put("C06", () -> {
            assertThat(value(ConditionNodes.part(condition("level"), "HighLimit"), AttributeId.Value))
                    .isEqualTo(100.0);
            assertThat(value(ConditionNodes.part(condition("level"), "HighHighLimit"), AttributeId.Value))
                    .isEqualTo(200.0);
            assertThat(value(ConditionNodes.part(condition("low-level"), "LowLimit"), AttributeId.Value))
                    .isEqualTo(50.0);
            assertThat(value(ConditionNodes.part(condition("rate"), "HighLimit"), AttributeId.Value))
                    .isEqualTo(10.0);
        });
        checks.put("C07", () -> {
            // No condition here is of a non-exclusive type.
            bench.reads("level-two", 40);
            Seen low = watch.next(bench.alarm("low-level"));
            assertThat(low.text("LimitState/CurrentState")).isEqualTo("Low");
            assertThat(browse(condition("low-level"), NodeIds.HasComponent, BrowseDirection.Forward))
                    .extracting(r -> r.getBrowseName().name())
                    .contains("LimitState");
            bench.reads("level-two", 90);
            assertThat(watch.next(bench.alarm("low-level")).get("LimitState/CurrentState"))
                    .isNull();
        });
        checks.put("C08", () -> {
            Seen seen = raise("latched");
            Map<String, String> names = Map.of(
                    "EnabledState",
                    "Enabled",
                    "ActiveState",
                    "Active",
                    "AckedState",
                    "Unacknowledged",
                    "LatchedState",
                    "Latched");
            names.forEach((state, name) -> assertThat(seen.text(state)).isEqualTo(name));
            assertThat(seen.is("LatchedState/Id")).isTrue();
            assertThat(seen.is("AckedState/Id")).isFalse();
            Seen after = clear("latched");
            assertThat(after.text("ActiveState")).isEqualTo("Inactive");
            Seen acknowledged = acknowledged(after);
            assertThat(acknowledged.text("AckedState")).isEqualTo("Acknowledged");
            Seen reset = done(operator, "latched", NodeIds.AlarmConditionType_Reset);
            assertThat(reset.text("LatchedState")).isEqualTo("Unlatched");
            assertThat(reset.is("LatchedState/Id")).isFalse();
        });
        checks.put("C09", () -> {
            NodeId station = operator.names.ofStation();
            NodeId asset = operator.names.ofAsset("t1");
            NodeId device = operator.names.ofDevice(Bench.DEVICE);
            assertThat(targets(NodeIds.Server, NodeIds.HasNotifier)).contains(station);
            assertThat(targets(station, NodeIds.HasNotifier)).contains(asset);
            assertThat(targets(asset, NodeIds.HasEventSource)).contains(device);
            assertThat(targets(device, NodeIds.HasCondition)).contains(condition("plain"));
        });
        checks.put("C10", () -> {
            Seen acknowledged = acknowledged(raise("plain"));
            assertThat(acknowledged.is("AckedState/Id")).isTrue();
            clear("plain");
        });
        checks.put("C11", () -> {
            Seen seen = raise("plain");
            for (NodeId type : List.of(
                    NodeIds.AcknowledgeableConditionType,
                    NodeIds.AlarmConditionType,
                    operator.names.ofType(ConditionKind.OFF_NORMAL.number()))) {
                status(
                        StatusCodes.Bad_NodeIdInvalid,
                        operator.call(
                                type,
                                NodeIds.AcknowledgeableConditionType_Acknowledge,
                                seen.id(),
                                LocalizedText.NULL_VALUE));
            }
            acknowledged(clear("plain"));
        });
    }

    private static void events(Map<String, Executable> checks) {
        checks.put("C12", () -> {
            OpcUaMonitoredItem item = OpcUaMonitoredItem.newEventItem(
                    NodeIds.Server,
                    new EventFilter(
                            new SimpleAttributeOperand[] {
                                Watcher.field("EventId"), Watcher.field("ActiveState/Id"), Watcher.field("Time")
                            },
                            new ContentFilter(where(
                                    FilterOperator.Equals, selected("ConditionName"), literal("bench-t1.plain-two")))));
            item.setQueueSize(UInteger.valueOf(10_000));
            // When two publish responses overtake each other the library's client asks for the first one again and then
            // takes it twice; so an id may come again, and stands for the same notification then.
            Map<ByteString, List<Object>> notifications = new ConcurrentHashMap<>();
            List<ByteString> twofold = new CopyOnWriteArrayList<>();
            item.setEventValueListener((i, values) -> {
                ByteString id = (ByteString) Objects.requireNonNull(values[0].value());
                List<Object> content =
                        List.of(Objects.requireNonNull(values[1].value()), Objects.requireNonNull(values[2].value()));
                List<Object> before = notifications.putIfAbsent(id, content);
                if (before != null && !before.equals(content)) {
                    twofold.add(id);
                }
            });
            OpcUaSubscription subscription = new OpcUaSubscription(viewer.client);
            subscription.setPublishingInterval(50.0);
            subscription.create();
            subscription.addMonitoredItem(item);
            subscription.synchronizeMonitoredItems();
            int wanted = 100_000;
            int burst = 2_000;
            for (int sent = 0; sent < wanted; sent += burst) {
                for (int i = 0; i < burst; i += 2) {
                    bench.sign("plain-two", true);
                    bench.sign("plain-two", false);
                }
                int soFar = sent + burst;
                await().atMost(Duration.ofSeconds(60)).until(() -> notifications.size() >= soFar);
            }
            // the station itself may add one, that the sign is stale
            assertThat(notifications).hasSizeGreaterThanOrEqualTo(wanted);
            assertThat(twofold).isEmpty();
            subscription.delete();
            watch.rest();
        });
        checks.put("C13", () -> {
            raise("quality");
            bench.untellable("quality");
            Seen bad = watch.next(bench.alarm("quality"));
            assertThat(((StatusCode) Objects.requireNonNull(bad.get("Quality"))).isBad())
                    .isTrue();
            assertThat(bad.is("ActiveState/Id")).isTrue();
            bench.sign("quality", true);
            assertThat(watch.next(bench.alarm("quality")).get("Quality")).isEqualTo(StatusCode.GOOD);
            acknowledged(clear("quality"));
        });
        checks.put("C14", () -> {
            bench.reads("level-one", 150);
            Seen first = watch.next(bench.alarm("level"));
            assertThat(first.get("Severity")).isEqualTo(UShort.valueOf(501));
            assertThat(first.text("LimitState/CurrentState")).isEqualTo("High");
            bench.reads("level-one", 250);
            Seen second = watch.next(bench.alarm("level"));
            assertThat(second.get("Severity")).isEqualTo(UShort.valueOf(901));
            assertThat(second.get("LastSeverity")).isEqualTo(UShort.valueOf(501));
            assertThat(second.text("LimitState/CurrentState")).isEqualTo("HighHigh");
            bench.reads("level-one", 10);
            acknowledged(watch.next(bench.alarm("level")));
        });
        checks.put("C15", () -> {
            Seen seen = raise("commented");
            Seen commented = done(
                    operator,
                    "commented",
                    NodeIds.ConditionType_AddComment,
                    seen.id(),
                    LocalizedText.english("seen from the desk"));
            assertThat(commented.text("Comment")).isEqualTo("seen from the desk");
            assertThat(commented.get("ClientUserId")).isEqualTo("operator");
            assertThat(commented.id()).isNotEqualTo(seen.id());
            acknowledged(clear("commented"));
        });
        checks.put("C16", () -> {
            Seen first = raise("plain-three");
            assertThat(first.get("LastSeverity")).isEqualTo(UShort.valueOf(0));
            assertThat(clear("plain-three").get("LastSeverity")).isEqualTo(UShort.valueOf(301));
        });
        checks.put("C17", () -> {
            Set<Integer> severities = new HashSet<>();
            for (NodeId condition : everyCondition()) {
                severities.add(
                        ((UShort) value(ConditionNodes.part(condition, "Severity"), AttributeId.Value)).intValue());
            }
            assertThat(severities).isNotEmpty().allMatch(s -> s >= 1 && s <= 1000);
        });
        checks.put("C18", () -> {
            Moment source = bench.clock.now();
            Thread.onSpinWait();
            bench.offer(
                    Bench.DEVICE,
                    List.of(),
                    List.of(Indication.of(new SignalId(Bench.DEVICE, bench.signOf("plain")), true, source)),
                    source);
            Seen seen = watch.next(bench.alarm("plain"));
            DateTime time = (DateTime) Objects.requireNonNull(seen.get("Time"));
            DateTime received = (DateTime) Objects.requireNonNull(seen.get("ReceiveTime"));
            assertThat(time.getJavaTime()).isEqualTo(source.wallMillis());
            assertThat(received.getJavaTime())
                    .isBetween(source.wallMillis(), bench.clock.now().wallMillis());
            acknowledged(clear("plain"));
        });
        checks.put(
                "C19",
                () -> assertThat(beforeAnything)
                        .noneMatch(seen -> seen.conditionOrNull() != null
                                && !condition("first-a").equals(seen.conditionOrNull())));
    }

    private static void sequences(Map<String, Executable> checks) {
        checks.put("C20", () -> {
            List<String> rows = new ArrayList<>();
            Seen seen = raise("confirmed-two");
            rows.add(seen.row());
            rows.add(acknowledged(seen).row());
            seen = clear("confirmed-two");
            rows.add(seen.row());
            rows.add(confirmed(seen).row());
            assertThat(rows).containsExactly("TFTT", "TTFT", "FTFT", "FTTF");
        });
        checks.put("C21", () -> {
            List<String> rows = new ArrayList<>();
            rows.add(raise("confirmed-two").row());
            Seen seen = clear("confirmed-two");
            rows.add(seen.row());
            seen = acknowledged(seen);
            rows.add(seen.row());
            rows.add(confirmed(seen).row());
            assertThat(rows).containsExactly("TFTT", "FFTT", "FTFT", "FTTF");
        });
        checks.put("C22", () -> {
            List<String> rows = new ArrayList<>();
            rows.add(acknowledged(raise("plain")).row());
            rows.add(clear("plain").row());
            rows.add(raise("plain").row());
            Seen seen = clear("plain");
            rows.add(seen.row());
            rows.add(acknowledged(seen).row());
            assertThat(rows).containsExactly("TT-T", "FT-F", "TF-T", "FF-T", "FT-F");
        });
        checks.put("C23", () -> {
            Seen seen = raise("latched-confirmed");
            assertThat(seen.row()).isEqualTo("TFTT");
            seen = clear("latched-confirmed");
            assertThat(seen.row()).isEqualTo("FFTT");
            seen = acknowledged(seen);
            assertThat(seen.row()).isEqualTo("FTFT");
            seen = confirmed(seen);
            assertThat(seen.row()).isEqualTo("FTTT");
            assertThat(seen.is("LatchedState/Id")).isTrue();
            assertThat(done(operator, "latched-confirmed", NodeIds.AlarmConditionType_Reset)
                            .row())
                    .isEqualTo("FTTF");
        });
        checks.put("C24", () -> {
            acknowledged(raise("plain"));
            assertThat(clear("plain").is("Retain")).isFalse();
            assertThat(upToNow("plain")).isEmpty();
        });
        checks.put("C25", () -> {
            Watcher.Watch unacknowledged = operator.watch(
                    NodeIds.Server, where(FilterOperator.Equals, selected("AckedState/Id"), literal(false)), 1_000);
            Seen seen = raise("plain");
            assertThat(unacknowledged.next(bench.alarm("plain")).is("Retain")).isTrue();
            acknowledged(seen);
            Seen extra = unacknowledged.next(bench.alarm("plain"));
            assertThat(extra.is("AckedState/Id")).isTrue();
            assertThat(extra.is("Retain")).isFalse();
            clear("plain");
            raise("first-b");
            unacknowledged.next(any -> {
                assertThat(any.conditionOrNull()).isNotEqualTo(condition("plain"));
                return condition("first-b").equals(any.conditionOrNull());
            });
            acknowledged(clear("first-b"));
            assertThat(value(NodeIds.ConditionType_SupportsFilteredRetain, AttributeId.Value))
                    .isEqualTo(true);
            operator.subscription.removeMonitoredItem(unacknowledged.item);
            operator.subscription.synchronizeMonitoredItems();
        });
        checks.put("C29", () -> {
            assertThat(raise("plain").get("BranchId")).isEqualTo(NodeId.NULL_VALUE);
            assertThat(clear("plain").get("BranchId")).isEqualTo(NodeId.NULL_VALUE);
            Seen again = raise("plain");
            assertThat(again.get("BranchId")).isEqualTo(NodeId.NULL_VALUE);
            assertThat(again.row()).isEqualTo("TF-T");
            acknowledged(clear("plain"));
        });
    }

    private static void acknowledging(Map<String, Executable> checks) {
        checks.put("C30", () -> {
            Seen seen = raise("plain");
            Seen acknowledged = acknowledged(seen);
            status(StatusCodes.Bad_ConditionBranchAlreadyAcked, operator.acknowledge(seen, null));
            status(StatusCodes.Bad_ConditionBranchAlreadyAcked, operator.acknowledge(acknowledged, null));
            clear("plain");
        });
        checks.put("C31", () -> {
            raise("plain");
            status(
                    StatusCodes.Bad_EventIdUnknown,
                    operator.call(
                            condition("plain"),
                            NodeIds.AcknowledgeableConditionType_Acknowledge,
                            ByteString.of(new byte[] {1, 2, 3}),
                            LocalizedText.NULL_VALUE));
            status(
                    StatusCodes.Bad_EventIdUnknown,
                    operator.call(
                            condition("plain"),
                            NodeIds.AcknowledgeableConditionType_Acknowledge,
                            ByteString.NULL_VALUE,
                            LocalizedText.NULL_VALUE));
            acknowledged(clear("plain"));
        });
        checks.put("C32", () -> {
            Seen older = raise("plain");
            Seen newer = clear("plain");
            status(StatusCodes.Bad_EventIdUnknown, operator.acknowledge(older, null));
            acknowledged(newer);
        });
        checks.put("C33", () -> {
            Seen seen = raise("commented");
            seen = done(
                    operator, "commented", NodeIds.ConditionType_AddComment, seen.id(), LocalizedText.english("stays"));
            Seen acknowledged = acknowledged(seen);
            assertThat(acknowledged.text("Comment")).isEqualTo("stays");
            clear("commented");
        });
        checks.put("C34", () -> {
            Seen seen = raise("commented");
            seen = done(
                    operator, "commented", NodeIds.ConditionType_AddComment, seen.id(), LocalizedText.english("goes"));
            assertThat(seen.text("Comment")).isEqualTo("goes");
            status(
                    StatusCode.GOOD.value(),
                    operator.call(
                            seen.condition(),
                            NodeIds.AcknowledgeableConditionType_Acknowledge,
                            seen.id(),
                            new LocalizedText("en", "")));
            Seen cleared = watch.next(
                    any -> condition("commented").equals(any.conditionOrNull()) && "".equals(any.text("Comment")));
            assertThat(cleared.is("AckedState/Id")).isTrue();
            clear("commented");
        });
        checks.put("C35", () -> {
            Seen seen = raise("commented");
            status(
                    StatusCodes.Bad_InvalidArgument,
                    operator.acknowledge(seen, "x".repeat(Arguments.LONGEST_COMMENT + 1)));
            assertThat(operator.acknowledge(seen, "x".repeat(Arguments.LONGEST_COMMENT)))
                    .isEqualTo(StatusCode.GOOD);
            watch.next(bench.alarm("commented"));
            clear("commented");
        });
        checks.put("C36", () -> {
            Seen seen = acknowledged(raise("confirmed-two"));
            seen = clear("confirmed-two");
            Seen confirmed = confirmed(seen);
            status(StatusCodes.Bad_ConditionBranchAlreadyConfirmed, operator.confirm(seen, null));
            status(StatusCodes.Bad_ConditionBranchAlreadyConfirmed, operator.confirm(confirmed, null));
        });
    }

    private static void enabling(Map<String, Executable> checks) {
        checks.put("C37", () -> {
            status(
                    StatusCodes.Bad_ConditionAlreadyEnabled,
                    engineer.call(condition("disabled"), NodeIds.ConditionType_Enable));
            done(engineer, "disabled", NodeIds.ConditionType_Disable);
            status(
                    StatusCodes.Bad_ConditionAlreadyDisabled,
                    engineer.call(condition("disabled"), NodeIds.ConditionType_Disable));
            done(engineer, "disabled", NodeIds.ConditionType_Enable);
        });
        checks.put("C38", () -> {
            raise("disabled");
            Seen disabled = done(engineer, "disabled", NodeIds.ConditionType_Disable);
            assertThat(disabled.is("EnabledState/Id")).isFalse();
            assertThat(disabled.is("Retain")).isFalse();
            bench.sign("disabled", false);
            bench.sign("disabled", true);
            assertThat(upToNow("disabled")).isEmpty();
            AlarmId alarm = bench.alarm("disabled");
            for (String path : List.of("ActiveState", "ActiveState/Id", "AckedState/Id", "Severity", "Comment")) {
                status(
                        StatusCodes.Bad_ConditionDisabled,
                        Objects.requireNonNull(operator.readPart(alarm, path).getStatusCode()));
            }
            assertThat(operator.readPart(alarm, "EnabledState/Id").getValue().value())
                    .isEqualTo(false);
            assertThat(operator.readPart(alarm, "Retain").getValue().value()).isEqualTo(false);
        });
        checks.put("C39", () -> {
            Seen enabled = done(engineer, "disabled", NodeIds.ConditionType_Enable);
            assertThat(enabled.is("EnabledState/Id")).isTrue();
            assertThat(enabled.is("Retain")).isTrue();
            assertThat(enabled.is("ActiveState/Id")).isTrue();
            acknowledged(clear("disabled"));
        });
    }

    private static void refreshing(Map<String, Executable> checks) {
        checks.put("C40", () -> {
            raise("refreshed");
            assertThat(watch.refreshed())
                    .filteredOn(seen -> seen.conditionOrNull() != null)
                    .isNotEmpty()
                    .allMatch(seen -> seen.is("Retain"))
                    .anyMatch(seen -> condition("refreshed").equals(seen.condition()));
        });
        checks.put("C41", () -> {
            Watcher.Watch nothing = operator.watch(
                    NodeIds.Server,
                    where(FilterOperator.GreaterThan, selected("Severity"), literal(UShort.valueOf(1000))),
                    1_000);
            assertThat(nothing.refreshed()).isEmpty();
            operator.subscription.removeMonitoredItem(nothing.item);
            operator.subscription.synchronizeMonitoredItems();
            watch.rest();
        });
        checks.put("C42", () -> {
            Seen seen = raise("plain");
            assertThat(watch.refreshed())
                    .filteredOn(again -> condition("plain").equals(again.conditionOrNull()))
                    .singleElement()
                    .satisfies(again -> {
                        assertThat(again.id()).isEqualTo(seen.id());
                        assertThat(again.get("Time")).isEqualTo(seen.get("Time"));
                        assertThat(again.text("Message")).isEqualTo(seen.text("Message"));
                    });
            acknowledged(clear("plain"));
        });
        checks.put("C44", () -> {
            Watcher.Watch second = operator.watch(operator.names.ofStation(), new ContentFilterElement[0], 1_000);
            watch.rest();
            assertThat(operator.refresh()).isEqualTo(StatusCode.GOOD);
            assertThat(second.nextOfType(NodeIds.RefreshStartEventType).id())
                    .isEqualTo(watch.nextOfType(NodeIds.RefreshStartEventType).id());
            assertThat(second.nextOfType(NodeIds.RefreshEndEventType).id())
                    .isEqualTo(watch.nextOfType(NodeIds.RefreshEndEventType).id());
            operator.subscription.removeMonitoredItem(second.item);
            operator.subscription.synchronizeMonitoredItems();
        });
        checks.put("C45", () -> {
            try (Watcher slow = new Watcher(bench, "operator")) {
                Watcher.Watch full = slow.watch(
                        operator.names.ofAsset("t1"),
                        where(FilterOperator.Equals, selected("ConditionName"), literal("bench-t1.plain-two")),
                        1_000);
                slow.subscription.setPublishingMode(false);
                toggle("plain-two", 1_000);
                assertThat(slow.refresh()).isEqualTo(StatusCode.GOOD);
                status(StatusCodes.Bad_RefreshInProgress, slow.refresh());
                slow.subscription.setPublishingMode(true);
                full.nextOfType(NodeIds.RefreshEndEventType);
                assertThat(slow.refresh()).isEqualTo(StatusCode.GOOD);
            }
        });
        checks.put("C46", () -> {
            UInteger ofAnother = engineer.subscription.getSubscriptionId().orElseThrow();
            status(
                    StatusCodes.Bad_UserAccessDenied,
                    operator.call(NodeIds.ConditionType, NodeIds.ConditionType_ConditionRefresh, ofAnother));
            status(
                    StatusCodes.Bad_SubscriptionIdInvalid,
                    operator.call(
                            NodeIds.ConditionType, NodeIds.ConditionType_ConditionRefresh, UInteger.valueOf(999_999)));
        });
        checks.put("C47", () -> status(StatusCodes.Bad_NothingToDo, engineer.refresh()));
        checks.put(
                "C48",
                () -> status(
                        StatusCodes.Bad_MonitoredItemIdInvalid,
                        operator.call(
                                NodeIds.ConditionType,
                                NodeIds.ConditionType_ConditionRefresh2,
                                operator.subscription.getSubscriptionId().orElseThrow(),
                                UInteger.valueOf(999_999))));
        checks.put("C49", () -> {
            try (Watcher late = new Watcher(bench, "viewer")) {
                Watcher.Watch fresh = late.watch();
                raise("first-b");
                fresh.next(any -> {
                    assertThat(any.conditionOrNull()).isNotEqualTo(condition("refreshed"));
                    return condition("first-b").equals(any.conditionOrNull());
                });
                acknowledged(clear("first-b"));
            }
        });
        checks.put("C50", () -> {
            bench.engine
                    .acts()
                    .act(new StationInput.RulesLoaded(
                            bench.station.model(), new Actor("e.engineer", "page"), bench.clock.now()))
                    .get();
            Seen required = watch.nextOfType(NodeIds.RefreshRequiredEventType);
            assertThat(required.conditionOrNull()).isNull();
            assertThat(watch.refreshed())
                    .anyMatch(seen -> condition("refreshed").equals(seen.conditionOrNull()));
        });
        checks.put("C51", () -> {
            try (Watcher slow = new Watcher(bench, "operator")) {
                // everything retained comes after this one in the order of the rules
                List<String> rules = List.of("plain", "latched", "serviced", "quality", "refreshed");
                for (String rule : rules) {
                    if (!rule.equals("refreshed")) {
                        raise(rule);
                    }
                }
                Watcher.Watch interleaved =
                        slow.watch(operator.names.ofAsset("t1"), new ContentFilterElement[0], 1_000);
                slow.subscription.setPublishingMode(false);
                toggle("plain-two", 998);
                assertThat(slow.refresh()).isEqualTo(StatusCode.GOOD);
                // the queue is full: the refresh waits before its last conditions, while one of them changes
                bench.sign("refreshed", false);
                Seen live = watch.next(bench.alarm("refreshed"));
                slow.subscription.setPublishingMode(true);
                List<Seen> seen = new ArrayList<>();
                interleaved.next(any -> {
                    seen.add(any);
                    return NodeIds.RefreshEndEventType.equals(any.get("EventType"));
                });
                List<Seen> ofIt = seen.stream()
                        .filter(any -> condition("refreshed").equals(any.conditionOrNull()))
                        .toList();
                assertThat(ofIt).isNotEmpty().allMatch(any -> any.id().equals(live.id()));
                assertThat(seen)
                        .extracting(Seen::conditionOrNull)
                        .contains(
                                condition("plain"), condition("latched"), condition("serviced"), condition("quality"));
                acknowledged(live);
                for (String rule : List.of("plain", "latched", "serviced", "quality")) {
                    acknowledged(clear(rule));
                }
                done(operator, "latched", NodeIds.AlarmConditionType_Reset);
            }
        });
    }

    /** Raises and ends an alarm so often that so many events come, and waits until the server has given them out. */
    private static void toggle(String rule, int events) throws Exception {
        for (int i = 0; i < events; i += 2) {
            bench.sign(rule, true);
            bench.sign(rule, false);
        }
        AtomicInteger left = new AtomicInteger(events);
        watch.next(seen -> condition(rule).equals(seen.conditionOrNull()) && left.decrementAndGet() == 0);
    }

    private static void shelving(Map<String, Executable> checks) {
        checks.put("C52", () -> {
            assertThat(raise("shelved").get("MaxTimeShelved")).isEqualTo(8 * 3_600_000.0);
            for (double time : new double[] {8 * 3_600_000.0 + 1, 0, -1, Double.NaN, Double.POSITIVE_INFINITY}) {
                status(
                        StatusCodes.Bad_ShelvingTimeOutOfRange,
                        operator.call(
                                condition("shelved"), NodeIds.AlarmConditionType_ShelvingState_TimedShelve, time));
            }
            acknowledged(clear("shelved"));
        });
        checks.put("C53", () -> {
            Seen shelved = done(operator, "shelved", NodeIds.AlarmConditionType_ShelvingState_TimedShelve, 3_600_000.0);
            assertThat(shelved.is("ActiveState/Id")).isFalse();
            assertThat(shelved.get("ShelvingState/CurrentState/Id"))
                    .isEqualTo(NodeIds.ShelvedStateMachineType_TimedShelved);
        });
        checks.put("C54", () -> {
            Seen active = raise("shelved");
            assertThat(active.text("ShelvingState/CurrentState")).isEqualTo("TimedShelved");
            Seen inactive = clear("shelved");
            assertThat(inactive.text("ShelvingState/CurrentState")).isEqualTo("TimedShelved");
            assertThat(inactive.is("SuppressedOrShelved")).isTrue();
            done(operator, "shelved", NodeIds.AlarmConditionType_ShelvingState_Unshelve);
        });
        checks.put("C55", () -> {
            raise("shelved");
            Seen shelved = done(operator, "shelved", NodeIds.AlarmConditionType_ShelvingState_OneShotShelve);
            assertThat(shelved.text("ShelvingState/CurrentState")).isEqualTo("OneShotShelved");
            bench.sign("shelved", false);
            Seen ended = watch.next(seen -> condition("shelved").equals(seen.conditionOrNull())
                    && seen.text("ShelvingState/CurrentState").equals("Unshelved"));
            assertThat(ended.is("ActiveState/Id")).isFalse();
        });
        checks.put("C56", () -> {
            raise("shelved-short");
            done(operator, "shelved-short", NodeIds.AlarmConditionType_ShelvingState_OneShotShelve);
            Seen ended = watch.next(bench.alarm("shelved-short"));
            assertThat(ended.text("ShelvingState/CurrentState")).isEqualTo("Unshelved");
            assertThat(ended.is("ActiveState/Id")).isTrue();
            acknowledged(clear("shelved-short"));
        });
        checks.put("C57", () -> {
            Seen shelved = done(operator, "shelved", NodeIds.AlarmConditionType_ShelvingState_TimedShelve, 3_600_000.0);
            double first = (double) Objects.requireNonNull(shelved.get("ShelvingState/UnshelveTime"));
            assertThat(first).isBetween(3_500_000.0, 3_600_000.0);
            AlarmId alarm = bench.alarm("shelved");
            await().atMost(Duration.ofSeconds(5)).until(() -> unshelveTime(alarm) < first - 10);
            double second = unshelveTime(alarm);
            assertThat(unshelveTime(alarm)).isLessThanOrEqualTo(second);
            done(operator, "shelved", NodeIds.AlarmConditionType_ShelvingState_Unshelve);
            assertThat(unshelveTime(alarm)).isZero();
        });
        checks.put(
                "C58",
                () -> status(
                        StatusCodes.Bad_ConditionNotShelved,
                        operator.call(condition("shelved"), NodeIds.AlarmConditionType_ShelvingState_Unshelve)));
        checks.put("C59", () -> {
            List<String> states = new ArrayList<>();
            raise("shelved");
            NodeId timed = NodeIds.AlarmConditionType_ShelvingState_TimedShelve;
            NodeId once = NodeIds.AlarmConditionType_ShelvingState_OneShotShelve;
            NodeId off = NodeIds.AlarmConditionType_ShelvingState_Unshelve;
            states.add(shelvingAfter(timed, 60_000.0)); // UnshelvedToTimedShelved
            states.add(shelvingAfter(once)); // TimedShelvedToOneShotShelved
            states.add(shelvingAfter(timed, 60_000.0)); // OneShotShelvedToTimedShelved
            states.add(shelvingAfter(off)); // TimedShelvedToUnshelved
            states.add(shelvingAfter(once)); // UnshelvedToOneShotShelved
            states.add(shelvingAfter(off)); // OneShotShelvedToUnshelved
            assertThat(states)
                    .containsExactly(
                            "TimedShelved",
                            "OneShotShelved",
                            "TimedShelved",
                            "Unshelved",
                            "OneShotShelved",
                            "Unshelved");
            // the machine itself as object, with its type's method and a comment
            assertThat(operator.call(
                            ConditionNodes.part(condition("shelved"), "ShelvingState"),
                            NodeIds.ShelvedStateMachineType_TimedShelve2,
                            60_000.0,
                            LocalizedText.english("during works")))
                    .isEqualTo(StatusCode.GOOD);
            assertThat(watch.next(bench.alarm("shelved")).text("Comment")).isEqualTo("during works");
            status(StatusCodes.Bad_ConditionAlreadyShelved, operator.call(condition("shelved"), timed, 60_000.0));
            shelvingAfter(off);
            acknowledged(clear("shelved"));
        });
        checks.put("C60", () -> {
            try (Bench afresh = new Bench(other);
                    Watcher reader = new Watcher(afresh, "viewer")) {
                assertThat(reader.readPart(afresh.alarm("shelved"), "ShelvingState/CurrentState/Id")
                                .getValue()
                                .value())
                        .isEqualTo(NodeIds.ShelvedStateMachineType_Unshelved);
            }
        });
        checks.put("C61", () -> {
            Seen shelved = done(operator, "shelved", NodeIds.AlarmConditionType_ShelvingState_TimedShelve, 3_600_000.0);
            assertThat(shelved.is("SuppressedOrShelved")).isTrue();
            Seen unshelved = done(operator, "shelved", NodeIds.AlarmConditionType_ShelvingState_Unshelve);
            assertThat(unshelved.is("SuppressedOrShelved")).isFalse();
        });
    }

    private static double unshelveTime(AlarmId alarm) throws Exception {
        return (double) Objects.requireNonNull(operator.readPart(alarm, "ShelvingState/UnshelveTime")
                .getValue()
                .value());
    }

    private static String shelvingAfter(NodeId method, Object... arguments) throws Exception {
        return done(operator, "shelved", method, arguments).text("ShelvingState/CurrentState");
    }

    private static void suppressing(Map<String, Executable> checks) {
        checks.put("C62", () -> {
            List<Boolean> suppressed = new ArrayList<>();
            bench.sign("group-one", true);
            suppressed.add(watch.next(bench.alarm("suppressed")).is("SuppressedState/Id"));
            bench.sign("group-two", true);
            bench.sign("group-one", false);
            assertThat(upToNow("suppressed")).isEmpty();
            bench.sign("group-two", false);
            Seen over = watch.next(bench.alarm("suppressed"));
            suppressed.add(over.is("SuppressedState/Id"));
            assertThat(suppressed).containsExactly(true, false);
        });
        checks.put("C63", () -> {
            bench.sign("group-one", true);
            watch.next(bench.alarm("suppressed"));
            Seen active = raise("suppressed");
            assertThat(active.is("SuppressedState/Id")).isTrue();
            assertThat(active.is("SuppressedOrShelved")).isTrue();
            clear("suppressed");
            bench.sign("group-one", false);
            watch.next(
                    seen -> condition("suppressed").equals(seen.conditionOrNull()) && !seen.is("SuppressedState/Id"));
        });
        checks.put("C64", () -> {
            Seen suppressed = done(engineer, "plain", NodeIds.AlarmConditionType_Suppress);
            assertThat(suppressed.is("SuppressedState/Id")).isTrue();
            assertThat(suppressed.is("ActiveState/Id")).isFalse();
            assertThat(done(
                                    engineer,
                                    "plain",
                                    NodeIds.AlarmConditionType_Unsuppress2,
                                    LocalizedText.english("works are over"))
                            .is("SuppressedState/Id"))
                    .isFalse();
            assertThat(raise("names-cause").get("SuppressedState/Id")).isNull();
            status(
                    StatusCodes.Bad_MethodInvalid,
                    engineer.call(condition("names-cause"), NodeIds.AlarmConditionType_Suppress));
            acknowledged(clear("names-cause"));
        });
        checks.put("C65", () -> {
            bench.sign("group-one", true);
            Seen audit = watch.nextOfType(NodeIds.AuditConditionSuppressionEventType);
            assertThat(audit.text("SourceName")).isEqualTo("Internal/Suppress");
            assertThat(audit.get("SourceNode")).isEqualTo(condition("suppressed"));
            bench.sign("group-one", false);
            watch.nextOfType(NodeIds.AuditConditionSuppressionEventType);
        });
        checks.put("C66", () -> {
            Seen out = done(engineer, "serviced", NodeIds.AlarmConditionType_RemoveFromService);
            assertThat(out.is("OutOfServiceState/Id")).isTrue();
            assertThat(out.is("SuppressedOrShelved")).isTrue();
            assertThat(out.is("ActiveState/Id")).isFalse();
            status(
                    StatusCodes.Bad_InvalidState,
                    engineer.call(condition("serviced"), NodeIds.AlarmConditionType_RemoveFromService));
            assertThat(done(engineer, "serviced", NodeIds.AlarmConditionType_PlaceInService)
                            .is("OutOfServiceState/Id"))
                    .isFalse();
            // Every condition here has OutOfServiceState; what has none of the kind is the object of another type.
            status(
                    StatusCodes.Bad_NodeIdInvalid,
                    engineer.call(operator.names.ofDevice(Bench.DEVICE), NodeIds.AlarmConditionType_RemoveFromService));
        });
    }

    private static void latchesAndDelays(Map<String, Executable> checks) {
        checks.put("C67", () -> {
            NodeId reset = NodeIds.AlarmConditionType_Reset;
            NodeId latched = condition("latched-confirmed");
            status(StatusCodes.Bad_InvalidState, operator.call(latched, reset)); // unlatched
            Seen seen = raise("latched-confirmed");
            status(StatusCodes.Bad_InvalidState, operator.call(latched, reset)); // active
            seen = clear("latched-confirmed");
            status(StatusCodes.Bad_InvalidState, operator.call(latched, reset)); // unacknowledged
            seen = acknowledged(seen);
            status(StatusCodes.Bad_InvalidState, operator.call(latched, reset)); // unconfirmed
            confirmed(seen);
            done(operator, "latched-confirmed", reset);
        });
        checks.put("C68", () -> {
            Seen seen = acknowledged(raise("latched"));
            seen = clear("latched");
            assertThat(seen.is("LatchedState/Id")).isTrue();
            assertThat(seen.row()).isEqualTo("FT-T");
        });
        checks.put("C69", () -> {
            Seen seen =
                    done(operator, "latched", NodeIds.AlarmConditionType_Reset2, LocalizedText.english("looked at"));
            assertThat(seen.is("LatchedState/Id")).isFalse();
            assertThat(seen.is("Retain")).isFalse();
            assertThat(seen.text("Comment")).isEqualTo("looked at");
        });
        checks.put("C70", () -> {
            bench.sign("delayed-on", true);
            bench.sign("delayed-on", false);
            assertThat(upToNow("delayed-on")).isEmpty();
            Moment began = bench.clock.now();
            bench.sign("delayed-on", true);
            Seen seen = watch.next(bench.alarm("delayed-on"));
            assertThat(((DateTime) Objects.requireNonNull(seen.get("Time"))).getJavaTime() - began.wallMillis())
                    .isGreaterThanOrEqualTo(999);
            acknowledged(clear("delayed-on"));
        });
        checks.put("C71", () -> {
            raise("delayed-off");
            bench.sign("delayed-off", false);
            bench.sign("delayed-off", true);
            assertThat(upToNow("delayed-off")).isEmpty();
            Moment began = bench.clock.now();
            bench.sign("delayed-off", false);
            Seen seen = watch.next(bench.alarm("delayed-off"));
            assertThat(((DateTime) Objects.requireNonNull(seen.get("Time"))).getJavaTime() - began.wallMillis())
                    .isGreaterThanOrEqualTo(999);
            acknowledged(seen);
        });
        checks.put("C72", () -> {
            bench.reads("level-one", 101);
            watch.next(bench.alarm("level"));
            bench.reads("level-one", 91);
            assertThat(upToNow("level")).isEmpty();
            bench.reads("level-one", 89);
            Seen over = watch.next(bench.alarm("level"));
            assertThat(over.is("ActiveState/Id")).isFalse();
            acknowledged(over);
        });
        checks.put("C73", () -> {
            Seen seen = acknowledged(raise("re-alarmed"));
            assertThat(seen.get("ReAlarmRepeatCount")).isEqualTo((short) 0);
            Seen again = watch.next(bench.alarm("re-alarmed"));
            assertThat(again.is("AckedState/Id")).isFalse();
            assertThat(again.get("ReAlarmRepeatCount")).isEqualTo((short) 1);
            acknowledged(clear("re-alarmed"));
        });
        checks.put("C74", () -> {
            Seen first = raise("first-b");
            assertThat(first.get("FirstInGroupFlag")).isEqualTo(true);
            Seen second = raise("first-a");
            assertThat(second.get("FirstInGroupFlag")).isEqualTo(false);
            acknowledged(clear("first-b"));
            acknowledged(clear("first-a"));
            assertThat(raise("first-a").get("FirstInGroupFlag")).isEqualTo(true);
            acknowledged(clear("first-a"));
        });
    }

    private static final List<String> METRICS = List.of(
            "AlarmCount",
            "StartTime",
            "MaximumActiveState",
            "MaximumUnAck",
            "CurrentAlarmRate",
            "MaximumAlarmRate",
            "MaximumReAlarmCount",
            "AverageAlarmRate");

    private static Map<String, Object> metrics() throws Exception {
        Map<String, Object> values = new LinkedHashMap<>();
        for (ReferenceDescription part :
                browse(ConditionNodes.metrics(operator.names), NodeIds.HasComponent, BrowseDirection.Forward)) {
            NodeId id = part.getNodeId()
                    .toNodeId(operator.client.getNamespaceTable())
                    .orElseThrow();
            String name = String.valueOf(part.getBrowseName().name());
            values.put(name, name.equals("Reset") ? id : value(id, AttributeId.Value));
        }
        return values;
    }

    private static void theRest(Map<String, Executable> checks) {
        checks.put("C75", () -> {
            assertThat(targets(operator.names.ofStation(), NodeIds.HasComponent))
                    .contains(ConditionNodes.metrics(operator.names));
            Map<String, Object> values = metrics();
            assertThat(values.keySet()).containsAll(METRICS).contains("Reset");
            assertThat(((UInteger) Objects.requireNonNull(values.get("AlarmCount"))).longValue())
                    .isGreaterThan(50_000);
            assertThat((double) Objects.requireNonNull(values.get("MaximumActiveState")))
                    .isPositive();
            assertThat((double) Objects.requireNonNull(values.get("CurrentAlarmRate")))
                    .isPositive();
            assertThat(((UInteger) Objects.requireNonNull(values.get("MaximumReAlarmCount"))).longValue())
                    .isEqualTo(1);
            for (NodeId part : targets(ConditionNodes.metrics(operator.names), NodeIds.HasComponent)) {
                if (String.valueOf(part.getIdentifier()).endsWith("Rate")) {
                    NodeId rate = targets(part, NodeIds.HasProperty).get(0);
                    assertThat(value(rate, AttributeId.Value)).isEqualTo(UShort.valueOf(10));
                }
            }
        });
        checks.put("C76", () -> {
            DateTime before = (DateTime) Objects.requireNonNull(metrics().get("StartTime"));
            assertThat(engineer.call(ConditionNodes.metrics(operator.names), NodeIds.AlarmMetricsType_Reset))
                    .isEqualTo(StatusCode.GOOD);
            Map<String, Object> values = metrics();
            assertThat(values.get("AlarmCount")).isEqualTo(UInteger.valueOf(0));
            assertThat(values.get("CurrentAlarmRate")).isEqualTo(0.0);
            assertThat(values.get("MaximumAlarmRate")).isEqualTo(0.0);
            assertThat(values.get("MaximumReAlarmCount")).isEqualTo(UInteger.valueOf(0));
            assertThat(((DateTime) Objects.requireNonNull(values.get("StartTime"))).getUtcTime())
                    .isGreaterThan(before.getUtcTime());
        });
        checks.put("C77", () -> {
            raise("latched-confirmed");
            for (Verb verb : Verb.values()) {
                Object[] arguments = verb.arguments().stream()
                        .map(argument -> switch (argument) {
                            case EVENT_ID -> ByteString.of(new byte[] {9});
                            case COMMENT -> LocalizedText.english("audited");
                            case SHELVING_TIME -> 60_000.0;
                            case SUBSCRIPTION, ITEM -> (Object) UInteger.valueOf(999_999);
                        })
                        .toArray();
                NodeId object = verb.isRefresh()
                        ? NodeIds.ConditionType
                        : verb == Verb.RESET_METRICS
                                ? ConditionNodes.metrics(operator.names)
                                : condition("latched-confirmed");
                for (NodeId method : verb.methods()) {
                    StatusCode refused = viewer.call(object, method, arguments);
                    audited(verb, method, object, "viewer", refused);
                    StatusCode outcome = engineer.call(object, method, arguments);
                    audited(verb, method, object, "engineer", outcome);
                }
            }
            // the last of the verbs that act was Disable or has left it in another state
            assertThat(engineer.call(condition("latched-confirmed"), NodeIds.ConditionType_Enable)
                            .isGood())
                    .isTrue();
            bench.sign("latched-confirmed", false);
            watch.next(seen ->
                    condition("latched-confirmed").equals(seen.conditionOrNull()) && !seen.is("ActiveState/Id"));
        });
        checks.put("C78", () -> {
            assertThat(operator.call(
                            condition("shelved"), NodeIds.AlarmConditionType_ShelvingState_TimedShelve, 61_000.0))
                    .isEqualTo(StatusCode.GOOD);
            Seen audit = watch.nextOfType(NodeIds.AuditConditionShelvingEventType);
            assertThat(audit.get("ShelvingTime")).isEqualTo(61_000.0);
            assertThat(audit.text("SourceName")).isEqualTo("Method/TimedShelve");
            assertThat(operator.call(condition("shelved"), NodeIds.AlarmConditionType_ShelvingState_Unshelve))
                    .isEqualTo(StatusCode.GOOD);
            watch.nextOfType(NodeIds.AuditConditionShelvingEventType);
        });
        checks.put("C79", () -> {
            raise("plain");
            bench.actsOnThePage(
                    bench.alarm("plain"), by -> new AlarmInput.Acknowledge(by, "seen", null, bench.clock.now()));
            Seen audit = watch.nextOfType(NodeIds.AuditConditionAcknowledgeEventType);
            assertThat(audit.text("SourceName")).isEqualTo("Internal/Acknowledge");
            assertThat(audit.get("ClientUserId")).isEqualTo("p.page");
            clear("plain");
            bench.sign("by-rule", true);
            assertThat(watch.nextOfType(NodeIds.AuditConditionAcknowledgeEventType)
                            .text("SourceName"))
                    .isEqualTo("Internal/Acknowledge");
            bench.sign("by-rule", false);
        });
        checks.put("C84", () -> {
            Seen seen = raise("plain");
            status(StatusCodes.Bad_UserAccessDenied, viewer.acknowledge(seen, null));
            status(
                    StatusCodes.Bad_UserAccessDenied,
                    viewer.call(condition("shelved"), NodeIds.AlarmConditionType_ShelvingState_TimedShelve, 60_000.0));
            status(StatusCodes.Bad_UserAccessDenied, operator.call(condition("plain"), NodeIds.ConditionType_Disable));
            assertThat(operator.readPart(bench.alarm("plain"), "AckedState/Id")
                            .getValue()
                            .value())
                    .isEqualTo(false);
            acknowledged(clear("plain"));
        });
        checks.put(
                "C85",
                () -> assertThat(DiscoveryClient.getEndpoints(bench.url()).get())
                        .extracting(e -> String.valueOf(e.getSecurityPolicyUri()))
                        .isNotEmpty()
                        .noneMatch(uri -> uri.endsWith("#Basic128Rsa15") || uri.endsWith("#Basic256")));
    }

    private static void audited(Verb verb, NodeId method, NodeId object, String user, StatusCode outcome)
            throws Exception {
        Seen audit = watch.next(seen -> method.equals(seen.get("MethodId")) && user.equals(seen.get("ClientUserId")));
        assertThat(audit.get("EventType")).isEqualTo(verb.auditType());
        assertThat(audit.text("SourceName")).isEqualTo("Method/" + verb.methodName());
        assertThat(audit.get("SourceNode")).isEqualTo(object);
        assertThat(audit.get("Status")).isEqualTo(outcome.isGood());
        assertThat(audit.get("StatusCodeId")).isEqualTo(outcome);
        if (user.equals("viewer") && !verb.isRefresh()) {
            status(StatusCodes.Bad_UserAccessDenied, outcome);
        }
    }
}
