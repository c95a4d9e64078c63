package oilbird.acceptance.scenario;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import oilbird.demoplant.device.BitForm;
import oilbird.demoplant.device.Monitor;
import oilbird.demoplant.plant.Plant;
import oilbird.mapping.address.NodeBlock;
import oilbird.mapping.address.NodeSnapshot;
import oilbird.mapping.address.NodeValue;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Every value of every status word of the demo station, encoded by the plant and decoded by the maps, which share no code. */
class StatusWordsIT {
    private static final Moment AT = new Moment(1, 1_790_000_000_000L, true);
    private static final Duration TIME = Duration.ofHours(1);

    /** Words of 32 bits: all values of their lower half, with the bit that makes them valid. */
    @ParameterizedTest
    @CsvSource({
        "gas-t1, hbg-8, status",
        "cooling-t1, tcc-4, input",
        "cooling-t1, tcc-4, alarm",
        "tap-t3, cwt-5, status",
        "moisture-t1, swt-2, status",
        "bushing-t2, rvb-3, status"
    })
    void everyValueOfTheLower16BitsHoldsWhatThePlantSet(String device, String mapName, String word) throws IOException {
        Path file = Path.of("../demo-station/maps", mapName + ".yaml");
        DeviceMap map =
                MapReader.read(file.toString(), Files.readString(file)).result().orElseThrow();
        Decoder decoder = new Decoder(map);
        Plant plant = Plant.windlow(1);
        Monitor monitor = Objects.requireNonNull(plant.monitors().get(device));
        List<BitForm> bits = monitor.bits().stream()
                .filter(bit -> bit.word().equals(word) && bit.number() < 16)
                .toList();
        monitor.bit("status:31").ifPresent(valid -> monitor.hold(valid, true));
        monitor.bit("status-valid").ifPresent(valid -> monitor.hold(valid, true));
        int compared = 0;
        int last = -1;
        for (int value = 0; value <= 0xFFFF; value++) {
            for (BitForm bit : bits) {
                boolean on = (value >> bit.number() & 1) == 1;
                if (last < 0 || on != ((last >> bit.number() & 1) == 1)) {
                    monitor.hold(bit, on);
                }
            }
            last = value;
            Map<String, IndicationState> told = told(map, decoder, plant, device);
            boolean valid = bits.stream()
                    .filter(bit -> bit.name().equals("status-valid"))
                    .allMatch(bit -> monitor.isSet(bit, TIME.toMillis()));
            for (BitForm bit : bits) {
                boolean inverted = bit.name().equals("self-test-passed");
                IndicationState state = told.get(inverted ? "self-test-failed" : bit.name());
                if (state == null) {
                    continue; // spare, or a part of a field
                }
                boolean holds = (value >> bit.number() & 1) == 1 ^ inverted;
                boolean right =
                        state == IndicationState.CANNOT_BE_TOLD ? !valid : (state == IndicationState.HOLDS) == holds;
                compared++;
                if (!right) {
                    assertThat(state)
                            .as("%s %04x %s", device, value, bit.name())
                            .isNull();
                }
            }
        }
        assertThat(compared).isGreaterThanOrEqualTo(3 * 65_536);
    }

    private static Map<String, IndicationState> told(DeviceMap map, Decoder decoder, Plant plant, String device) {
        List<Decoded> decoded = new ArrayList<>();
        var state = plant.at(device, TIME);
        for (ReadBlock block : map.readPlan()) {
            if (!map.indicationsOf(block).isEmpty()) {
                int[] cells = state.image().cells(block.table().functionCode(), block.start(), block.count());
                decoded.add(decoder.decode(device, new RawBlock(block, cells), AT));
            }
        }
        for (NodeBlock block : map.nodePlan()) {
            List<NodeValue> values = new ArrayList<>();
            for (var item : block.items()) {
                var node = Objects.requireNonNull(
                        state.nodes().get(item.node().name().identifier()));
                values.add(NodeValue.good(node.value()));
            }
            decoded.add(decoder.decode(device, new NodeSnapshot(block, values), AT));
        }
        Map<String, IndicationState> told = new LinkedHashMap<>();
        decoded.forEach(each -> each.indications().forEach(i -> told.put(i.id().name(), i.state())));
        return told;
    }
}
