package oilbird.gateway.app;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Objects;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;

/**
 * The table of what is done about IEC 62443-4-2 has a row for each component requirement of the reference's list
 * (read from public extracts; its levels of confidence differ), and each test that a row names is there.
 */
class Iec62443TableTest {
    private static final Path TABLE = Path.of("../../deploy/docs/iec-62443-4-2.md");
    private static final Path ROOT = Path.of("../..");
    private static final Pattern NAMED = Pattern.compile("`([A-Z][A-Za-z0-9]*)(?:\\.([a-z][A-Za-z0-9]*))?`");

    private record Row(String requirement, String done, List<String> tests, String owner) {}

    private static List<Row> rows() throws IOException {
        List<Row> rows = new ArrayList<>();
        for (String line : Files.readAllLines(TABLE)) {
            String[] cells = line.split("\\|", -1);
            if (cells.length == 6 && cells[1].strip().matches("(CCSC|[A-Z/]*CR|[A-Z/]*DR) .*")) {
                List<String> tests = new ArrayList<>();
                Matcher named = NAMED.matcher(cells[3]);
                while (named.find()) {
                    tests.add(named.group(1) + (named.group(2) == null ? "" : "." + named.group(2)));
                }
                assertThat(tests)
                        .as("tests in backquotes: " + line)
                        .hasSameSizeAs(cells[3].isBlank() ? new String[0] : cells[3].split(",", -1));
                rows.add(new Row(cells[1].strip(), cells[2].strip(), tests, cells[4].strip()));
            }
        }
        return rows;
    }

    private static List<String> reference() throws IOException {
        try (InputStream csv =
                Objects.requireNonNull(Iec62443TableTest.class.getResourceAsStream("iec62443_4_2_sl2.csv"))) {
            return new String(csv.readAllBytes(), StandardCharsets.UTF_8)
                    .lines()
                    .skip(1)
                    .map(line -> line.split(",", -1))
                    .map(cells -> cells[0] + " " + cells[1])
                    .toList();
        }
    }

    @Test
    void everyRequirementHasItsRow() throws IOException {
        List<String> reference = reference();
        assertThat(reference).hasSizeGreaterThan(50);
        assertThat(rows().stream().map(Row::requirement)).containsExactlyElementsOf(reference);
    }

    @Test
    void everyRowSaysWhatIsDoneAndByWhatItIsShownOrLeftToTheOwner() throws IOException {
        for (Row row : rows()) {
            assertThat(row.done()).as(row.requirement()).isNotBlank();
            boolean nothingToDo = row.done().startsWith("software only")
                    || row.done().startsWith("no network device")
                    || row.done().startsWith("the gateway has no wireless");
            assertThat(!row.tests().isEmpty() || !row.owner().isEmpty() || nothingToDo)
                    .as(row.requirement() + " is shown by a test, left to the owner, or not ours")
                    .isTrue();
        }
    }

    @Test
    void everyNamedTestIsThere() throws IOException {
        List<Path> sources;
        try (Stream<Path> files = Files.walk(ROOT)) {
            sources = files.filter(f -> f.toString().matches(".*/src/test/java/.*\\.java"))
                    .toList();
        }
        int found = 0;
        for (Row row : rows()) {
            for (String test : row.tests()) {
                String type = test.replaceAll("\\..*", "");
                Path source = sources.stream()
                        .filter(f -> f.getFileName().toString().equals(type + ".java"))
                        .findFirst()
                        .orElseThrow(() -> new AssertionError(row.requirement() + ": there is no test " + test));
                if (test.contains(".")) {
                    assertThat(Files.readString(source))
                            .as(row.requirement())
                            .containsPattern("void " + test.replaceAll(".*\\.", "") + "\\(");
                }
                found++;
            }
        }
        assertThat(found).isGreaterThan(40);
    }
}
