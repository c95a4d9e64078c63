package oilbird.mapping.decode;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import oilbird.mapping.address.Node;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.NodeContent;
import oilbird.mapping.address.NodeName;
import oilbird.mapping.address.NodeSnapshot;
import oilbird.mapping.address.NodeValue;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Origin;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Values of OPC UA nodes by the built-in types of Part 6, 5.1.2, and status codes by Part 4, 7.39. */
class NodeDecodingTest {
    private static final DeviceMap MAP = Maps.read("""
            opc_ua:
              namespaces: {x: "urn:x"}
            points:
              water: {text: water, node: x:s=Water, unit: ppm, scale: 0.1, range: [0, 100], no_value: -1}
              water-time: {text: source time of the water, node: x:s=Water, type: source-time}
              serial: {text: serial number, node: "nsu=urn:x;s=Serial", type: text}
              pump: {text: pump runs, node: x:i=7, type: bit}
              device-time: {text: time of the server, node: i=2258, type: date-time, by: read}
            clock: {point: device-time, zone: UTC, wrong_beyond: 1 min, indication: clock-wrong}
            words:
              status:
                text: status word
                node: x:s=Status
                width: 16
                bits: {0: fault, 1: {indication: off, inverted: true}, 4-5: {field: phase, values: {0: idle, 1: busy}}}
              door: {text: door contact, node: x:s=Door, width: 1, bits: {0: door-open}}
            indications:
              clock-wrong: {text: clock wrong}
              fault: {text: fault}
              off: {text: "off"}
              door-open: {text: door open}
            """);
    private static final NodeBlock SUBSCRIBED = MAP.nodePlan().get(0);
    private static final NodeBlock READ = MAP.nodePlan().get(1);

    /** All good, but for one node. */
    private static Decoded with(String id, NodeValue value) {
        List<NodeValue> values = new ArrayList<>();
        for (NodeBlock.Item item : SUBSCRIBED.items()) {
            String of = item.node().name().id();
            values.add(
                    of.equals(id)
                            ? value
                            : switch (of) {
                                case "s=Water" -> NodeValue.good(123);
                                case "s=Serial" -> NodeValue.good("A 1");
                                case "i=7", "s=Door" -> NodeValue.good(true);
                                default -> NodeValue.good((short) 0b1_0011);
                            });
        }
        return new Decoder(MAP).decode("dev", new NodeSnapshot(SUBSCRIBED, values), Maps.AT);
    }

    private static Reading water(NodeValue value) {
        return Maps.reading(with("s=Water", value), "water");
    }

    @Test
    void aNodeIsFetchedOnceForItsValueAndItsTime() {
        assertThat(SUBSCRIBED.name()).isEqualTo("status.subscribed");
        assertThat(SUBSCRIBED.items())
                .extracting(i -> i.node().name().toString())
                .containsExactly(
                        "nsu=urn:x;s=Water",
                        "nsu=urn:x;s=Serial",
                        "nsu=urn:x;i=7",
                        "nsu=urn:x;s=Status",
                        "nsu=urn:x;s=Door");
        assertThat(SUBSCRIBED.items()).extracting(NodeBlock.Item::stamps).startsWith(true, false);
        assertThat(READ.items())
                .extracting(NodeBlock.Item::node)
                .extracting(Node::name)
                .containsExactly(NodeName.standard(2258));
        assertThat(MAP.readPlan()).isEmpty();
    }

    @Test
    void everyNumericTypeIsANumber() {
        List<NodeContent> twelve = List.of(
                NodeContent.of((byte) 12),
                NodeContent.of((short) 12),
                NodeContent.of(12),
                NodeContent.of(12L),
                NodeContent.of(12f),
                NodeContent.of(12d),
                new NodeContent.Whole(12, 64, false));
        for (NodeContent content : twelve) {
            Reading reading = water(NodeValue.of(content, 0, "Good"));
            assertThat(reading.number()).as(content.toString()).isEqualTo(1.2);
            assertThat(reading.reason()).isEqualTo(QualityReason.NONE);
        }
    }

    @Test
    void anUnsignedNumberAboveTheSignedOnesIsNotNegative() {
        DeviceMap map = Maps.read("""
                opc_ua: {}
                points: {n: {text: n, node: s=N}}
                """);
        NodeSnapshot snapshot = new NodeSnapshot(
                map.nodePlan().get(0), List.of(NodeValue.of(new NodeContent.Whole(-1, 64, false), 0, "Good")));
        assertThat(Maps.reading(new Decoder(map).decode("dev", snapshot, Maps.AT), "n")
                        .number())
                .isEqualTo(0x1p64);
    }

    @Test
    void whatIsNoNumberIsNotTakenForOne() {
        assertThat(water(NodeValue.good("12")).reason()).isEqualTo(QualityReason.INVALID_ANSWER);
        assertThat(water(NodeValue.of(new NodeContent.Other("array of Double"), 0, "Good"))
                        .reason())
                .isEqualTo(QualityReason.INVALID_ANSWER);
        assertThat(water(NodeValue.of(new NodeContent.None(), 0, "Good")).reason())
                .isEqualTo(QualityReason.NO_VALUE);
        assertThat(water(NodeValue.good(Double.NaN)).reason()).isEqualTo(QualityReason.NOT_A_NUMBER);
        assertThat(water(NodeValue.good(-1)).reason()).isEqualTo(QualityReason.NO_VALUE);
        assertThat(water(NodeValue.good(1001)).reason()).isEqualTo(QualityReason.OUTSIDE_RANGE);
    }

    /** Codes and names from Part 6, Annex A.2. */
    @ParameterizedTest
    @CsvSource({
        "0x00000000, Good, NONE, 12.3",
        "0x00960000, Good_LocalOverride, NONE, 12.3",
        "0x40930000, Uncertain_SensorNotAccurate, DECLARED_UNCERTAIN, 12.3",
        "0x40900000, Uncertain_LastUsableValue, DECLARED_UNCERTAIN, 12.3",
        "0x808C0000, Bad_SensorFailure, DECLARED_BAD, ",
        "0x808D0000, Bad_OutOfService, DECLARED_BAD, ",
        "0x80340000, Bad_NodeIdUnknown, REFUSED_BY_DEVICE, ",
        "0xC0000000, reserved severity, DECLARED_BAD, "
    })
    void theStatusCodeBecomesTheQualityAndIsKept(Long status, String name, QualityReason reason, Double value) {
        Reading reading = water(new NodeValue(NodeContent.of(123), status, name, 1_000L, 2_000L));
        assertThat(reading.reason()).isEqualTo(reason);
        assertThat(reading.number()).isEqualTo(value);
        assertThat(reading.origin()).isEqualTo(new Origin(name, 1_000L, 2_000L));
    }

    @Test
    void anUncertainValueOutsideItsRangeIsBad() {
        assertThat(water(NodeValue.of(NodeContent.of(2000), 0x40930000L, "Uncertain_SensorNotAccurate"))
                        .reason())
                .isEqualTo(QualityReason.OUTSIDE_RANGE);
    }

    @Test
    void theSourceTimeIsAReadingOfItsOwn() {
        Decoded decoded = with("s=Water", new NodeValue(NodeContent.of(1), 0, "Good", 1_700_000_000_250L, null));
        assertThat(Maps.reading(decoded, "water-time").number()).isEqualTo(1_700_000_000.25);
        assertThat(Maps.reading(with("s=Water", NodeValue.good(1)), "water-time")
                        .reason())
                .isEqualTo(QualityReason.NO_VALUE);
    }

    @Test
    void aWordTellsItsBits() {
        Decoded decoded = with("s=Status", NodeValue.good((short) 0b1_0011));
        assertThat(Maps.indication(decoded, "fault").state()).isEqualTo(IndicationState.HOLDS);
        assertThat(Maps.indication(decoded, "off").state()).isEqualTo(IndicationState.DOES_NOT_HOLD);
        assertThat(Maps.reading(decoded, "phase").text()).isEqualTo("busy");
        assertThat(Maps.indication(decoded, "door-open").state()).isEqualTo(IndicationState.HOLDS);
    }

    @Test
    void theBitsOfASignedIntegerAreItsTwosComplement() {
        Decoded decoded = with("s=Status", NodeValue.good((short) -32_767));
        assertThat(decoded.words().get(0).bits()).isEqualTo(0x8001);
        assertThat(decoded.words().get(0).undocumented()).isEqualTo(0x8000);
        assertThat(Maps.indication(decoded, "fault").state()).isEqualTo(IndicationState.HOLDS);
    }

    @Test
    void aWiderIntegerIsAWordWhileItsUpperBitsAreClear() {
        assertThat(Maps.indication(with("s=Status", NodeValue.good(1)), "fault").state())
                .isEqualTo(IndicationState.HOLDS);
        Decoded tooWide = with("s=Status", NodeValue.good(0x1_0001));
        assertThat(Maps.indication(tooWide, "fault").reason()).isEqualTo(QualityReason.INVALID_ANSWER);
        assertThat(Maps.reading(tooWide, "phase").reason()).isEqualTo(QualityReason.INVALID_ANSWER);
        assertThat(tooWide.words()).extracting(w -> w.id().name()).containsExactly("door");
    }

    @Test
    void anUncertainWordMayRaiseAndNeverClears() {
        Decoded decoded = with("s=Status", NodeValue.of(NodeContent.of((short) 0b0001), 0x40000000L, "Uncertain"));
        assertThat(Maps.indication(decoded, "fault").state()).isEqualTo(IndicationState.HOLDS);
        assertThat(Maps.indication(decoded, "off").state()).isEqualTo(IndicationState.HOLDS);
        Decoded clear = with("s=Status", NodeValue.of(NodeContent.of((short) 0b0010), 0x40000000L, "Uncertain"));
        assertThat(Maps.indication(clear, "fault").state()).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        assertThat(Maps.indication(clear, "fault").reason()).isEqualTo(QualityReason.DECLARED_UNCERTAIN);
    }

    @Test
    void aBadWordTellsNothing() {
        Decoded decoded = with("s=Status", NodeValue.of(NodeContent.of((short) 0), 0x80310000L, "Bad_NoCommunication"));
        assertThat(Maps.indication(decoded, "fault").state()).isEqualTo(IndicationState.CANNOT_BE_TOLD);
        assertThat(Maps.indication(decoded, "fault").reason()).isEqualTo(QualityReason.DECLARED_BAD);
    }

    @Test
    void theServersTimeIsComparedWithTheGateways() {
        long now = Maps.AT.wallMillis();
        Decoded near = clock(now + 250);
        assertThat(Maps.reading(near, "device-time").text()).isEqualTo("2023-11-14T22:13:20.250");
        assertThat(Maps.reading(near, "clock-difference").number()).isEqualTo(0.25);
        assertThat(Maps.indication(near, "clock-wrong").state()).isEqualTo(IndicationState.DOES_NOT_HOLD);
        assertThat(Maps.indication(clock(now - 61_000), "clock-wrong").state()).isEqualTo(IndicationState.HOLDS);
        // A DateTime of 0, 1601-01-01, means no time: Part 6, 5.2.2.5.
        assertThat(Maps.reading(clock(-11_644_473_600_000L), "device-time").reason())
                .isEqualTo(QualityReason.NO_VALUE);
    }

    private static Decoded clock(long millis) {
        NodeValue value = NodeValue.of(new NodeContent.Time(millis), 0, "Good");
        return new Decoder(MAP).decode("dev", new NodeSnapshot(READ, List.of(value)), Maps.AT);
    }
}
