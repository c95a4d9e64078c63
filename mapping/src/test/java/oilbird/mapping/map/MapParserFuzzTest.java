package oilbird.mapping.map;

import com.code_intelligence.jazzer.junit.FuzzTest;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.stream.Stream;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.text.Loaded;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * Any bytes as a map: a map that can be used, or problems; never an exception.
 *
 * <p>As an ordinary test it goes over its seeds; with {@code JAZZER_FUZZ=1} in the environment Jazzer searches from
 * them on, guided by coverage.
 */
class MapParserFuzzTest {
    /** The demo maps, every faulty map, and inputs that an earlier search kept. */
    static Stream<Arguments> seeds() throws IOException {
        List<Arguments> seeds = new ArrayList<>();
        for (Path folder : List.of(
                Path.of("../deploy/demo-station/maps"),
                Path.of("src/test/resources/oilbird/bad-maps"),
                Path.of("src/test/resources/oilbird/vectors"))) {
            try (Stream<Path> files = Files.list(folder)) {
                for (Path file : files.filter(f -> f.toString().endsWith(".yaml"))
                        .sorted()
                        .toList()) {
                    seeds.add(Arguments.of((Object) Files.readAllBytes(file)));
                }
            }
        }
        for (String line : Files.readAllLines(Path.of("src/test/resources/oilbird/found/maps.txt"))) {
            if (!line.startsWith("#")) {
                seeds.add(Arguments.of((Object) HexFormat.of().parseHex(line)));
            }
        }
        return seeds.stream();
    }

    @MethodSource("seeds")
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
