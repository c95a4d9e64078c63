package oilbird.mapping.map;

import com.code_intelligence.jazzer.junit.FuzzTest;
import java.nio.charset.StandardCharsets;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.text.Loaded;

/**
 * Any bytes as a map: a map that can be used, or problems; never an exception.
 *
 * <p>Without {@code JAZZER_FUZZ=1} it runs over its seeds as an ordinary test; with it, it searches.
 */
class MapParserFuzzTest {
    @FuzzTest(maxDuration = "5m")
    void anyBytesAreAMapOrAreRefused(byte[] bytes) {
        Loaded<DeviceMap> loaded = MapReader.read("fuzzed.yaml", new String(bytes, StandardCharsets.UTF_8));
        if (loaded.value() != null) {
            new Decoder(loaded.value());
        } else if (loaded.problems().isEmpty()) {
            throw new AssertionError("refused without a reason");
        }
    }
}
