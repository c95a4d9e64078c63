package oilbird.mapping.decode;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.Arrays;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

/** Each part of the map language with its golden vector: what is written in the map, what the device answers, what it says. */
class GoldenVectorsTest {
    /**
     * Registers of values in the four orders, made apart from this project: Python's {@code struct} packed each value
     * (IEEE 754 and two's complement, the most significant byte first), then words and bytes were swapped as each order
     * says (common practice); a single register has no order of words.
     */
    @ParameterizedTest(name = "{0} {1} {2}")
    @CsvFileSource(resources = "/oilbird/vectors/values.csv", numLinesToSkip = 1)
    void aValueIsWhatItsRegistersSayInItsOrder(String type, String order, String registers, String value) {
        DeviceMap map =
                Maps.read("points:\n  v: {text: v, input_register: 0, type: %s, order: %s}\n".formatted(type, order));
        Reading reading = Maps.reading(Maps.decode(map, cells(registers)), "v");
        assertThat(reading.number()).isNotNull().isEqualTo(Double.parseDouble(value));
        assertThat(reading.reason()).isEqualTo(QualityReason.NONE);
    }

    /**
     * Cells written by hand. Holding registers 108 to 110 and input register 9 are examples of MODBUS Application
     * Protocol V1.1b3, 6.3 and 6.4; 138.51 ohm is 100 degC in the table of IEC 60751, to a hundredth of an ohm; the
     * current loop's limits are those of NAMUR NE 43.
     */
    @ParameterizedTest(name = "{0}")
    @CsvFileSource(resources = "/oilbird/vectors/language-parts.csv", numLinesToSkip = 1, delimiter = '|')
    void aPartOfTheLanguageSaysWhatItsVectorSays(
            String part,
            String sections,
            String request,
            String cells,
            String signal,
            String says,
            QualityReason reason) {
        DeviceMap map = Maps.read(sections.replace("; ", "\n") + "\n");
        ReadBlock block = map.readPlan().get(0);
        assertThat(block.table().functionCode() + " " + block.start() + "+" + block.count())
                .isEqualTo(request);
        Decoded decoded = Maps.decode(map, cells(cells));
        if (signal.endsWith(" undocumented")) {
            assertThat(decoded.words().get(0).undocumented()).isEqualTo(Long.parseLong(says, 16));
        } else if (map.indication(signal).isPresent()) {
            Indication indication = Maps.indication(decoded, signal);
            assertThat(indication.state().name()).isEqualTo(says);
            assertThat(indication.reason()).isEqualTo(reason);
        } else {
            Reading reading = Maps.reading(decoded, signal);
            assertThat(reading.reason()).isEqualTo(reason);
            if (reading.number() != null) {
                assertThat(reading.number()).isCloseTo(Double.parseDouble(says), within(0.015));
            } else {
                assertThat(reading.text() == null ? "-" : reading.text()).isEqualTo(says);
            }
        }
    }

    private static int[] cells(String written) {
        return Arrays.stream(written.split(" "))
                .mapToInt(cell -> Integer.parseInt(cell, 16))
                .toArray();
    }
}
