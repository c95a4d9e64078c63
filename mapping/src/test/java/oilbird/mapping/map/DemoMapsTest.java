package oilbird.mapping.map;

import static org.assertj.core.api.Assertions.assertThat;

import oilbird.mapping.text.Problem;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class DemoMapsTest {
    @ParameterizedTest
    @ValueSource(strings = {"hbg-8", "tcc-4"})
    void theMapsOfTheDemoStationHaveNoProblem(String name) {
        assertThat(MapReader.read("maps/" + name + ".yaml", DemoMaps.text(name)).problems())
                .extracting(Problem::toString)
                .isEmpty();
    }
}
