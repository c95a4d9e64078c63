package oilbird.gateway.opcua.server.condition;

import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.function.Predicate;
import oilbird.alarm.state.AlarmId;
import oilbird.gateway.opcua.server.space.Names;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.identity.UsernameProvider;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaMonitoredItem;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaSubscription;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.builtin.ByteString;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodResult;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;
import org.jspecify.annotations.Nullable;

/** A client of the library, signed in as somebody, with one subscription. */
final class Watcher implements AutoCloseable {
    /** Fields that every watch selects: type definition and path. */
    static final List<String> FIELDS = List.of(
            "EventId",
            "EventType",
            "SourceNode",
            "SourceName",
            "Time",
            "ReceiveTime",
            "Message",
            "Severity",
            "ConditionName",
            "BranchId",
            "Retain",
            "EnabledState",
            "EnabledState/Id",
            "Quality",
            "LastSeverity",
            "Comment",
            "ClientUserId",
            "AckedState",
            "AckedState/Id",
            "ConfirmedState/Id",
            "ActiveState",
            "ActiveState/Id",
            "InputNode",
            "SuppressedState/Id",
            "OutOfServiceState/Id",
            "ShelvingState/CurrentState",
            "ShelvingState/CurrentState/Id",
            "ShelvingState/UnshelveTime",
            "SuppressedOrShelved",
            "LatchedState",
            "LatchedState/Id",
            "MaxTimeShelved",
            "ReAlarmRepeatCount",
            "FirstInGroupFlag",
            "NormalState",
            "HighLimit",
            "HighHighLimit",
            "LowLimit",
            "LimitState/CurrentState",
            "ActionTimeStamp",
            "Status",
            "ClientAuditEntryId",
            "MethodId",
            "StatusCodeId",
            "ShelvingTime",
            "ConditionEventId");

    /** Fields of our own namespace. */
    static final List<String> OWN = List.of(
            "LikelyCause",
            "FirstChecks",
            "ChecksWithdrawn",
            "Trust",
            "ReadingsTrusted",
            "Call",
            "TimeToRespond",
            "EventIdText",
            "Occurrence",
            "UnderTest",
            "KeepAway");

    final OpcUaClient client;
    final OpcUaSubscription subscription;
    final Names names;

    Watcher(Bench bench, String user) throws Exception {
        client = OpcUaClient.create(
                bench.url(),
                offered -> offered.stream()
                        .filter(e -> SecurityPolicy.None.getUri().equals(e.getSecurityPolicyUri()))
                        .findFirst(),
                transport -> {},
                config -> config.setIdentityProvider(new UsernameProvider(user, Bench.PASSWORD)));
        client.connect();
        names = bench.names(client);
        subscription = new OpcUaSubscription(client);
        subscription.setPublishingInterval(50.0);
        subscription.create();
    }

    static SimpleAttributeOperand field(NodeId type, AttributeId attribute, QualifiedName... path) {
        return new SimpleAttributeOperand(type, path, attribute.uid(), null);
    }

    static SimpleAttributeOperand field(String path) {
        return field(NodeIds.BaseEventType, AttributeId.Value, names(path));
    }

    static QualifiedName[] names(String path) {
        return Arrays.stream(path.split("/")).map(p -> new QualifiedName(0, p)).toArray(QualifiedName[]::new);
    }

    private SimpleAttributeOperand[] select() {
        List<SimpleAttributeOperand> all = new ArrayList<>();
        all.add(field(NodeIds.ConditionType, AttributeId.NodeId));
        FIELDS.forEach(f -> all.add(field(f)));
        OWN.forEach(f -> all.add(field(NodeIds.BaseEventType, AttributeId.Value, names.typeName(f))));
        return all.toArray(SimpleAttributeOperand[]::new);
    }

    /** Watches the Server object for everything. */
    Watch watch() throws UaException {
        return watch(NodeIds.Server, new ContentFilterElement[0], 10_000);
    }

    Watch watch(NodeId notifier, ContentFilterElement[] where, int queue) throws UaException {
        OpcUaMonitoredItem item =
                OpcUaMonitoredItem.newEventItem(notifier, new EventFilter(select(), new ContentFilter(where)));
        item.setQueueSize(UInteger.valueOf(queue));
        Watch watch = new Watch(item);
        item.setEventValueListener((i, values) -> watch.took(values));
        subscription.addMonitoredItem(item);
        subscription.synchronizeMonitoredItems();
        return watch;
    }

    NodeId condition(AlarmId alarm) {
        return names.ofCondition(alarm);
    }

    StatusCode call(NodeId object, NodeId method, Object... arguments) throws UaException {
        return result(object, method, arguments).getStatusCode();
    }

    CallMethodResult result(NodeId object, NodeId method, Object... arguments) throws UaException {
        Variant[] inputs = Arrays.stream(arguments)
                .map(a -> a instanceof Variant v ? v : new Variant(a))
                .toArray(Variant[]::new);
        return Objects.requireNonNull(client.call(List.of(new CallMethodRequest(object, method, inputs)))
                .getResults())[0];
    }

    StatusCode acknowledge(Seen event, @Nullable String comment) throws UaException {
        return call(
                event.condition(),
                NodeIds.AcknowledgeableConditionType_Acknowledge,
                event.id(),
                comment == null ? LocalizedText.NULL_VALUE : LocalizedText.english(comment));
    }

    StatusCode confirm(Seen event, @Nullable String comment) throws UaException {
        return call(
                event.condition(),
                NodeIds.AcknowledgeableConditionType_Confirm,
                event.id(),
                comment == null ? LocalizedText.NULL_VALUE : LocalizedText.english(comment));
    }

    StatusCode refresh() throws UaException {
        return call(
                NodeIds.ConditionType,
                NodeIds.ConditionType_ConditionRefresh,
                subscription.getSubscriptionId().orElseThrow());
    }

    DataValue read(NodeId node, AttributeId attribute) throws UaException {
        return client.readValues(0.0, TimestampsToReturn.Both, List.of(node)).get(0);
    }

    DataValue readPart(AlarmId alarm, String path) throws UaException {
        return client.readValues(0.0, TimestampsToReturn.Both, List.of(ConditionNodes.part(condition(alarm), path)))
                .get(0);
    }

    @Override
    public void close() throws UaException {
        client.disconnect();
    }

    /** Events that one monitored item brought, in order. */
    final class Watch {
        final OpcUaMonitoredItem item;
        private final LinkedBlockingQueue<Seen> queue = new LinkedBlockingQueue<>();

        Watch(OpcUaMonitoredItem item) {
            this.item = item;
        }

        private void took(Variant[] values) {
            Map<String, Object> fields = new LinkedHashMap<>();
            fields.put("", values[0].value());
            for (int i = 0; i < FIELDS.size(); i++) {
                fields.put(FIELDS.get(i), values[i + 1].value());
            }
            for (int i = 0; i < OWN.size(); i++) {
                fields.put(OWN.get(i), values[FIELDS.size() + 1 + i].value());
            }
            queue.add(new Seen(fields));
        }

        /** The next event of an alarm; those of others are passed over. */
        Seen next(AlarmId alarm) throws InterruptedException {
            return next(seen -> condition(alarm).equals(seen.conditionOrNull()));
        }

        Seen next(Predicate<Seen> wanted) throws InterruptedException {
            long until = System.nanoTime() + Duration.ofSeconds(10).toNanos();
            List<Seen> others = new ArrayList<>();
            for (long left = until - System.nanoTime(); left > 0; left = until - System.nanoTime()) {
                Seen seen = queue.poll(left, TimeUnit.NANOSECONDS);
                if (seen != null && wanted.test(seen)) {
                    return seen;
                }
                if (seen != null) {
                    others.add(seen);
                }
            }
            throw new AssertionError("the event did not come; there were " + others);
        }

        Seen nextOfType(NodeId type) throws InterruptedException {
            return next(seen -> type.equals(seen.get("EventType")));
        }

        /** What has come so far and was not taken. */
        List<Seen> rest() {
            List<Seen> all = new ArrayList<>();
            queue.drainTo(all);
            return all;
        }

        /** Refreshes, and returns what came between its start and its end, both left out. */
        List<Seen> refreshed() throws UaException, InterruptedException {
            queue.clear();
            assertThat(refresh()).isEqualTo(StatusCode.GOOD);
            nextOfType(NodeIds.RefreshStartEventType);
            List<Seen> between = new ArrayList<>();
            for (; ; ) {
                Seen seen = next(any -> true);
                if (NodeIds.RefreshEndEventType.equals(seen.get("EventType"))) {
                    return between;
                }
                between.add(seen);
            }
        }
    }

    /** One event as it came. */
    record Seen(Map<String, Object> fields) {
        @Nullable
        Object get(String path) {
            if (!fields.containsKey(path)) {
                throw new IllegalArgumentException("not selected: " + path);
            }
            return fields.get(path);
        }

        @Nullable
        NodeId conditionOrNull() {
            return (NodeId) fields.get("");
        }

        NodeId condition() {
            return Objects.requireNonNull(conditionOrNull());
        }

        ByteString id() {
            return (ByteString) Objects.requireNonNull(get("EventId"));
        }

        boolean is(String path) {
            return Boolean.TRUE.equals(get(path));
        }

        String text(String path) {
            Object value = get(path);
            return value instanceof LocalizedText text
                    ? Objects.requireNonNullElse(text.text(), "")
                    : String.valueOf(value);
        }

        /** Active, acknowledged, confirmed, retain: as Annex B of OPC 10000-9 prints it. */
        String row() {
            return letter("ActiveState/Id") + letter("AckedState/Id") + letter("ConfirmedState/Id") + letter("Retain");
        }

        private String letter(String path) {
            Object value = get(path);
            return value == null ? "-" : (Boolean) value ? "T" : "F";
        }

        @Override
        public String toString() {
            return text("EventType") + " " + fields.get("") + " " + row();
        }
    }
}
