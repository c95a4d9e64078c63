package oilbird.mapping.decode;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;
import static org.assertj.core.api.Assertions.within;

import java.util.Random;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.CurrentLoop;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** Scaling, ranges, sentinels, current loops: what number comes out, and how good it is. */
class ReadingQualityTest {
    private static Reading read(String point, int... cells) {
        return Maps.reading(Maps.decode(Maps.read("points:\n  value: " + point), cells), "value");
    }

    @ParameterizedTest
    @CsvSource({
        "int16, 0.1, 0, 251, 25.1",
        "int16, 0.1, 0, 3, 0.3",
        "int16, 0.1, 0, 65536 - 5, -0.5",
        "uint16, 0.01, 0, 65535, 655.35",
        "uint16, 1, -273, 300, 27",
        "int16, -2, 5, 10, -15",
        "bcd16, 1, 0, 39030, 9876", // 0x9876
    })
    void aNumberIsRawTimesScalePlusOffset(String type, double scale, double offset, String raw, double expected) {
        int cell = raw.contains("-") ? 65536 - 5 : Integer.parseInt(raw);
        Reading reading = read(
                "{text: v, input_register: 0, type: %s, scale: %s, offset: %s}".formatted(type, scale, offset), cell);
        assertThat(reading.number()).isNotNull().isEqualTo(expected);
        assertThat(reading.quality()).isEqualTo(Quality.GOOD);
    }

    @Test
    void unsigned64BitValuesAboveTheSignedOnesStayPositive() {
        assertThat(read("{text: v, input_register: 0, type: uint64}", 0xFFFF, 0xFFFF, 0xFFFF, 0xFFFF)
                        .number())
                .isNotNull()
                .isEqualTo(0x1p64);
        assertThat(read("{text: v, input_register: 0, type: uint64}", 0x8000, 0, 0, 0)
                        .number())
                .isNotNull()
                .isEqualTo(0x1p63);
        assertThat(read("{text: v, input_register: 0, type: int64}", 0xFFFF, 0xFFFF, 0xFFFF, 0xFFFE)
                        .number())
                .isNotNull()
                .isEqualTo(-2.0);
    }

    @ParameterizedTest
    @ValueSource(ints = {0xA000, 0x00F0, 0x000C})
    void aDigitAboveNineIsNoBcdNumber(int cell) {
        Reading reading = read("{text: v, input_register: 0, type: bcd16}", cell);
        assertThat(reading.number()).isNull();
        assertThat(reading.reason()).isEqualTo(QualityReason.NOT_A_NUMBER);
    }

    @ParameterizedTest
    @CsvSource({"7FC0, 0000", "7F80, 0000", "FF80, 0000", "7F80, 0001", "FFFF, FFFF"})
    void aFloatThatIsNoFiniteNumberBecomesNoNumber(String high, String low) {
        Reading reading = read(
                "{text: v, input_register: 0, type: float32, range: [0, 1]}",
                Integer.parseInt(high, 16),
                Integer.parseInt(low, 16));
        assertThat(reading.number()).isNull();
        assertThat(reading.reason()).isEqualTo(QualityReason.NOT_A_NUMBER);
    }

    @Test
    void aScaledValueThatOverflowsIsNoNumber() {
        assertThat(read("{text: v, input_register: 0, type: float64, scale: 1e300}", 0x7FE0, 0, 0, 0)
                        .reason())
                .isEqualTo(QualityReason.NOT_A_NUMBER);
    }

    @ParameterizedTest
    @CsvSource({"0, 0.0, NONE", "200, 20.0, NONE", "201, 20.1, OUTSIDE_RANGE", "65535, -0.1, OUTSIDE_RANGE"})
    void aValueOutsideTheRangeIsBadAndKeepsItsNumberForDisplay(int raw, double number, QualityReason reason) {
        Reading reading = read("{text: v, input_register: 0, type: int16, scale: 0.1, range: [0, 20]}", raw);
        assertThat(reading.number()).isNotNull().isEqualTo(number);
        assertThat(reading.reason()).isEqualTo(reason);
    }

    @ParameterizedTest
    @CsvSource({
        "int16, -32768, 8000",
        "int16, 0x8000, 8000",
        "int16, -1, FFFF",
        "uint16, 0xFFFF, FFFF",
        "uint16, '[0xFFFE, 0xFFFF]', FFFE",
        "bcd16, 0xFFFF, FFFF",
    })
    void theDevicesOwnCodeForNoValueIsNoValue(String type, String code, String cell) {
        Reading reading = read(
                "{text: v, input_register: 0, type: %s, no_value: %s, range: [0, 5]}".formatted(type, code),
                Integer.parseInt(cell, 16));
        assertThat(reading.number()).isNull();
        assertThat(reading.reason()).isEqualTo(QualityReason.NO_VALUE);
    }

    @Test
    void aFloatCodeForNoValueIsComparedAsTheDeviceCodesIt() {
        // -9999.0 as IEEE 754 single precision is C61C 3C00.
        String point = "{text: v, input_register: 0, type: float32, no_value: -9999, range: [0, 5]}";
        assertThat(read(point, 0xC61C, 0x3C00).reason()).isEqualTo(QualityReason.NO_VALUE);
        assertThat(read(point, 0xC61C, 0x3C01).reason()).isEqualTo(QualityReason.OUTSIDE_RANGE);
    }

    @Test
    void aCodeForNoValueMayBeGivenScaled() {
        String point = "{text: v, input_register: 0, type: int16, scale: 0.1, no_value_scaled: -999.9}";
        assertThat(read(point, 65536 - 9999).reason()).isEqualTo(QualityReason.NO_VALUE);
        assertThat(read(point, 65536 - 9998).reason()).isEqualTo(QualityReason.NONE);
    }

    /** NAMUR NE 43: the limits themselves fail or count as the table's names say. */
    @ParameterizedTest
    @CsvFileSource(resources = "/oilbird/vectors/ne43-limits.csv", numLinesToSkip = 1)
    void aCurrentLoopAtANamurLimitIsWhatTheLimitSays(String name, double milliampere, double percent) {
        Reading reading = loop((int) Math.round(milliampere * 1000));
        if (name.startsWith("failure")) {
            assertThat(reading.reason())
                    .as(name)
                    .isEqualTo(milliampere < 4 ? QualityReason.LOOP_FAILED : QualityReason.LOOP_FAILED_HIGH);
            assertThat(reading.number()).isNull();
        } else {
            assertThat(reading.reason()).as(name).isEqualTo(QualityReason.NONE);
            assertThat(reading.number()).isNotNull().isCloseTo(1200 * percent / 100, within(1e-9));
        }
    }

    /** Between the measuring range and failure NE 43 leaves a loop saturated: truly at least that far. */
    @ParameterizedTest
    @CsvSource({
        "0, LOOP_FAILED",
        "3600, LOOP_FAILED",
        "3601, SATURATED",
        "3799, SATURATED",
        "3800, NONE",
        "20500, NONE",
        "20501, SATURATED",
        "20999, SATURATED",
        "21000, LOOP_FAILED_HIGH",
        "65535, LOOP_FAILED_HIGH"
    })
    void aCurrentLoopIsValidSaturatedOrFailed(int microampere, QualityReason reason) {
        assertThat(loop(microampere).reason()).isEqualTo(reason);
        assertThat(loop(microampere).number() == null).isEqualTo(reason.quality() == Quality.BAD);
    }

    private static Reading loop(int microampere) {
        return read(
                "{text: v, input_register: 0, type: uint16, scale: 0.001, unit: A, current_loop: {at_4_ma: 0, at_20_ma: 1200}}",
                microampere);
    }

    @Test
    void aLoopMayFallWhileTheCurrentRises() {
        Reading reading = read(
                "{text: v, input_register: 0, type: uint16, scale: 0.001, current_loop: {at_4_ma: 100, at_20_ma: 0}}",
                8000);
        assertThat(reading.number()).isNotNull().isEqualTo(75.0);
        assertThat(CurrentLoop.RANGE_LOW_MA).isLessThan(4);
    }

    @Test
    void aTextEndsAtItsPaddingAndSaysWhenItIsNotPrintable() {
        String point = "{text: v, input_register: 0, type: text, length: 6}";
        assertThat(read(point, 0x4842, 0x2D38, 0x2020).text()).isEqualTo("HB-8");
        assertThat(read(point, 0x4842, 0x0041, 0x4242).text()).isEqualTo("HB");
        assertThat(read(point, 0x2020, 0x2020, 0x2020).reason()).isEqualTo(QualityReason.NO_VALUE);
        assertThat(read(point, 0, 0, 0).reason()).isEqualTo(QualityReason.NO_VALUE);
        Reading garbled = read(point, 0x4807, 0x42FF, 0x2020);
        assertThat(garbled.text()).isEqualTo("H?B?");
        assertThat(garbled.reason()).isEqualTo(QualityReason.OUTSIDE_RANGE);
        assertThat(read("{text: v, input_register: 0, type: text, length: 4, order: BADC}", 0x4248, 0x382D)
                        .text())
                .isEqualTo("HB-8");
    }

    @Test
    void secondsSince1970AreShownAsTheDevicesOwnTime() {
        // 1234567890 s is 2009-02-13 23:31:30 (a well-known instant of POSIX time).
        assertThat(read("{text: v, input_register: 0, type: unix-seconds}", 1234567890 >> 16, 1234567890 & 0xFFFF)
                        .text())
                .isEqualTo("2009-02-13T23:31:30");
    }

    @Test
    void aCoilIsOneOrZero() {
        Reading set = read("{text: v, coil: 3}", 1);
        assertThat(set.number()).isNotNull().isEqualTo(1.0);
        assertThat(set.at()).isEqualTo(Maps.AT);
        assertThat(read("{text: v, coil: 3}", 0).number()).isNotNull().isEqualTo(0.0);
    }

    @Test
    void noAnswerWhateverTurnsIntoANumberThatIsNotFinite() {
        long seed = 20261125;
        Random random = new Random(seed);
        DeviceMap map = Maps.read("""
                points:
                  a: {text: a, input_register: 0, type: float32, scale: 1e30}
                  b: {text: b, input_register: 2, type: float64, scale: 1e200, offset: 1e300}
                  c: {text: c, input_register: 6, type: float32, current_loop: {at_4_ma: 0, at_20_ma: 1e308}}
                  d: {text: d, input_register: 8, type: bcd32}
                  e: {text: e, input_register: 10, type: uint64, scale: 1e290}
                """);
        int[] cells = new int[14];
        int good = 0;
        for (int run = 0; run < 20_000; run++) {
            for (int i = 0; i < cells.length; i++) {
                // Exponents of ones are rare among random registers and are what this is about.
                cells[i] = random.nextInt(4) == 0 ? 0x7F80 | random.nextInt(0x10000) : random.nextInt(0x10000);
            }
            Decoded decoded = Maps.decode(map, cells);
            for (Reading reading : decoded.readings()) {
                Double number = reading.number();
                assertThat(number == null || Double.isFinite(number))
                        .as("seed %d run %d", seed, run)
                        .isTrue();
                assertThat(number == null)
                        .as("seed %d run %d %s", seed, run, reading)
                        .isEqualTo(
                                reading.reason() != QualityReason.NONE && reading.reason() != QualityReason.SATURATED);
                good += reading.quality() == Quality.GOOD ? 1 : 0;
            }
        }
        assertThat(good).isGreaterThan(20_000);
    }

    @Test
    void aBlockOfAnotherMapIsRefused() {
        DeviceMap map = Maps.read("points:\n  value: {text: v, input_register: 0, type: uint16}\n");
        ReadBlock foreign = new ReadBlock("other", ModbusTable.INPUT_REGISTERS, 0, 1, "status");
        assertThatThrownBy(() -> new Decoder(map).decode("dev", new RawBlock(foreign, new int[] {1}), Maps.AT))
                .isInstanceOf(IllegalArgumentException.class)
                .hasMessageContaining("other");
    }
}
