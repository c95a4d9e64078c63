package oilbird.mapping.map;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

/**
 * Pt100 resistance against temperature. pt100-table.csv: IEC 60751, A = 3.9083e-3, B = -5.775e-7, C = -4.183e-12;
 * R(0) = 100, R(100) = 138.5055, R(-50) = 80.3063 and R(200) = 175.8560 were compared with published tables, the
 * others are the standard's formula; its tolerance columns are not used here.
 */
class Pt100Test {
    @ParameterizedTest
    @CsvFileSource(resources = "/oilbird/vectors/pt100-table.csv", numLinesToSkip = 1)
    void resistanceAndTemperatureAreThoseOfTheTable(double degC, double ohm, String classA, String classB) {
        assertThat(Pt100.ohm(degC)).isCloseTo(ohm, within(5.1e-5));
        assertThat(Pt100.degC(ohm)).isCloseTo(degC, within(2e-4));
    }

    @Test
    void thereAndBackAgainGivesTheSameTemperatureOverTheWholeRange() {
        for (int tenths = -2000; tenths <= 8500; tenths++) {
            assertThat(Pt100.degC(Pt100.ohm(tenths / 10.0))).isCloseTo(tenths / 10.0, within(1e-6));
        }
    }

    @Test
    void aBrokenOrShortedSensorHasNoTemperature() {
        assertThat(Pt100.degC(0)).isNaN();
        assertThat(Pt100.degC(10)).isNaN();
        assertThat(Pt100.degC(400)).isNaN();
        assertThat(Pt100.degC(Double.NaN)).isNaN();
        assertThat(Pt100.degC(Double.POSITIVE_INFINITY)).isNaN();
    }
}
