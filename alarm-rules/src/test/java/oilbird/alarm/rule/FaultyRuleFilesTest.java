package oilbird.alarm.rule;

import static org.assertj.core.api.Assertions.assertThat;

import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.Windlow;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Every faulty file tells all of its mistakes, each at its place, in words and with a remedy. */
class FaultyRuleFilesTest {
    @ParameterizedTest
    @ValueSource(strings = {"structure", "meaning", "station", "kinds", "expressions"})
    void eachFaultyFileTellsExactlyItsMistakes(String name) {
        String text = Windlow.text("/oilbird/alarm/rule/faulty/" + name + ".yaml");
        List<String> expected = Windlow.text("/oilbird/alarm/rule/faulty/" + name + ".expected.txt")
                .lines()
                .toList();
        assertThat(problems(name + ".yaml", text)).containsExactlyElementsOf(expected);
    }

    /** Problems of the file alone; those of the station only once the file alone has none. */
    private static List<String> problems(String file, String text) {
        Loaded<List<AlarmRule>> read = RuleReader.read(file, text);
        List<Problem> problems = new ArrayList<>(read.problems());
        read.result()
                .ifPresent(rules ->
                        problems.addAll(RuleBinder.bind(rules, Windlow.facts()).problems()));
        return problems.stream()
                .sorted((a, b) -> a.position().compareTo(b.position()))
                .map(Problem::toString)
                .toList();
    }
}
