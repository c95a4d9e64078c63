package oilbird.acceptance;

import static java.util.Objects.requireNonNull;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import oilbird.gateway.opcua.MonitorServer;
import oilbird.gateway.opcua.MonitorServer.Setup;
import org.awaitility.Awaitility;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaMonitoredItem;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaSubscription;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;
import org.eclipse.milo.opcua.stack.core.types.enumerated.BrowseDirection;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.BrowseDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ReferenceDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * A control room over OPC UA, from the first connection that nobody trusts to an alarm that it acknowledges and that REST
 * shows acknowledged. Monitor and control room are the two sides of an independent library, the gateway is the packaged
 * one between them.
 */
class OpcUaServerIT {
    private static final ObjectMapper JSON = new ObjectMapper();

    @TempDir
    Path folder;

    private final LinkedBlockingQueue<Variant[]> events = new LinkedBlockingQueue<>();

    private Path station(String monitor, int port) throws IOException {
        return MoistureStation.write(
                folder.resolve("windlow"),
                "{endpoint: \"%s\", security: none}".formatted(monitor),
                "temperature: {text: oil temperature, node: m:s=Temperature, unit: degC, range: [-40, 140]}",
                "[{id: alarm-list, name: alarm list, opc_ua_server: {port: %d, bind: 127.0.0.1, hosts: [127.0.0.1]}}]"
                        .formatted(port));
    }

    @Test
    void aControlRoomIsTrustedSignsInSeesReadingsAndAcknowledgesAnAlarm() throws Exception {
        AlarmClient room = AlarmClient.make();
        Path data = folder.resolve("data");
        int port = MonitorServer.freePort();
        try (MonitorServer monitor = new MonitorServer(Setup.plain());
                GatewayProcess gateway = GatewayProcess.start(station(monitor.url(), port), data)) {
            gateway.awaitReady();

            // Nobody trusts the control room yet.
            Awaitility.await("the server takes connections")
                    .atMost(Duration.ofSeconds(60))
                    .until(() -> {
                        try {
                            room.connect(port).disconnect();
                            return false;
                        } catch (Exception refused) {
                            return refused.toString().contains("Bad_SecurityChecksFailed")
                                    || String.valueOf(refused.getCause()).contains("Bad_SecurityChecksFailed");
                        }
                    });
            String listed = GatewayProcess.launcher("trust", data.toString(), "clients");
            String thumbprint = listed.lines()
                    .filter(line -> line.contains("CN=" + AlarmClient.NAME))
                    .findFirst()
                    .orElseThrow()
                    .strip()
                    .split(" ")[0];
            assertThat(GatewayProcess.launcher("trust", data.toString(), "clients", "accept", thumbprint))
                    .contains("trusted");

            OpcUaClient client = room.connect(port);
            assertThatThrownBy(() -> room.connect(port, "not the password"))
                    .hasStackTraceContaining("Bad_UserAccessDenied");

            // The station is found from the Objects folder, by what each node references.
            NodeId station = follow(client, NodeIds.ObjectsFolder, "Station");
            NodeId asset = follow(client, station, "t1");
            NodeId device = follow(client, asset, "moisture-t1");
            NodeId temperature = follow(client, follow(client, device, "readings"), "temperature");
            monitor.set("Temperature", 61.5f);
            DataValue good = Awaitility.await("the reading")
                    .atMost(Duration.ofSeconds(30))
                    .until(
                            () -> client.readValue(0, TimestampsToReturn.Both, temperature),
                            v -> Double.valueOf(61.5).equals(v.value().value()));
            assertThat(good.statusCode().isGood()).isTrue();
            assertThat(requireNonNull(good.sourceTime()).getJavaTime())
                    .isCloseTo(System.currentTimeMillis(), org.assertj.core.data.Offset.offset(60_000L));
            monitor.set(
                    "Temperature",
                    new DataValue(new Variant(62.5f), new StatusCode(StatusCodes.Uncertain_SensorNotAccurate), null));
            Awaitility.await("its quality")
                    .atMost(Duration.ofSeconds(30))
                    .until(() -> client.readValue(0, TimestampsToReturn.Both, temperature)
                            .statusCode()
                            .isUncertain());

            // The monitor's fault is an alarm at the control room.
            watch(client, station);
            monitor.set("Status", UShort.valueOf(1));
            Variant[] raised = awaitEvent(true, false);
            assertThat(((LocalizedText) requireNonNull(raised[2].value())).text())
                    .contains("Transformer 1", "the moisture monitor's probe has failed");
            String alarm = "/api/v1/alarms/t1/moisture-t1.probe-fault";
            assertThat(json(gateway, alarm).path("acknowledged").asBoolean(true))
                    .isFalse();

            // Acknowledged there, it is acknowledged here, in the user's name.
            StatusCode answer = requireNonNull(client.call(List.of(new CallMethodRequest(
                                    (NodeId) requireNonNull(raised[0].value()),
                                    NodeIds.AcknowledgeableConditionType_Acknowledge,
                                    new Variant[] {raised[1], new Variant(LocalizedText.english("technician called"))
                                    })))
                            .getResults())[0]
                    .getStatusCode();
            assertThat(answer.isGood()).as(answer.toString()).isTrue();
            awaitEvent(true, true);
            Awaitility.await("REST says so")
                    .atMost(Duration.ofSeconds(10))
                    .until(() -> json(gateway, alarm).path("acknowledged").asBoolean());
            String record = gateway.get("/api/v1/alarms/t1/moisture-t1.probe-fault/events")
                    .body();
            assertThat(record).contains(GatewayProcess.USER, "technician called", "opc-ua");
            client.disconnect();
        }
    }

    private static NodeId follow(OpcUaClient client, NodeId from, String browseName) throws Exception {
        ReferenceDescription[] found = requireNonNull(client.browse(new BrowseDescription(
                        from,
                        BrowseDirection.Forward,
                        NodeIds.HierarchicalReferences,
                        true,
                        UInteger.valueOf(0),
                        UInteger.valueOf(63)))
                .getReferences());
        for (ReferenceDescription reference : found) {
            if (browseName.equals(requireNonNull(reference.getBrowseName()).name())) {
                return reference
                        .getNodeId()
                        .toNodeId(client.getNamespaceTable())
                        .orElseThrow();
            }
        }
        throw new AssertionError(from + " has no " + browseName);
    }

    private void watch(OpcUaClient client, NodeId notifier) throws Exception {
        OpcUaSubscription subscription = new OpcUaSubscription(client);
        subscription.setPublishingInterval(100.0);
        subscription.create();
        SimpleAttributeOperand[] select = {
            new SimpleAttributeOperand(NodeIds.ConditionType, new QualifiedName[0], AttributeId.NodeId.uid(), null),
            field("EventId"),
            field("Message"),
            field("ActiveState", "Id"),
            field("AckedState", "Id")
        };
        OpcUaMonitoredItem item = OpcUaMonitoredItem.newEventItem(
                notifier, new EventFilter(select, new ContentFilter(new ContentFilterElement[0])));
        item.setQueueSize(UInteger.valueOf(1_000));
        item.setEventValueListener((i, values) -> events.add(values));
        subscription.addMonitoredItem(item);
        subscription.synchronizeMonitoredItems();
    }

    private static SimpleAttributeOperand field(String... path) {
        QualifiedName[] names = new QualifiedName[path.length];
        for (int i = 0; i < path.length; i++) {
            names[i] = new QualifiedName(0, path[i]);
        }
        return new SimpleAttributeOperand(NodeIds.BaseEventType, names, AttributeId.Value.uid(), null);
    }

    private Variant[] awaitEvent(boolean active, boolean acknowledged) throws InterruptedException {
        long end = System.nanoTime() + TimeUnit.SECONDS.toNanos(60);
        while (true) {
            @Nullable Variant[] event = events.poll(end - System.nanoTime(), TimeUnit.NANOSECONDS);
            assertThat(event)
                    .as("an event, active " + active + ", acknowledged " + acknowledged)
                    .isNotNull();
            if (requireNonNull(event)[0].value() != null
                    && String.valueOf(event[0].value()).contains("probe-fault")
                    && Boolean.valueOf(active).equals(event[3].value())
                    && Boolean.valueOf(acknowledged).equals(event[4].value())) {
                return event;
            }
        }
    }

    private static JsonNode json(GatewayProcess gateway, String path) {
        try {
            return JSON.readTree(gateway.get(path).body());
        } catch (IOException e) {
            return JSON.createObjectNode();
        }
    }
}
