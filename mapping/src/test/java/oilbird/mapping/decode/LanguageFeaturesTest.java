package oilbird.mapping.decode;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.text.Loaded;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

/**
 * Golden vectors for what the demo maps do not use. The bits are counted by hand; 100 and 80.31 ohm are 0 and -50
 * degC in the tables of IEC 60751, 138.50 ohm is a hundredth of a kelvin below 100 degC.
 */
class LanguageFeaturesTest {
    private static final DeviceMap MAP = map();

    private static DeviceMap map() {
        try {
            Loaded<DeviceMap> loaded = MapReader.read(
                    "language-features.yaml",
                    Files.readString(Path.of("src/test/resources/oilbird/vectors/language-features.yaml")));
            return loaded.result().orElseThrow(() -> new AssertionError(loaded.problems()));
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    @ParameterizedTest
    @CsvFileSource(resources = "/oilbird/vectors/language-features.csv", numLinesToSkip = 1)
    void eachSignalSaysWhatTheVectorSays(String signal, String registers, String says, QualityReason reason) {
        int[] cells = Arrays.stream(registers.split(" "))
                .mapToInt(r -> Integer.parseInt(r, 16))
                .toArray();
        Decoded decoded = Maps.decode(MAP, cells);
        if (MAP.indication(signal).isPresent()) {
            Indication indication = Maps.indication(decoded, signal);
            assertThat(indication.state().name()).isEqualTo(says);
            assertThat(indication.reason()).isEqualTo(reason);
            return;
        }
        Reading reading = Maps.reading(decoded, signal);
        assertThat(reading.reason()).isEqualTo(reason);
        if (reading.number() != null) {
            assertThat(reading.number()).isCloseTo(Double.parseDouble(says), within(0.011));
        } else {
            assertThat(reading.text() == null ? "-" : reading.text()).isEqualTo(says);
        }
    }

    @Test
    void anInspectedValueIsPlausibleInItsTrueOrderAlone() {
        DeviceMap map = Maps.read("""
                points:
                  hydrogen: {text: hydrogen, holding_register: 0, type: float32, unit: ppm, range: [0, 20000], no_value: -9999}
                """);
        // 30.0 is 41F0 0000 (IEEE 754), here with the low word first; read as ABCD it is a tiny number inside the
        // range.
        var raw = new oilbird.mapping.address.RawBlock(map.readPlan().get(0), new int[] {0x0000, 0x41F0});
        assertThat(FourOrders.of(map.points().get(0), raw, Maps.AT))
                .filteredOn(FourOrders.Candidate::plausible)
                .extracting(c -> c.order().name(), c -> c.reading().number())
                .containsExactly(org.assertj.core.groups.Tuple.tuple("CDAB", 30.0));
    }
}
