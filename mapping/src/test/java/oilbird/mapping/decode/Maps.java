package oilbird.mapping.decode;

import java.util.Arrays;
import java.util.List;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.text.Loaded;

/** Small maps and answers for tests. */
final class Maps {
    static final Moment AT = new Moment(5_000_000_000L, 1_700_000_000_000L, true);

    private Maps() {}

    /** A map with the given sections. */
    static DeviceMap read(String sections) {
        Loaded<DeviceMap> loaded = MapReader.read("test.yaml", """
                device_map: 1
                name: test
                text: test device
                poll_classes: {status: 1 s}
                """ + sections);
        return loaded.result().orElseThrow(() -> new AssertionError(loaded.problems()));
    }

    /** What the map's only block says when the device answers these cells. */
    static Decoded decode(DeviceMap map, int... cells) {
        List<ReadBlock> plan = map.readPlan();
        if (plan.size() != 1) {
            throw new AssertionError("one block expected: " + plan);
        }
        return new Decoder(map).decode("dev", new RawBlock(plan.get(0), cells), AT);
    }

    static Reading reading(Decoded decoded, String name) {
        return decoded.readings().stream()
                .filter(r -> r.id().name().equals(name))
                .findFirst()
                .orElseThrow(() -> new AssertionError(name + " is not in " + decoded));
    }

    static Indication indication(Decoded decoded, String name) {
        return decoded.indications().stream()
                .filter(i -> i.id().name().equals(name))
                .findFirst()
                .orElseThrow(() -> new AssertionError(name + " is not in " + decoded));
    }

    static List<String> holding(Decoded decoded) {
        return decoded.indications().stream()
                .filter(i -> i.state() == IndicationState.HOLDS)
                .map(i -> i.id().name())
                .toList();
    }

    static int[] cells(ReadBlock block) {
        int[] cells = new int[block.count()];
        Arrays.fill(cells, 0);
        return cells;
    }
}
