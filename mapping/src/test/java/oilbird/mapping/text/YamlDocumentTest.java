package oilbird.mapping.text;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

class YamlDocumentTest {
    private final Problems problems = new Problems();

    private YamlMapping mapping(String text) {
        return YamlDocument.read("f.yaml", text, problems).orElseThrow().asMapping();
    }

    private List<String> told() {
        return problems.list().stream().map(Problem::toString).toList();
    }

    private enum Season {
        EARLY_SPRING,
        AUTUMN
    }

    @Test
    void everyKeyAndValueHasItsPosition() {
        YamlMapping root = mapping("a: 1\nb:\n  - x\n  - {c: 'two words', d: \u00e9\ud83d\ude00 , e: z}\n");
        assertThat(root.keyPosition("a")).isEqualTo(new Position("f.yaml", 1, 1));
        assertThat(root.valuePosition("a")).isEqualTo(new Position("f.yaml", 1, 4));
        YamlMapping second = root.list("b").items().get(1).asMapping();
        assertThat(root.list("b").items().get(0).position()).isEqualTo(new Position("f.yaml", 3, 5));
        assertThat(second.valuePosition("c")).isEqualTo(new Position("f.yaml", 4, 9));
        // A column counts characters as people see them, not UTF-16 halves.
        assertThat(second.keyPosition("e")).isEqualTo(new Position("f.yaml", 4, 30));
        assertThat(second.keyPosition("none")).isEqualTo(second.position());
        assertThat(told()).isEmpty();
    }

    @Test
    void typedViewsGiveWhatIsWritten() {
        YamlMapping root = mapping("""
                text: plain text
                quoted: "12"
                date: 2026-03-31
                norway: no
                whole: -12
                mask: 0xFF00
                below: -0xF
                decimal: 1.5e3
                truth: false
                wait: 1.5 s
                season: early-spring
                names: [a, b]
                """);
        assertThat(root.text("text")).isEqualTo("plain text");
        assertThat(root.text("quoted")).isEqualTo("12");
        assertThat(root.text("date")).isEqualTo("2026-03-31");
        assertThat(root.text("norway")).isEqualTo("no");
        assertThat(root.whole("whole")).isEqualTo(-12);
        assertThat(root.whole("mask")).isEqualTo(0xFF00);
        assertThat(root.whole("below")).isEqualTo(-15);
        assertThat(root.decimal("decimal")).isEqualTo(1500.0);
        assertThat(root.decimal("whole")).isEqualTo(-12.0);
        assertThat(root.truth("truth", true)).isFalse();
        assertThat(root.duration("wait")).isEqualTo(Duration.ofMillis(1500));
        assertThat(root.choice("season", Season.class)).isEqualTo(Season.EARLY_SPRING);
        assertThat(root.choice("none", Season.AUTUMN)).isEqualTo(Season.AUTUMN);
        assertThat(root.texts("names")).containsExactly("a", "b");
        assertThat(root.textOrNull("none")).isNull();
        assertThat(root.decimalOrNull("none")).isNull();
        assertThat(root.durationOrNull("none")).isNull();
        assertThat(root.whole("none", 7)).isEqualTo(7);
        assertThat(told()).isEmpty();
    }

    @Test
    void aViewOfTheWrongTypeTellsOnceAndGoesOn() {
        YamlMapping root = mapping("""
                a: [1]
                b: yes
                c: 15
                d: summer
                e: 1.5
                """);
        assertThat(root.text("a")).isEmpty();
        assertThat(root.truth("b", false)).isFalse();
        assertThat(root.truth("b", false)).isFalse();
        assertThat(root.duration("c")).isZero();
        assertThat(root.choice("d", Season.class)).isEqualTo(Season.EARLY_SPRING);
        assertThat(root.whole("e")).isZero();
        assertThat(root.text("f")).isEmpty();
        assertThat(told())
                .containsExactly(
                        "f.yaml:1:1: error: the key `f` is missing; add f: here",
                        "f.yaml:1:4: error: a list stands in place of a text; write a text",
                        "f.yaml:2:4: error: `yes` is a text, not true or false; write true",
                        "f.yaml:3:4: error: `15` is not a length of time; write the unit too, for example 15 s",
                        "f.yaml:4:4: error: `summer` is not known here; write one of early-spring, autumn",
                        "f.yaml:5:4: error: `1.5` stands in place of a whole number; write a whole number");
        assertThat(problems.refused()).isTrue();
        assertThat(problems.loaded(root).result()).isEmpty();
    }

    @ParameterizedTest
    @CsvSource({
        "500 ms, 500",
        "500ms, 500",
        "2 s, 2000",
        "0.5 s, 500",
        "15 min, 900000",
        "4 h, 14400000",
        "1 d, 86400000"
    })
    void aLengthOfTimeIsANumberAndAUnit(String written, long millis) {
        assertThat(mapping("t: " + written + "\n").duration("t")).isEqualTo(Duration.ofMillis(millis));
        assertThat(told()).isEmpty();
    }

    @ParameterizedTest
    @ValueSource(strings = {"2 sec", "-1 s", "1,5 s", "s", "2  s", "1e3 s", "99999999999 d", "PT2S"})
    void anythingElseIsNoLengthOfTime(String written) {
        assertThat(mapping("t: " + written + "\n").duration("t")).isZero();
        assertThat(told()).singleElement().asString().startsWith("f.yaml:1:4: error: `" + written + "`");
    }

    /** YAML 1.1 reads some of these as booleans, octal, base-60 or infinite numbers; none is a number here. */
    @ParameterizedTest
    @ValueSource(
            strings = {"0o17", "1_000", "12:30", ".inf", "-.inf", ".nan", "1.", "e5", "0x", "--1", "1e999", "0b11"})
    void whatOnlySomeReadersTakeForANumberIsNoNumber(String written) {
        assertThat(mapping("n: " + written + "\n").decimal("n")).isZero();
        assertThat(told()).hasSize(1);
    }

    @ParameterizedTest
    @CsvSource({"010, '10, or 0x8'", "-017, '-17, or -0xF'", "00, '0, or 0x0'", "09, 9", "01.5, 1.5"})
    void aLeadingZeroIsRefusedBecauseItMeansOctalToSome(String written, String remedy) {
        assertThat(mapping("n: " + written + "\n").decimal("n")).isNotNaN();
        assertThat(told()).singleElement().asString().contains("is ambiguous").contains("; write " + remedy);
    }

    @Test
    void bothPlacesOfADuplicateKeyAreTold() {
        YamlMapping root = mapping("a: 1\nb: 2\n'a': 3\n");
        assertThat(root.whole("a")).isEqualTo(1);
        assertThat(told())
                .containsExactly(
                        "f.yaml:3:1: error: the key `a` is already given in line 1, column 1; delete or rename one of the two");
    }

    @Test
    void aByteOrderMarkDoesNotMatter() {
        assertThat(mapping("\uFEFFa: 1\n").keyPosition("a")).isEqualTo(new Position("f.yaml", 1, 1));
        assertThat(told()).isEmpty();
    }

    @Test
    void windowsLineEndsDoNotMatter() {
        YamlMapping root = mapping("a: 1\r\nb: two\r\n");
        assertThat(root.text("b")).isEqualTo("two");
        assertThat(root.keyPosition("b")).isEqualTo(new Position("f.yaml", 2, 1));
    }

    @Test
    void everyLineThatATabIndentsIsTold() {
        assertThat(YamlDocument.read("f.yaml", "a:\n\tb: 1\n \tc: 2\n", problems))
                .isEmpty();
        assertThat(told())
                .containsExactly(
                        "f.yaml:2:1: error: a tab indents this line; indent with spaces only",
                        "f.yaml:3:2: error: a tab indents this line; indent with spaces only");
    }

    @Test
    void aMapOfManyMistakesEndsTheListAtALimit() {
        StringBuilder text = new StringBuilder();
        for (int i = 0; i < 1_000; i++) {
            text.append("k").append(i).append(": 010\n");
        }
        mapping(text.toString());
        assertThat(problems.list()).hasSize(Problems.LIMIT + 1);
        assertThat(told().get(Problems.LIMIT)).contains("more than 200 mistakes");
    }

    @Test
    void withoutAnErrorThereMustBeAValue() {
        assertThatThrownBy(() -> problems.loaded(null)).isInstanceOf(IllegalStateException.class);
        problems.warning(new Position("f.yaml", 1, 1), "odd", "look");
        assertThat(problems.loaded("value").result()).contains("value");
    }

    @ParameterizedTest
    @CsvSource({
        "hydrogne, hydrogen",
        "Hydrogen, hydrogen",
        "methan, methane",
        "oil_flow, oil-flow",
        "hydrogen-2, hydrogen",
        "xyz, ''",
        "'', ''"
    })
    void theNearestWordIsSuggestedIfItIsNearEnough(String written, String meant) {
        assertThat(Suggestion.closest(written, List.of("hydrogen", "methane", "oil-flow"))
                        .orElse(""))
                .isEqualTo(meant);
    }
}
