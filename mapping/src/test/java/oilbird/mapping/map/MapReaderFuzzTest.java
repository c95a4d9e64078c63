package oilbird.mapping.map;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.List;
import java.util.Random;
import oilbird.mapping.decode.Decoder;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Valid maps damaged at random: reading gives a map or problems, never an exception. */
class MapReaderFuzzTest {
    private static final List<String> PIECES = List.of(
            ":",
            ": ",
            "- ",
            "\n",
            "\n  ",
            "\t",
            "{",
            "}",
            "[",
            "]",
            "\"",
            "'",
            "#",
            "&a ",
            "*a",
            "!!int ",
            "<<: *a",
            "|",
            ">",
            "---\n",
            "...\n",
            "%YAML 1.1\n",
            "0x",
            "010",
            "-1",
            "65536",
            "1e999",
            "1e-999999999",
            ".nan",
            ".inf",
            "~",
            "null",
            "yes",
            "no",
            "true",
            "9999999999999999999999",
            "\u0000",
            "\uFEFF",
            "\uD800",
            "\u2028",
            "? ",
            ",",
            "spare",
            "bit 15",
            "type: text",
            "count: 0",
            "length: 250",
            "width: 64",
            "[[[[[[[[",
            "{a: {a: {a: {a: ",
            "holding_register: 65535",
            "order: DCBA",
            "range: [1, 0]",
            "no_value: []",
            "update: {}",
            "verified: false",
            "requests: {by_hand: {a: {coil: 0, count: 2000}}}",
            "read_effects: [{coil: 0, count: 1, text: x}]");

    /** More by {@code -DargLine=-Doilbird.fuzz.runs=20000}. */
    private static final int RUNS = Integer.getInteger("oilbird.fuzz.runs", 400);

    private static final long SEED = Long.getLong("oilbird.fuzz.seed", 43_14);

    @ParameterizedTest
    @ValueSource(strings = {"hbg-8", "tcc-4"})
    void aDamagedMapIsReadOrRefusedAndNeverThrows(String name) {
        String text = DemoMaps.text(name);
        Random random = new Random(SEED);
        int refused = 0;
        int read = 0;
        for (int run = 0; run < RUNS; run++) {
            String damaged = text;
            for (int damage = 1 + random.nextInt(3); damage > 0; damage--) {
                damaged = damage(damaged, random);
            }
            Loaded<DeviceMap> loaded;
            try {
                loaded = MapReader.read("maps/damaged.yaml", damaged);
            } catch (RuntimeException | StackOverflowError thrown) {
                throw new AssertionError("seed " + SEED + " run " + run + " of " + name + "\n" + damaged, thrown);
            }
            if (loaded.value() == null) {
                refused++;
                assertThat(loaded.problems())
                        .as("seed %d run %d", SEED, run)
                        .anyMatch(p -> p.severity() == Problem.Severity.ERROR)
                        .allMatch(p ->
                                p.toString().lines().count() == 1 && !p.remedy().isBlank());
            } else {
                read++;
                // What was accepted can also be used.
                assertThat(new Decoder(loaded.value())).isNotNull();
            }
        }
        assertThat(refused).isGreaterThan(RUNS / 4);
        assertThat(read).isGreaterThan(RUNS / 30);
    }

    private static String damage(String text, Random random) {
        if (text.isEmpty()) {
            return PIECES.get(random.nextInt(PIECES.size()));
        }
        int at = random.nextInt(text.length());
        int to = Math.min(text.length(), at + 1 + random.nextInt(random.nextInt(10) == 0 ? 400 : 6));
        return switch (random.nextInt(6)) {
            case 0 -> text.substring(0, at) + text.substring(to);
            case 1 -> text.substring(0, at) + PIECES.get(random.nextInt(PIECES.size())) + text.substring(at);
            case 2 ->
                text.substring(0, at)
                        + (char) (random.nextInt(8) == 0 ? random.nextInt(0x10000) : random.nextInt(128))
                        + text.substring(at);
            case 3 -> text.substring(0, at) + text.substring(at, to) + text.substring(at);
            case 4 -> text.substring(0, at) + PIECES.get(random.nextInt(PIECES.size())) + text.substring(to);
            default -> swapLines(text, random);
        };
    }

    private static String swapLines(String text, Random random) {
        String[] lines = text.split("\n", -1);
        int a = random.nextInt(lines.length);
        int b = random.nextInt(lines.length);
        String kept = lines[a];
        lines[a] = lines[b];
        lines[b] = kept;
        return String.join("\n", lines);
    }

    @Test
    void whatIsTooDeepOrTooLongIsRefusedAtOnce() {
        for (String text : List.of(
                "[".repeat(200_000),
                "{a: ".repeat(100_000),
                "- ".repeat(100_000),
                "a: &a [x]\nb: [" + "*a, ".repeat(50_000) + "]",
                "x".repeat(2_000_000),
                "a: " + "9".repeat(100_000),
                "a: 1e2147483647",
                "a: [" + "1, ".repeat(200_000) + "]",
                "? ".repeat(50_000))) {
            Loaded<DeviceMap> loaded = MapReader.read("deep.yaml", text);
            assertThat(loaded.result()).isEmpty();
            assertThat(loaded.problems()).isNotEmpty().hasSizeLessThan(300);
        }
    }
}
