package oilbird.demoplant.opcua;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.security.KeyPair;
import java.security.cert.X509Certificate;
import java.time.Duration;
import java.util.List;
import java.util.Objects;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.atomic.AtomicLong;
import oilbird.demoplant.device.NodeMonitor;
import oilbird.demoplant.plant.Plant;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.identity.AnonymousProvider;
import org.eclipse.milo.opcua.sdk.client.identity.IdentityProvider;
import org.eclipse.milo.opcua.sdk.client.identity.UsernameProvider;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaMonitoredItem;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaSubscription;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateBuilder;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateGenerator;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/** The servers as a client of the same library sees them. */
@Timeout(120)
class NodeServerTest {
    private static final Duration NOON = Duration.ofHours(6);
    private static final NodeServer.Door LOCKED = new NodeServer.Door("oilbird", "windlow-demo");

    private final Plant plant = Plant.windlow(7);
    private final AtomicLong now = new AtomicLong(NOON.toMillis());
    private final AtomicBoolean silent = new AtomicBoolean();

    @SuppressWarnings("NullAway.Init") // every test starts one
    private NodeServer server;

    private void start(String device, NodeServer.Door door) throws Exception {
        NodeMonitor monitor =
                (NodeMonitor) Objects.requireNonNull(plant.monitors().get(device));
        server = NodeServer.start(monitor, 0, door, now::get, plant.start().toEpochMilli(), silent::get);
    }

    @AfterEach
    void stop() {
        server.close();
    }

    private OpcUaClient client(SecurityPolicy policy, IdentityProvider identity) throws Exception {
        KeyPair keys = SelfSignedCertificateGenerator.generateRsaKeyPair(2048);
        X509Certificate certificate = new SelfSignedCertificateBuilder(keys)
                .setCommonName("test")
                .setApplicationUri("urn:windlow:test")
                .build();
        OpcUaClient client = OpcUaClient.create(
                server.endpoint(),
                endpoints -> endpoints.stream()
                        .filter(endpoint -> endpoint.getSecurityPolicyUri().equals(policy.getUri()))
                        .findFirst(),
                transport -> {},
                config -> config.setApplicationUri("urn:windlow:test")
                        .setKeyPair(keys)
                        .setCertificate(certificate)
                        .setCertificateChain(new X509Certificate[] {certificate})
                        .setRequestTimeout(UInteger.valueOf(4_000))
                        .setIdentityProvider(identity));
        client.connect();
        return client;
    }

    private NodeId node(OpcUaClient client, String id) throws Exception {
        UInteger none = UInteger.valueOf(0);
        return new NodeId(
                Objects.requireNonNull(
                        client.readNamespaceTable().getIndex(server.monitor().namespace()), none + ""),
                id);
    }

    private DataValue read(OpcUaClient client, String id) throws Exception {
        return client.readValue(0, TimestampsToReturn.Both, node(client, id));
    }

    @Test
    void valuesComeWithStatusAndBothTimes() throws Exception {
        start("moisture-t1", NodeServer.Door.OPEN);
        OpcUaClient client = client(SecurityPolicy.None, AnonymousProvider.INSTANCE);
        DataValue temperature = read(client, "Probe.OilTemperature");
        assertThat((Double) temperature.value().value()).isBetween(40.0, 60.0);
        assertThat(temperature.statusCode().isGood()).isTrue();
        assertThat(Objects.requireNonNull(temperature.serverTime()).getJavaInstant())
                .isEqualTo(plant.start().plus(NOON));
        assertThat(Duration.between(
                        Objects.requireNonNull(temperature.sourceTime()).getJavaInstant(),
                        plant.start().plus(NOON)))
                .isBetween(Duration.ZERO, Duration.ofMinutes(5));
        assertThat(read(client, "Unit.Status").value().value()).isEqualTo(UInteger.valueOf(1L << 31));
        client.disconnect();
    }

    /** Code numbers by OPC UA Part 6, Annex A, as the library lists them. */
    @Test
    void aFaultIsAStatusCodeWithoutAValue() throws Exception {
        start("moisture-t1", NodeServer.Door.OPEN);
        plant.inject("temperature-element-broken", "moisture-t1", Duration.ZERO);
        OpcUaClient client = client(SecurityPolicy.None, AnonymousProvider.INSTANCE);
        DataValue broken = read(client, "Probe.OilTemperature");
        assertThat(broken.statusCode().value()).isEqualTo(StatusCodes.Bad_SensorFailure);
        assertThat(broken.value().isNull()).isTrue();
        plant.inject("refresh-stuck", "moisture-t1", Duration.ZERO);
        DataValue held = read(client, "Probe.Saturation");
        assertThat(held.statusCode().value()).isEqualTo(StatusCodes.Uncertain_LastUsableValue);
        plant.inject("saturation-input-saturated", "moisture-t1", Duration.ZERO);
        assertThat(plant.end("refresh-stuck", "moisture-t1", NOON)).isTrue();
        assertThat(read(client, "Probe.Saturation").statusCode().value())
                .isEqualTo(StatusCodes.Uncertain_SensorNotAccurate);
        client.disconnect();
    }

    @Test
    void aSubscriptionIsToldOfWhatChanges() throws Exception {
        start("moisture-t1", NodeServer.Door.OPEN);
        OpcUaClient client = client(SecurityPolicy.None, AnonymousProvider.INSTANCE);
        OpcUaSubscription subscription = new OpcUaSubscription(client);
        subscription.setPublishingInterval(50.0);
        subscription.create();
        BlockingQueue<Object> told = new LinkedBlockingQueue<>();
        OpcUaMonitoredItem item = OpcUaMonitoredItem.newDataItem(node(client, "Unit.Measurements"));
        item.setSamplingInterval(50.0);
        item.setDataValueListener(
                (which, value) -> told.add(Objects.requireNonNull(value.value().value())));
        subscription.addMonitoredItem(item);
        subscription.synchronizeMonitoredItems();
        UInteger first = (UInteger) Objects.requireNonNull(told.poll(10, TimeUnit.SECONDS));
        now.addAndGet(300_000);
        assertThat(told.poll(10, TimeUnit.SECONDS)).isEqualTo(first.add(1));
        client.disconnect();
    }

    @Test
    void theLockedDoorTakesEachPolicyWithTheRightPasswordOnly() throws Exception {
        start("bushing-t2", LOCKED);
        assertThat(server.certificate()).isNotNull();
        for (SecurityPolicy policy : List.of(
                SecurityPolicy.Basic256Sha256,
                SecurityPolicy.Aes128_Sha256_RsaOaep,
                SecurityPolicy.Aes256_Sha256_RsaPss)) {
            OpcUaClient client = client(policy, new UsernameProvider("oilbird", "windlow-demo"));
            assertThat((Double) read(client, "L1.Capacitance").value().value()).isBetween(450.0, 454.0);
            client.disconnect();
        }
        assertThatThrownBy(() -> client(SecurityPolicy.Basic256Sha256, new UsernameProvider("oilbird", "guess")))
                .hasMessageContaining("Bad_");
    }

    @Test
    void aSilentMonitorAnswersNothingAndLaterTakesNewConnections() throws Exception {
        start("moisture-t1", NodeServer.Door.OPEN);
        OpcUaClient client = client(SecurityPolicy.None, AnonymousProvider.INSTANCE);
        NodeId status = node(client, "Unit.Status");
        silent.set(true);
        assertThatThrownBy(() -> client.readValue(0, TimestampsToReturn.Both, status))
                .hasMessageContaining("Bad_Timeout");
        silent.set(false);
        OpcUaClient again = client(SecurityPolicy.None, AnonymousProvider.INSTANCE);
        assertThat(read(again, "Unit.Status").statusCode().isGood()).isTrue();
        again.disconnect();
        client.disconnectAsync();
    }
}
