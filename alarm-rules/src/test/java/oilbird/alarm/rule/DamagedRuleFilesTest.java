package oilbird.alarm.rule;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import oilbird.alarm.Windlow;
import oilbird.mapping.text.Loaded;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Whatever is done to a rule file, reading it ends in rules or in mistakes, never in an exception. */
class DamagedRuleFilesTest {
    private static final int FILES = 250;
    private static final List<String> STRAY = List.of(
            "",
            "~",
            "[]",
            "{}",
            "-1",
            "1e308",
            "0 s",
            "no",
            "{map: hbg-8}",
            "[{limit: 1}]",
            "{limit}",
            "level",
            "\"",
            "&a",
            "*a",
            "- x",
            "high: 5",
            "low: 5",
            "S05",
            "gas-t1",
            "hydrogen",
            "true",
            "0x10",
            "9999999999999999999");

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3})
    void aDamagedFileGivesRulesOrMistakesAndNeverAnException(long seed) {
        Random random = new Random(seed);
        String whole = Windlow.text("/oilbird/alarm/rule/windlow-gas-monitor.yaml");
        int refused = 0;
        for (int i = 0; i < FILES; i++) {
            String text = damaged(whole, random);
            Loaded<List<AlarmRule>> read = RuleReader.read("damaged.yaml", text);
            List<AlarmRule> rules = read.value();
            if (rules == null) {
                assertThat(read.problems()).as("seed %d, file %d", seed, i).isNotEmpty();
                refused++;
            } else {
                Loaded<List<RuleInstance>> bound = RuleBinder.bind(rules, Windlow.facts());
                refused += bound.value() == null ? 1 : 0;
            }
        }
        assertThat(refused).as("seed %d", seed).isBetween(FILES / 4, FILES);
    }

    private static String damaged(String whole, Random random) {
        List<String> lines = new ArrayList<>(whole.lines().toList());
        int wounds = 1 + random.nextInt(3);
        for (int i = 0; i < wounds; i++) {
            int at = random.nextInt(lines.size());
            String line = lines.get(at);
            int colon = line.indexOf(':');
            switch (random.nextInt(6)) {
                case 0 -> lines.remove(at);
                case 1 -> lines.add(at, line);
                case 2 -> lines.set(at, "  " + line);
                case 3 -> lines.set(at, line.isEmpty() ? "x" : line.substring(0, random.nextInt(line.length())));
                case 4 -> lines.set(at, line.replace("hydrogen", STRAY.get(random.nextInt(STRAY.size()))));
                default ->
                    lines.set(
                            at,
                            (colon < 0 ? line : line.substring(0, colon + 1)) + " "
                                    + STRAY.get(random.nextInt(STRAY.size())));
            }
        }
        return String.join("\n", lines) + "\n";
    }
}
