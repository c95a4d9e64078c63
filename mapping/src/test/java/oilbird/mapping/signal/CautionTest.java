package oilbird.mapping.signal;

import static org.assertj.core.api.Assertions.assertThat;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

class CautionTest {
    /**
     * safety-cautions.csv is the project's fact list, each row with its standard. Rows marked M are from
     * memory and rows marked advice are common practice; only rows marked 2 rest on two sources.
     */
    @ParameterizedTest
    @CsvFileSource(resources = "/oilbird/vectors/safety-cautions.csv", numLinesToSkip = 1)
    void everyCautionIsThatOfTheFactList(
            String id, String appliesTo, String text, String why, String standard, int minLevel, String confidence) {
        Caution caution = Caution.valueOf(id);
        assertThat(caution.appliesTo()).isEqualTo(appliesTo);
        assertThat(caution.text()).isEqualTo(text);
        assertThat(caution.why()).isEqualTo(why);
        assertThat(caution.standard()).isEqualTo(standard);
        assertThat(caution.minExposure()).isEqualTo(minLevel);
        assertThat(confidence).isIn("2", "M", "advice");
    }

    @Test
    void theListIsComplete() {
        assertThat(Caution.values()).hasSize(32);
    }
}
