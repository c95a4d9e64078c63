package oilbird.acceptance;

import static java.util.Objects.requireNonNull;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.KeyPair;
import java.security.cert.X509Certificate;
import java.time.Duration;
import java.time.Instant;
import java.util.Date;
import java.util.List;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import oilbird.gateway.opcua.MonitorServer;
import oilbird.gateway.opcua.MonitorServer.Setup;
import org.awaitility.Awaitility;
import org.bouncycastle.jce.provider.BouncyCastleProvider;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.identity.UsernameProvider;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaMonitoredItem;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaSubscription;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;
import org.eclipse.milo.opcua.stack.core.types.enumerated.BrowseDirection;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MessageSecurityMode;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.BrowseDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.CallMethodRequest;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ContentFilterElement;
import org.eclipse.milo.opcua.stack.core.types.structured.EventFilter;
import org.eclipse.milo.opcua.stack.core.types.structured.ReferenceDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.SimpleAttributeOperand;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateBuilder;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateGenerator;
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
    private static final String URI = "urn:fenmarch:control-room";

    @TempDir
    Path folder;

    private final LinkedBlockingQueue<Variant[]> events = new LinkedBlockingQueue<>();

    private Path station(String monitor, int port) throws IOException {
        Path station = folder.resolve("windlow");
        Files.createDirectories(station.resolve("maps"));
        Files.createDirectories(station.resolve("rules"));
        Files.writeString(station.resolve("station.yaml"), """
                station: 1
                id: windlow
                name: Windlow substation
                gateway: {id: windlow-gw1, name: Oilbird gateway}
                assets:
                  - {id: t1, name: Transformer 1, kind: transformer}
                devices:
                  - id: moisture-t1
                    name: moisture monitor
                    asset: t1
                    map: mtm-2
                    opc_ua: {endpoint: %s, security: none}
                links:
                  - id: alarm-list
                    name: alarm list
                    opc_ua_server: {port: %d, bind: 127.0.0.1, hosts: [127.0.0.1]}
                """.formatted(monitor, port));
        Files.writeString(station.resolve("maps/mtm-2.yaml"), """
                device_map: 1
                name: mtm-2
                text: moisture monitor (invented)
                identification: {vendor: Someone (invented), product: MTM-2, firmware: ["3.*"]}
                opc_ua:
                  namespaces: {m: "urn:windlow:test-monitor"}
                poll_classes: {status: 300 ms}
                verified: {by: integrator (invented), on: 2026-03-02}
                points:
                  temperature: {text: oil temperature, node: m:s=Temperature, unit: degC, range: [-40, 140]}
                words:
                  status: {text: status, node: m:s=Status, width: 16, bits: {0: probe-fault}}
                indications:
                  probe-fault: {text: probe fault}
                """);
        Files.writeString(station.resolve("rules/moisture.yaml"), """
                alarm_rules: 1
                text: Moisture monitors
                owner: Substation asset engineer (invented)
                rationalized: {by: Alarm review group (invented), on: 2026-09-14, revision: "1"}
                first_checks:
                  see-display:
                    exposure: 0
                    action: On the screen, look what else the monitor says of its probe.
                    outcomes: [{found: nothing else, means: "call the monitor technician"}]
                rules:
                  probe-fault:
                    for: {map: mtm-2}
                    when: {indication: probe-fault}
                    says: "the {device}'s probe has failed"
                    says_after: "the {device}'s probe works again"
                    class: instrument-diagnostic
                    priority: minor
                    causes: [probe, its cable]
                    confirm: the monitor's own display shows the same
                    consequence: Water in the oil is not seen.
                    response: Call the monitor technician.
                    respond_within: 1 d
                    call: monitor technician
                    first_checks: [see-display]
                """);
        return station;
    }

    @Test
    void aControlRoomIsTrustedSignsInSeesReadingsAndAcknowledgesAnAlarm() throws Exception {
        java.security.Security.addProvider(new BouncyCastleProvider());
        int port = MonitorServer.freePort();
        try (MonitorServer monitor = new MonitorServer(Setup.plain());
                GatewayProcess gateway = GatewayProcess.start(station(monitor.url(), port), folder.resolve("data"))) {
            gateway.awaitReady();
            String url = "opc.tcp://127.0.0.1:" + port + "/oilbird";
            KeyPair keys = SelfSignedCertificateGenerator.generateRsaKeyPair(2048);
            X509Certificate certificate = certificate(keys);

            // Nobody trusts the control room yet.
            Awaitility.await("the server takes connections")
                    .atMost(Duration.ofSeconds(60))
                    .until(() -> {
                        try {
                            connect(url, keys, certificate).disconnect();
                            return false;
                        } catch (Exception refused) {
                            return refused.toString().contains("Bad_SecurityChecksFailed")
                                    || String.valueOf(refused.getCause()).contains("Bad_SecurityChecksFailed");
                        }
                    });
            String listed = trust("clients");
            String thumbprint = listed.lines()
                    .filter(line -> line.contains("CN=test control room"))
                    .findFirst()
                    .orElseThrow()
                    .strip()
                    .split(" ")[0];
            assertThat(trust("clients", "accept", thumbprint)).contains("trusted");

            OpcUaClient client = connect(url, keys, certificate);
            assertThatThrownBy(() -> connect(url, keys, certificate, "not the password"))
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

    /** A control room's own, valid for a day. */
    static X509Certificate certificate(KeyPair keys) throws Exception {
        Instant until = Instant.now().plusSeconds(86_400);
        return new SelfSignedCertificateGenerator()
                .generateSelfSigned(
                        keys,
                        Date.from(until.minusSeconds(172_800)),
                        Date.from(until),
                        "test control room",
                        null,
                        null,
                        null,
                        null,
                        null,
                        URI,
                        List.of(),
                        List.of("127.0.0.1"),
                        SelfSignedCertificateBuilder.SA_SHA256_RSA);
    }

    static OpcUaClient connect(String url, KeyPair keys, X509Certificate certificate) throws Exception {
        return connect(url, keys, certificate, GatewayProcess.password());
    }

    private static OpcUaClient connect(String url, KeyPair keys, X509Certificate certificate, String password)
            throws Exception {
        OpcUaClient client = OpcUaClient.create(
                url,
                offered -> offered.stream()
                        .filter(e ->
                                SecurityPolicy.Aes256_Sha256_RsaPss.getUri().equals(e.getSecurityPolicyUri())
                                        && e.getSecurityMode() == MessageSecurityMode.SignAndEncrypt)
                        .findFirst(),
                transport -> {},
                config -> config.setApplicationUri(URI)
                        .setKeyPair(keys)
                        .setCertificate(certificate)
                        .setCertificateChain(new X509Certificate[] {certificate})
                        .setIdentityProvider(new UsernameProvider(GatewayProcess.USER, password)));
        boolean connected = false;
        try {
            client.connect();
            connected = true;
            return client;
        } finally {
            if (!connected) {
                client.disconnectAsync();
            }
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

    private String trust(String... words) throws Exception {
        String[] command = new String[words.length + 3];
        command[0] = GatewayProcess.root().resolve("deploy/oilbird").toString();
        command[1] = "trust";
        command[2] = folder.resolve("data").toString();
        System.arraycopy(words, 0, command, 3, words.length);
        Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
        String output = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(process.waitFor(120, TimeUnit.SECONDS)).isTrue();
        assertThat(process.exitValue()).as(output).isZero();
        return output;
    }
}
