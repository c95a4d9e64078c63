package oilbird.mapping.map;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.TestFactory;

/**
 * Every file in {@code bad-maps} is a map with mistakes. The lines after {@code #>} at its end are all
 * the problems that reading it must tell, word for word.
 */
class BadMapsTest {
    private static final Path FOLDER = Path.of("src", "test", "resources", "oilbird", "bad-maps");

    @TestFactory
    Stream<DynamicTest> everyMistakeIsToldWithItsPlaceAndRemedy() throws IOException {
        List<Path> files;
        try (Stream<Path> listed = Files.list(FOLDER)) {
            files = listed.sorted().toList();
        }
        assertThat(files).hasSizeGreaterThan(30);
        return files.stream()
                .map(file -> DynamicTest.dynamicTest(file.getFileName().toString(), () -> check(file)));
    }

    private static void check(Path file) throws IOException {
        List<String> lines = Files.readString(file).lines().toList();
        List<String> expected = lines.stream()
                .filter(line -> line.startsWith("#> "))
                .map(line -> line.substring(3))
                .toList();
        String name = file.getFileName().toString();
        String map = String.join(
                        "\n",
                        lines.stream().filter(line -> !line.startsWith("#> ")).toList()) + "\n";
        Loaded<DeviceMap> loaded = MapReader.read(name, map);
        List<String> told = loaded.problems().stream()
                .map(Problem::toString)
                .map(problem -> problem.substring(name.length() + 1))
                .toList();
        assertThat(told).isEqualTo(expected).isNotEmpty();
        assertThat(loaded.result()).isEmpty();
    }
}
