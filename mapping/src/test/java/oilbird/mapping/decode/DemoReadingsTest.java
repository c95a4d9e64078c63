package oilbird.mapping.decode;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.DemoMaps;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.Point;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

class DemoReadingsTest {
    /**
     * Registers of the two demo monitors (invented) with the reading they mean, worked out by hand from the
     * register list; the floats are IEEE 754 single precision.
     */
    @ParameterizedTest(name = "{0} {1} {3}")
    @CsvFileSource(resources = "/oilbird/vectors/readings.csv", numLinesToSkip = 1)
    void aReadingIsWhatTheGoldenVectorSays(
            String map, String point, int address, String registers, String value, QualityReason reason) {
        DeviceMap deviceMap = DemoMaps.map(map);
        Point mapped = deviceMap.point(point).orElseThrow();
        assertThat(mapped.place().start()).isEqualTo(address);
        ReadBlock block = deviceMap.readPlan().stream()
                .filter(b -> deviceMap.pointsOf(b).contains(mapped))
                .findFirst()
                .orElseThrow();
        int[] cells = new int[block.count()];
        String[] words = registers.split(" ");
        for (int i = 0; i < words.length; i++) {
            cells[address - block.start() + i] = Integer.parseInt(words[i], 16);
        }
        Reading reading =
                Maps.reading(new Decoder(deviceMap).decode("dev", new RawBlock(block, cells), Maps.AT), point);
        assertThat(reading.reason()).isEqualTo(reason);
        if (value.equals("-")) {
            assertThat(reading.number()).isNull();
            assertThat(reading.text()).isNull();
        } else if (reading.text() != null) {
            assertThat(reading.text()).isEqualTo(value);
        } else {
            assertThat(reading.number()).isNotNull().isCloseTo(Double.parseDouble(value), within(1e-9));
        }
    }
}
