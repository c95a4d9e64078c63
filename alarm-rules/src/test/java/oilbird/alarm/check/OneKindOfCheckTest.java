package oilbird.alarm.check;

import static org.assertj.core.api.Assertions.assertThat;

import oilbird.alarm.Windlow;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** Device maps, rule files and fault models write first checks alike: an editor completes the same keys in all three. */
class OneKindOfCheckTest {
    private static String definition(String schema, String name) {
        String text = Windlow.text("/oilbird/schema/" + schema);
        int from = text.indexOf("\"" + name + "\": {");
        assertThat(from).as("%s in %s", name, schema).isPositive();
        int depth = 0;
        int at = text.indexOf('{', from);
        do {
            depth += text.charAt(at) == '{' ? 1 : text.charAt(at) == '}' ? -1 : 0;
            at++;
        } while (depth > 0);
        return text.substring(from, at);
    }

    @ParameterizedTest
    @ValueSource(strings = {"first_check", "cause_name", "verdict"})
    void theThreeSchemasDefineItAlike(String name) {
        String ofMaps = definition("device-map-1.schema.json", name);

        assertThat(ofMaps).hasSizeGreaterThan(40);
        assertThat(definition("alarm-rules-1.schema.json", name)).isEqualTo(ofMaps);
        assertThat(definition("fault-model-1.schema.json", name)).isEqualTo(ofMaps);
    }
}
