package oilbird.demoplant.device;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvFileSource;

class RegisterWriterTest {
    @ParameterizedTest
    @CsvFileSource(resources = "/modbus_word_order.csv", numLinesToSkip = 1)
    void a32BitValueStandsInTheOrderOfItsMaker(String type, String value, String abcd, String cdab) {
        RegisterWriter registers = new RegisterWriter(2);
        if (type.equals("float32")) {
            registers.float32LowWordFirst(0, Float.parseFloat(value));
            assertThat(hex(registers)).isEqualTo(cdab);
        } else if (type.equals("uint32")) {
            registers.uint32HighWordFirst(0, Long.parseLong(value));
            assertThat(hex(registers)).isEqualTo(abcd);
        } else {
            // Neither maker has a signed 32-bit value.
            assertThat(type).isEqualTo("int32");
        }
    }

    /** IEEE 754 by hand: 9999 = 1.0011100001111b x 2^13; sign 1, exponent 127 + 13 = 8Ch, so C61C3C00h. */
    @Test
    void theNoValueCodeOfTheGasesIsMinus9999() {
        RegisterWriter registers = new RegisterWriter(2);
        registers.float32LowWordFirst(0, -9999.0f);
        assertThat(hex(registers)).isEqualTo("3C00 C61C");
    }

    /** Two's complement by hand: 10000h - 123 = FF85h. */
    @Test
    void aNegativeNumberIsTwosComplement() {
        RegisterWriter registers = new RegisterWriter(1);
        registers.int16(0, -123);
        assertThat(hex(registers)).isEqualTo("FF85");
    }

    /** Bit 0 is the least significant: common practice; MAP V1.1b3 numbers no bits within a register. */
    @Test
    void bit0IsTheLeastSignificant() {
        RegisterWriter registers = new RegisterWriter(1);
        registers.bit(0, 0, true);
        registers.bit(0, 15, true);
        assertThat(hex(registers)).isEqualTo("8001");
        registers.bit(0, 15, false);
        assertThat(hex(registers)).isEqualTo("0001");
    }

    /** ASCII: A = 41h, B = 42h, C = 43h, space = 20h. */
    @Test
    void textStandsHighByteFirstAndIsPaddedWithSpaces() {
        RegisterWriter registers = new RegisterWriter(3);
        registers.text(0, 6, "ABC");
        assertThat(hex(registers)).isEqualTo("4142 4320 2020");
    }

    @Test
    void whatARegisterCannotCarryIsRefused() {
        RegisterWriter registers = new RegisterWriter(1);
        assertThatIllegalArgumentException().isThrownBy(() -> registers.uint16(0, 65_536));
        assertThatIllegalArgumentException().isThrownBy(() -> registers.uint16(0, -1));
        assertThatIllegalArgumentException().isThrownBy(() -> registers.int16(0, 32_768));
        assertThatIllegalArgumentException().isThrownBy(() -> registers.bit(0, 16, true));
        assertThatIllegalArgumentException().isThrownBy(() -> registers.text(0, 2, "ABC"));
    }

    private static String hex(RegisterWriter registers) {
        StringBuilder hex = new StringBuilder();
        for (short register : registers.registers()) {
            hex.append(hex.isEmpty() ? "" : " ").append(String.format("%04X", register & 0xFFFF));
        }
        return hex.toString();
    }
}
