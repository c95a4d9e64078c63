package oilbird.gateway.opcua.server;

import static java.util.Objects.requireNonNull;
import static org.assertj.core.api.Assertions.assertThat;
import static org.awaitility.Awaitility.await;

import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.opcua.server.space.Names;
import oilbird.gateway.points.ControlPoint;
import oilbird.gateway.points.PointList;
import oilbird.gateway.points.Summary;
import oilbird.mapping.signal.QualityReason;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaMonitoredItem;
import org.eclipse.milo.opcua.sdk.client.subscriptions.OpcUaSubscription;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.ExtensionObject;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UInteger;
import org.eclipse.milo.opcua.stack.core.types.enumerated.BrowseDirection;
import org.eclipse.milo.opcua.stack.core.types.enumerated.TimestampsToReturn;
import org.eclipse.milo.opcua.stack.core.types.structured.BrowseDescription;
import org.eclipse.milo.opcua.stack.core.types.structured.EUInformation;
import org.eclipse.milo.opcua.stack.core.types.structured.Range;
import org.eclipse.milo.opcua.stack.core.types.structured.ReferenceDescription;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What a client finds in the address space; the client is the library's own, over a real connection. */
class BrowsingTest {
    @TempDir
    Path data;

    private static List<ReferenceDescription> follow(OpcUaClient client, NodeId from, NodeId type) throws Exception {
        ReferenceDescription[] found = client.browse(new BrowseDescription(
                        from, BrowseDirection.Forward, type, false, UInteger.valueOf(0), UInteger.valueOf(63)))
                .getReferences();
        return found == null ? List.of() : List.of(found);
    }

    private static NodeId id(OpcUaClient client, String identifier) throws Exception {
        return new NodeId(client.getNamespaceTable().getIndex("urn:oilbird:station:windlow"), identifier);
    }

    @Test
    void aClientComesFromTheServerToTheSourceOfEveryEvent() throws Exception {
        try (ServerRig rig = new ServerRig(data)) {
            OpcUaClient client = rig.anonymous();
            // OPC UA Part 9, 4.10 and Annex B (number from memory): Server - HasNotifier - area - HasEventSource -
            // source.
            List<ReferenceDescription> areas = follow(client, NodeIds.Server, NodeIds.HasNotifier);
            assertThat(areas).extracting(r -> r.getDisplayName().text()).containsExactly("Windlow substation");
            NodeId station = areas.get(0)
                    .getNodeId()
                    .toNodeId(client.getNamespaceTable())
                    .orElseThrow();
            List<String> sources = new ArrayList<>();
            for (ReferenceDescription asset : follow(client, station, NodeIds.HasNotifier)) {
                NodeId of =
                        asset.getNodeId().toNodeId(client.getNamespaceTable()).orElseThrow();
                follow(client, of, NodeIds.HasEventSource)
                        .forEach(s -> sources.add(s.getBrowseName().name()));
            }
            assertThat(sources)
                    .contains("gas-t1", "cooling-t1", "moisture-t1", "gateway")
                    .containsExactlyInAnyOrderElementsOf(rig.station.model().facts().devices().stream()
                            .map(d -> d.id())
                            .toList());
            client.disconnect();
        }
    }

    @Test
    void aReadingHasUnitRangeValueQualityAndTheTimeOfItsSource() throws Exception {
        try (ServerRig rig = new ServerRig(data)) {
            OpcUaClient client = rig.anonymous();
            NodeId reading = id(client, "reading/gas-t1/cabinet-air-temperature");
            assertThat(client.readValue(0, TimestampsToReturn.Both, reading)
                            .statusCode()
                            .value())
                    .isEqualTo(StatusCodes.Bad_WaitingForInitialData);

            rig.reads("gas-t1", "cabinet-air-temperature", 41.5, QualityReason.NONE);
            await().until(() -> client.readValue(0, TimestampsToReturn.Both, reading)
                    .statusCode()
                    .isGood());
            DataValue value = client.readValue(0, TimestampsToReturn.Both, reading);
            assertThat(value.value().value()).isEqualTo(41.5);
            assertThat(requireNonNull(value.sourceTime()).getJavaTime())
                    .isEqualTo(requireNonNull(rig.view().devices().get("gas-t1")).readings().stream()
                            .filter(r -> r.reading().id().name().equals("cabinet-air-temperature"))
                            .findFirst()
                            .orElseThrow()
                            .reading()
                            .at()
                            .wallMillis());
            EUInformation unit =
                    (EUInformation) structure(client, id(client, reading.getIdentifier() + "/EngineeringUnits"));
            // OPC UA Part 8, 5.6.3, from memory: degree Celsius has the code CEL and the unitId 4408652.
            assertThat(unit.getUnitId()).isEqualTo(4_408_652);
            Range range = (Range) structure(client, id(client, reading.getIdentifier() + "/EURange"));
            assertThat(range.getLow()).isEqualTo(-40);
            assertThat(range.getHigh()).isEqualTo(85);

            rig.reads("gas-t1", "cabinet-air-temperature", 41.5, QualityReason.SATURATED);
            await().until(() -> client.readValue(0, TimestampsToReturn.Both, reading)
                    .statusCode()
                    .isUncertain());
            client.disconnect();
        }
    }

    private static Object structure(OpcUaClient client, NodeId id) throws Exception {
        ExtensionObject encoded = (ExtensionObject)
                client.readValue(0, TimestampsToReturn.Neither, id).value().value();
        return requireNonNull(encoded).decode(client.getStaticEncodingContext());
    }

    @Test
    void aChangedReadingComesToWhoWatchesItAndAnUnchangedOneDoesNot() throws Exception {
        try (ServerRig rig = new ServerRig(data)) {
            OpcUaClient client = rig.anonymous();
            OpcUaSubscription subscription = new OpcUaSubscription(client);
            subscription.setPublishingInterval(50.0);
            subscription.create();
            List<DataValue> seen = new CopyOnWriteArrayList<>();
            List<DataValue> other = new CopyOnWriteArrayList<>();
            watch(subscription, id(client, "reading/gas-t1/cabinet-air-temperature"), seen);
            watch(subscription, id(client, "reading/gas-t1/heat-sink-temperature"), other);
            subscription.synchronizeMonitoredItems();
            await().until(() -> seen.size() == 1 && other.size() == 1);
            rig.reads("gas-t1", "cabinet-air-temperature", 20.5, QualityReason.NONE);
            await().until(() -> seen.size() == 2);
            rig.reads("gas-t1", "cabinet-air-temperature", 21.5, QualityReason.NONE);
            await().until(() -> seen.size() == 3);
            assertThat(seen.subList(1, 3)).extracting(v -> v.value().value()).containsExactly(20.5, 21.5);
            assertThat(other).hasSize(1);
            client.disconnect();
        }
    }

    private static void watch(OpcUaSubscription subscription, NodeId node, List<DataValue> into) {
        OpcUaMonitoredItem item = OpcUaMonitoredItem.newDataItem(node);
        item.setSamplingInterval(100.0);
        item.setQueueSize(UInteger.valueOf(10));
        item.setDataValueListener((i, value) -> into.add(value));
        subscription.addMonitoredItem(item);
    }

    @Test
    void indicationsAndStatusWordsAreShownAndWhatCannotBeToldIsBad() throws Exception {
        try (ServerRig rig = new ServerRig(data)) {
            OpcUaClient client = rig.anonymous();
            var map = rig.station.devices().stream()
                    .filter(d -> d.id().equals("gas-t1"))
                    .findFirst()
                    .orElseThrow()
                    .map();
            String bit = rig.station
                    .model()
                    .facts()
                    .device("gas-t1")
                    .orElseThrow()
                    .kind()
                    .indications()
                    .get(0)
                    .name();
            NodeId indication = id(client, "indication/gas-t1/" + bit);
            DataValue before = client.readValue(0, TimestampsToReturn.Both, indication);
            assertThat(before.statusCode().isBad())
                    .as("bad data is never \"does not hold\"")
                    .isTrue();
            assertThat(before.value()).isEqualTo(Variant.NULL_VALUE);
            rig.tells("gas-t1", bit, true);
            await().until(() -> Boolean.TRUE.equals(client.readValue(0, TimestampsToReturn.Both, indication)
                    .value()
                    .value()));
            String word = map.words().get(0).name();
            rig.word("gas-t1", word, 0b101, map.words().get(0).width(), bit);
            NodeId wordId = id(client, "word/gas-t1/" + word);
            await().until(() -> client.readValue(0, TimestampsToReturn.Both, wordId)
                    .statusCode()
                    .isGood());
            assertThat(client.readValue(0, TimestampsToReturn.Both, wordId)
                            .value()
                            .value())
                    .asString()
                    .isEqualTo("5");
            client.disconnect();
        }
    }

    @Test
    void theControlRoomsPointsAreAtTheirNodeIdsAndAPointTestIsMarked() throws Exception {
        try (ServerRig rig = new ServerRig(data)) {
            OpcUaClient client = rig.anonymous();
            Names names = Names.of(client.getNamespaceTable(), "windlow");
            List<ReferenceDescription> points = follow(client, names.ofPoints(), NodeIds.Organizes);
            assertThat(points)
                    .extracting(r -> requireNonNull(r.getBrowseName()).name())
                    .containsExactlyElementsOf(
                            PointList.byDefault(rig.station.model().facts()).points().stream()
                                    .map(ControlPoint::address)
                                    .toList())
                    .contains("gateway.life-sign");
            RuleInstance rule = rig.station.model().rules().stream()
                    .filter(r -> r.asset().id().equals("t1")
                            && Summary.ofTrouble(r.rule().record().trouble()) == Summary.MONITOR_TROUBLE)
                    .findFirst()
                    .orElseThrow();
            NodeId trouble = names.ofPoint("t1." + Summary.MONITOR_TROUBLE.written());
            rig.engine
                    .acts()
                    .act(new StationInput.TestAlarm(
                            rule.id(), true, new Actor("tester", "test"), Duration.ofMinutes(5), rig.now()))
                    .join();
            await().until(() -> Boolean.TRUE.equals(client.readValue(0, TimestampsToReturn.Both, trouble)
                    .value()
                    .value()));
            assertThat(client.readValue(0, TimestampsToReturn.Both, trouble)
                            .statusCode()
                            .value())
                    .isEqualTo(StatusCodes.Uncertain_SimulatedValue);
            assertThat(client.readValue(0, TimestampsToReturn.Both, names.ofPoint(trouble.getIdentifier() + "/Test"))
                            .value()
                            .value())
                    .isEqualTo(true);
            DataValue life = client.readValue(0, TimestampsToReturn.Both, names.ofPoint("gateway.life-sign"));
            assertThat(life.statusCode().isGood()).isTrue();
            assertThat(life.value().value()).isInstanceOf(Boolean.class);
            client.disconnect();
        }
    }

    @Test
    void nothingInTheStationCanBeWritten() throws Exception {
        try (ServerRig rig = new ServerRig(data)) {
            OpcUaClient client = rig.as(ServerRig.OPERATOR);
            NodeId reading = id(client, "reading/gas-t1/cabinet-air-temperature");
            assertThat(client.writeValues(List.of(reading), List.of(DataValue.valueOnly(new Variant(1.0)))))
                    .allMatch(status -> status.isBad());
            client.disconnect();
        }
    }
}
