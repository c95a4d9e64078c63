package oilbird.gateway.opcua.server;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.awaitility.Awaitility.await;

import java.net.Socket;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import oilbird.gateway.station.OpcUaServerLinkSettings;
import oilbird.mapping.signal.QualityReason;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.identity.AnonymousProvider;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaMonitoredItem;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaSubscription;
import org.eclipse.milo.opcua.stack.core.AttributeId;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.UaException;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.enumerated.BrowseDirection;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MessageSecurityMode;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.BrowseDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.ReadValueId;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Clients that take too much: the protocol's own status, and others go on. */
class LimitsTest {
    private static final OpcUaServerLinkSettings.Limits FEW = new OpcUaServerLinkSettings.Limits(3, 8, 100);

    @TempDir
    Path data;

    private ServerRig rig(boolean anonymous) throws Exception {
        return new ServerRig(
                data, ServerRig.settings(ServerRig.freePort(), "closed network of a test", anonymous, FEW));
    }

    private static NodeId reading(OpcUaClient client) throws Exception {
        return new NodeId(
                client.getNamespaceTable().getIndex("urn:oilbird:station:windlow"),
                "reading/gas-t1/cabinet-air-temperature");
    }

    @Test
    void sessionsThatAreNeverActivatedKeepNobodyOut() throws Exception {
        try (ServerRig rig = rig(false)) {
            for (int i = 0; i < 12; i++) {
                // The session is made, and its user refused.
                assertThatThrownBy(() -> rig.client(
                                SecurityPolicy.None, MessageSecurityMode.None, AnonymousProvider.INSTANCE, c -> {}))
                        .isInstanceOf(UaException.class);
            }
            OpcUaClient client = rig.as(ServerRig.OPERATOR);
            assertThat(client.readValue(0, TimestampsToReturn.Both, NodeIds.Server_ServerStatus_State)
                            .statusCode()
                            .isGood())
                    .isTrue();
            client.disconnect();
        }
    }

    @Test
    void oneSessionMoreThanTheLimitIsRefusedWithTheProtocolsStatusAndOneThatEndsMakesRoom() throws Exception {
        try (ServerRig rig = rig(true)) {
            List<OpcUaClient> clients = new ArrayList<>();
            for (int i = 0; i < FEW.sessions(); i++) {
                clients.add(rig.anonymous());
            }
            assertThatThrownBy(rig::anonymous).hasStackTraceContaining("Bad_TooManySessions");
            clients.remove(0).disconnect();
            clients.add(rig.anonymous());
            for (OpcUaClient client : clients) {
                client.disconnect();
            }
        }
    }

    @Test
    void subscriptionsAndItemsBeyondTheLimitsAreRefusedOneByOne() throws Exception {
        try (ServerRig rig = rig(true)) {
            OpcUaClient client = rig.anonymous();
            new OpcUaSubscription(client).create();
            OpcUaSubscription second = new OpcUaSubscription(client);
            second.create();
            assertThatThrownBy(() -> new OpcUaSubscription(client).create())
                    .hasStackTraceContaining("Bad_TooManySubscriptions");
            List<OpcUaMonitoredItem> items = new ArrayList<>();
            for (int i = 0; i < FEW.items() + 5; i++) {
                OpcUaMonitoredItem item = OpcUaMonitoredItem.newDataItem(reading(client));
                item.setQueueSize(UInteger.valueOf(1_000_000));
                items.add(item);
            }
            second.addMonitoredItems(items);
            second.createMonitoredItems();
            List<OpcUaMonitoredItem> refused = items.stream()
                    .filter(i -> i.getCreateResult().orElseThrow().value() == StatusCodes.Bad_TooManyMonitoredItems)
                    .toList();
            assertThat(refused).hasSize(5);
            assertThat(items.get(0).getRevisedQueueSize().orElseThrow().longValue())
                    .as("memory of one item is bounded whatever it asks for")
                    .isLessThanOrEqualTo(100);
            client.disconnect();
        }
    }

    @Test
    void hugeRequestsAreRefusedAndTheSessionGoesOn() throws Exception {
        try (ServerRig rig = rig(true)) {
            OpcUaClient client = rig.anonymous();
            NodeId reading = reading(client);
            ReadValueId one = new ReadValueId(reading, AttributeId.Value.uid(), null, QualifiedName.NULL_VALUE);
            assertThatThrownBy(() -> client.read(0, TimestampsToReturn.Both, Collections.nCopies(5_000, one)))
                    .hasStackTraceContaining("Bad_TooManyOperations");
            BrowseDescription all = new BrowseDescription(
                    NodeIds.ObjectsFolder,
                    BrowseDirection.Both,
                    NodeId.NULL_VALUE,
                    true,
                    UInteger.valueOf(0),
                    UInteger.valueOf(63));
            assertThatThrownBy(() -> client.browse(Collections.nCopies(1_000, all)))
                    .hasStackTraceContaining("Bad_TooManyOperations");
            assertThat(client.readValue(0, TimestampsToReturn.Both, reading).statusCode())
                    .isNotNull();
            client.disconnect();
        }
    }

    @Test
    void whoReadsTooSlowlyLosesTheOldestAndIsToldSoAndOthersLoseNothing() throws Exception {
        try (ServerRig rig = rig(true)) {
            OpcUaClient client = rig.anonymous();
            List<DataValue> all = watch(client, 50.0, 50);
            List<DataValue> few = watch(client, 4_000.0, 2);
            await().until(() -> all.size() == 1 && few.size() == 1);
            for (int i = 1; i <= 6; i++) {
                rig.reads("gas-t1", "cabinet-air-temperature", 20 + i, QualityReason.NONE);
                int seen = i + 1;
                await().until(() -> all.size() == seen);
            }
            await().atMost(Duration.ofSeconds(20)).until(() -> few.size() > 1);
            assertThat(all.subList(1, 7))
                    .extracting(v -> v.value().value())
                    .containsExactly(21.0, 22.0, 23.0, 24.0, 25.0, 26.0);
            assertThat(few.subList(1, few.size()))
                    .as("OPC UA Part 4, 7.7.1 (from memory): the overflow bit marks that values were dropped")
                    .anyMatch(v -> v.statusCode().isOverflowSet());
            assertThat(few.get(few.size() - 1).value().value()).isEqualTo(26.0);
            client.disconnect();
        }
    }

    private static List<DataValue> watch(OpcUaClient client, double publishing, int queue) throws Exception {
        OpcUaSubscription subscription = new OpcUaSubscription(client);
        subscription.setPublishingInterval(publishing);
        subscription.create();
        List<DataValue> seen = new CopyOnWriteArrayList<>();
        OpcUaMonitoredItem item = OpcUaMonitoredItem.newDataItem(reading(client));
        item.setSamplingInterval(100.0);
        item.setQueueSize(UInteger.valueOf(queue));
        item.setDataValueListener((i, value) -> seen.add(value));
        subscription.addMonitoredItem(item);
        subscription.synchronizeMonitoredItems();
        return seen;
    }

    @Test
    void connectionsThatSayNothingAreBoundedAndClosedAndThenSomebodyGetsIn() throws Exception {
        try (ServerRig rig = rig(true)) {
            List<Socket> silent = new ArrayList<>();
            for (int i = 0; i < 100; i++) {
                silent.add(new Socket("127.0.0.1", rig.settings.port()));
            }
            await().untilAsserted(() ->
                    assertThat(rig.link.load().connections()).isBetween(1, (4 * FEW.sessions() + 20) / 2));
            await().atMost(Duration.ofSeconds(20)).until(() -> rig.link.load().connections() == 0);
            rig.anonymous().disconnect();
            for (Socket socket : silent) {
                socket.close();
            }
        }
    }

    @Test
    void nothingIsLeftOfClientsThatCameAndWent() throws Exception {
        try (ServerRig rig = new ServerRig(data)) {
            comeAndGo(rig, 20);
            // The libraries' shared pools are as large as they get.
            int threads = Thread.activeCount();
            comeAndGo(rig, 60);
            await().untilAsserted(() -> assertThat(rig.link.load()).isEqualTo(new OpcUaServerLink.Load(0, 0, 0, 0, 0)));
            await().untilAsserted(() -> assertThat(Thread.activeCount()).isLessThan(threads + 20));
        }
    }

    private void comeAndGo(ServerRig rig, int clients) throws Exception {
        for (int i = 0; i < clients; i++) {
            OpcUaClient client = rig.anonymous();
            watch(client, 100.0, 10);
            client.disconnect();
        }
    }
}
