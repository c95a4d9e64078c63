package oilbird.mapping.decode;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

/** Bits, registers and word orders as they come over the wire. */
class WireTest {
    /**
     * The columns {@code *_regs} are the registers of a value in each order; the columns {@code misread}
     * say what the registers of order ABCD become when read in another. word-order.csv is computed from
     * the definitions of the four orders (common practice; the Modbus specification leaves them open).
     */
    @ParameterizedTest
    @CsvFileSource(resources = "/oilbird/vectors/word-order.csv", numLinesToSkip = 1, nullValues = "-")
    void aValueComesOutOfTheRegistersInItsOwnOrderAndTheStatedNonsenseInAnyOther(
            String type,
            String value,
            String abcd,
            String cdab,
            String badc,
            String dcba,
            String misreadAsCdab,
            String misreadAsBadc,
            String misreadAsDcba) {
        boolean isFloat = type.equals("float32");
        double expected = isFloat ? Float.parseFloat(value) : Double.parseDouble(value);
        for (List<String> order :
                List.of(List.of("ABCD", abcd), List.of("CDAB", cdab), List.of("BADC", badc), List.of("DCBA", dcba))) {
            Reading read = reading(type, order.get(0), order.get(1));
            assertThat(read.number()).as(order.get(0)).isNotNull().isEqualTo(expected);
            assertThat(read.reason()).isEqualTo(QualityReason.NONE);
        }
        for (List<String> order : List.of(
                List.of("CDAB", misreadAsCdab), List.of("BADC", misreadAsBadc), List.of("DCBA", misreadAsDcba))) {
            Reading misread = reading(type, order.get(0), abcd);
            if (order.get(1).equals("nan")) {
                assertThat(misread.number()).as(order.get(0)).isNull();
                assertThat(misread.reason()).isEqualTo(QualityReason.NOT_A_NUMBER);
            } else {
                double nonsense = Double.parseDouble(order.get(1));
                // The table prints floats with six digits.
                assertThat(misread.number())
                        .as(order.get(0))
                        .isNotNull()
                        .isCloseTo(nonsense, within(isFloat ? Math.abs(nonsense) * 1e-5 : 0.0));
            }
        }
    }

    private static Reading reading(String type, String order, String registers) {
        String[] words = registers.split(" ");
        DeviceMap map = Maps.read("""
                points:
                  value: {text: value, input_register: 0, type: %s, order: %s}
                """.formatted(type, order));
        return Maps.reading(Maps.decode(map, Integer.parseInt(words[0], 16), Integer.parseInt(words[1], 16)), "value");
    }

    @Test
    void a64BitValueFollowsTheSamePatternInEachOrder() {
        // 0x4009_21FB_5444_2D18 is the double nearest to pi (IEEE 754).
        for (List<Object> order : List.<List<Object>>of(
                List.of("ABCD", new int[] {0x4009, 0x21FB, 0x5444, 0x2D18}),
                List.of("CDAB", new int[] {0x2D18, 0x5444, 0x21FB, 0x4009}),
                List.of("BADC", new int[] {0x0940, 0xFB21, 0x4454, 0x182D}),
                List.of("DCBA", new int[] {0x182D, 0x4454, 0xFB21, 0x0940}))) {
            DeviceMap map = Maps.read("""
                    points:
                      value: {text: value, input_register: 0, type: float64, order: %s}
                    """.formatted(order.get(0)));
            assertThat(Maps.reading(Maps.decode(map, (int[]) order.get(1)), "value")
                            .number())
                    .as("%s", order.get(0))
                    .isEqualTo(Math.PI);
        }
    }

    /** MODBUS Application Protocol V1.1b3, 6.3: registers 108 to 110 answer 02 2B 00 00 00 64, that is 555, 0 and 100. */
    @Test
    void registersOfTheSpecificationsExampleAreReadAsItSays() {
        DeviceMap map = Maps.read("""
                points:
                  first: {text: first, holding_register: 107, type: uint16}
                  second: {text: second, holding_register: 108, type: uint16}
                  third: {text: third, holding_register: 109, type: uint16}
                """);
        assertThat(Maps.decode(map, 0x022B, 0x0000, 0x0064).readings())
                .extracting(Reading::number)
                .containsExactly(555.0, 0.0, 100.0);
    }

    /**
     * MODBUS Application Protocol V1.1b3, 6.2: inputs 197 to 218 answer AC DB 35; input 204 is the most
     * significant bit of AC and 197 its least, so the first input is bit 0 of a run.
     */
    @Test
    void aRunOfDiscreteInputsHasItsFirstInputInBit0() {
        DeviceMap map = Maps.read("""
                words:
                  run:
                    text: inputs of the specification's example
                    discrete_input: 196
                    width: 22
                    bits: {0: input-197, 2: input-199, 19: input-216, 21: input-218}
                indications:
                  input-197: {text: a}
                  input-199: {text: b}
                  input-216: {text: c}
                  input-218: {text: d}
                """);
        int[] cells = new int[22];
        int[] bytes = {0xAC, 0xDB, 0x35};
        for (int i = 0; i < cells.length; i++) {
            cells[i] = bytes[i / 8] >> (i % 8) & 1;
        }
        var decoded = Maps.decode(map, cells);
        assertThat(decoded.words().get(0).bits()).isEqualTo(0x35DBAC);
        assertThat(Maps.holding(decoded)).containsExactly("input-199", "input-218");
    }

    /** Bit 0 of a register is its least significant bit: the second byte's, since the first byte on the wire is the high one (MAP 4.2). */
    @Test
    void bit0OfARegisterIsTheLeastSignificant() {
        DeviceMap map = Maps.read("""
                words:
                  word: {text: word, holding_register: 0, width: 16, bits: {0: lowest, 15: highest}}
                indications:
                  lowest: {text: lowest}
                  highest: {text: highest}
                """);
        assertThat(Maps.holding(Maps.decode(map, 0x0001))).containsExactly("lowest");
        assertThat(Maps.holding(Maps.decode(map, 0x8000))).containsExactly("highest");
    }

    @Test
    void a32BitWordFollowsItsOrder() {
        String text = """
                words:
                  word: {text: word, holding_register: 0, width: 32, order: %s, bits: {0: lowest, 16: middle, 31: highest}}
                indications:
                  lowest: {text: lowest}
                  middle: {text: middle}
                  highest: {text: highest}
                """;
        assertThat(Maps.holding(Maps.decode(Maps.read(text.formatted("ABCD")), 0x8000, 0x0001)))
                .containsExactly("lowest", "highest");
        assertThat(Maps.holding(Maps.decode(Maps.read(text.formatted("CDAB")), 0x0001, 0x8001)))
                .containsExactly("lowest", "middle", "highest");
        assertThat(Maps.holding(Maps.decode(Maps.read(text.formatted("DCBA")), 0x0000, 0x0080)))
                .containsExactly("highest");
    }
}
