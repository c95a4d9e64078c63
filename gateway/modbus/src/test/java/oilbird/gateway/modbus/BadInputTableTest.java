package oilbird.gateway.modbus;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.lang.reflect.Method;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;

/** The table of what can go wrong on the wire, whose last column names tests that must exist. */
class BadInputTableTest {
    private static final Path TABLE = Path.of("../../deploy/docs/bad-input.md");
    private static final Pattern NAME = Pattern.compile("`(\\w+)`");
    private static final List<Class<?>> SUITES = List.of(
            MisbehavingDeviceTest.class,
            MisbehavingUnits.class,
            MisbehavingUnitsOnAPortTest.class,
            MisbehavingUnitsOverTcpTest.class);

    @Test
    void everyRowOfTheTableIsTested() throws IOException {
        List<String> named = new ArrayList<>();
        boolean onTheWire = false;
        for (String line : Files.readAllLines(TABLE)) {
            onTheWire = line.startsWith("## ") ? line.equals("## On the wire") : onTheWire;
            if (onTheWire && line.startsWith("| ") && !line.startsWith("| what happens")) {
                String[] cells = line.split("\\|");
                Matcher names = NAME.matcher(cells[cells.length - 1]);
                assertThat(names.find()).as("a test in %s", line).isTrue();
                do {
                    named.add(names.group(1));
                } while (names.find());
            }
        }
        assertThat(named)
                .hasSizeGreaterThan(30)
                .allSatisfy(name -> assertThat(isThere(name))
                        .as("%s, which the table names", name)
                        .isTrue());
    }

    private static boolean isThere(String name) throws IOException {
        if (Character.isUpperCase(name.charAt(0))) {
            try (Stream<Path> files = Files.walk(Path.of(".."))) {
                return files.anyMatch(file -> file.getFileName().toString().equals(name + ".java"));
            }
        }
        return SUITES.stream()
                .flatMap(suite -> Stream.of(suite.getDeclaredMethods()))
                .filter(method -> method.isAnnotationPresent(Test.class))
                .map(Method::getName)
                .anyMatch(method -> method.startsWith(name));
    }
}
