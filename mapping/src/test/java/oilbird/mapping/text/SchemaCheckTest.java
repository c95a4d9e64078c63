package oilbird.mapping.text;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.util.List;
import org.junit.jupiter.api.Test;

class SchemaCheckTest {
    private static final SchemaCheck SHELF = SchemaCheck.of("/oilbird/schema/shelf.schema.json");

    private static List<String> problems(String text) {
        Problems problems = new Problems();
        YamlDocument.read("shelf.yaml", text, problems).ifPresent(SHELF::check);
        return problems.list().stream().map(Problem::toString).toList();
    }

    @Test
    void aDocumentAfterTheSchemaHasNoProblem() {
        assertThat(problems("""
                name: north
                depth: 0x9
                load: 99.5
                kind: wood
                open: true
                code: AB
                books: [{title: one}, {title: two}]
                labels: {a: 1}
                """)).isEmpty();
    }

    @Test
    void everyKindOfMistakeStandsAtItsValueWithItsRemedy() {
        assertThat(problems("""
                name: n
                depth: 10
                load: 0
                kind: stele
                open: no
                code: ab
                mark: ab
                books: [{titel: one}, 2, 2]
                labels: {A: 1, b: 2}
                nmae: x
                """))
                .containsExactly(
                        "shelf.yaml:1:7: error: the text `n` is too short; write at least 2 characters",
                        "shelf.yaml:2:8: error: `10` is too large; write 1 to 9",
                        "shelf.yaml:3:7: error: `0` is too small; write a number above 0",
                        "shelf.yaml:4:7: error: `stele` is not known here; did you mean steel? (one of steel, wood)",
                        "shelf.yaml:5:7: error: `no` is a text, not true or false; write false",
                        "shelf.yaml:6:7: error: `ab` is not written as it must be; write it so that it matches \"^[A-Z]{2}$\"",
                        "shelf.yaml:7:7: error: `ab` is not written as it must be; write two capital letters",
                        "shelf.yaml:8:8: error: the list is too long; give at most 2 items",
                        "shelf.yaml:8:9: error: the key `title` is missing; add title: here",
                        "shelf.yaml:8:23: error: `2` stands in place of keys and values; write keys and values",
                        "shelf.yaml:8:26: error: `2` stands in place of keys and values; write keys and values",
                        "shelf.yaml:9:9: error: too much is described here; describe at most 1",
                        "shelf.yaml:9:10: error: the name `A` is not written as it must be; write it so that it matches \"^[a-z]+$\"",
                        "shelf.yaml:10:1: error: the key `nmae` is not known here; delete it; name is already given");
    }

    @Test
    void whatTheSchemaToldIsNotToldAgainByTheTypedViews() {
        Problems problems = new Problems();
        YamlMapping root = YamlDocument.read("shelf.yaml", "depth: deep\nopen: no\n", problems)
                .orElseThrow()
                .asMapping();
        SHELF.check(root);
        int told = problems.list().size();
        assertThat(root.whole("depth")).isZero();
        assertThat(root.truth("open", true)).isFalse();
        assertThat(root.text("name")).isEmpty();
        assertThat(problems.list()).hasSize(told).hasSize(3);
    }

    @Test
    void aSchemaWithAMisspeltKeywordOrNoneAtAllIsAMistakeInTheProgram() {
        assertThatThrownBy(() -> SchemaCheck.of("/oilbird/schema/misspelt.schema.json"))
                .hasMessageContaining("propertees");
        assertThatThrownBy(() -> SchemaCheck.of("/oilbird/schema/none.json"))
                .isInstanceOf(IllegalArgumentException.class);
    }
}
