package oilbird.gateway.points;

import static org.assertj.core.api.Assertions.assertThat;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class PlainAsciiTest {
    @ParameterizedTest
    @CsvSource({
        "Öl, Oel",
        "Größe, Groesse",
        "Ångström, Angstroem",
        "café, cafe",
        "65 °C, 65 degC",
        "5 µA, 5 uA",
        "10 kΩ, 10 kOhm",
        "a–b, a-b",
        "H₂, H2",
        "m³, m3",
        "Zürich 東, Zuerich ?",
    })
    void whatHasALikenessInAsciiIsWrittenByIt(String text, String plain) {
        assertThat(PlainAscii.of(text)).isEqualTo(plain);
    }

    @Test
    void everyTextBecomesPlain() {
        for (int c = 1; c < 0x3000; c++) {
            assertThat(PlainAscii.isPlain(PlainAscii.of(Character.toString(c))))
                    .as(Integer.toHexString(c))
                    .isTrue();
        }
    }
}
