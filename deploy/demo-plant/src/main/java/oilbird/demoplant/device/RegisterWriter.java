package oilbird.demoplant.device;

import java.nio.charset.StandardCharsets;

/**
 * Writes values into 16-bit registers the way the invented makers chose to.
 *
 * <p>Register numbers are zero-based PDU addresses. A value that its register cannot carry throws
 * {@link IllegalArgumentException}: callers check {@link Coding#carries} first.
 */
public final class RegisterWriter {
    private final short[] registers;

    /** @param count number of registers, all 0 at first */
    public RegisterWriter(int count) {
        registers = new short[count];
    }

    /** Writes one register, 0 to 65535. */
    public void uint16(int register, long value) {
        requireWithin(value, 0, 0xFFFF);
        registers[register] = (short) value;
    }

    /** Writes one register in two's complement, -32768 to 32767. */
    public void int16(int register, long value) {
        requireWithin(value, Short.MIN_VALUE, Short.MAX_VALUE);
        registers[register] = (short) value;
    }

    /** Writes two registers, the high word first (byte order ABCD), 0 to 4294967295. */
    public void uint32HighWordFirst(int register, long value) {
        requireWithin(value, 0, 0xFFFF_FFFFL);
        registers[register] = (short) (value >>> 16);
        registers[register + 1] = (short) value;
    }

    /** Writes an IEEE 754 single into two registers, the low word first (byte order CDAB). */
    public void float32LowWordFirst(int register, float value) {
        int bits = Float.floatToIntBits(value);
        registers[register] = (short) bits;
        registers[register + 1] = (short) (bits >>> 16);
    }

    /** Writes ASCII text, two characters a register, high byte first, padded with spaces. */
    public void text(int register, int characters, String text) {
        byte[] ascii = text.getBytes(StandardCharsets.US_ASCII);
        if (ascii.length > characters) {
            throw new IllegalArgumentException("\"" + text + "\" is longer than " + characters + " characters");
        }
        for (int i = 0; i < characters; i += 2) {
            int high = i < ascii.length ? ascii[i] : ' ';
            int low = i + 1 < ascii.length ? ascii[i + 1] : ' ';
            registers[register + i / 2] = (short) (high << 8 | low);
        }
    }

    /** Sets or clears one bit of a register; bit 0 is the least significant. */
    public void bit(int register, int bit, boolean on) {
        requireWithin(bit, 0, 15);
        int mask = 1 << bit;
        registers[register] = (short) (on ? registers[register] | mask : registers[register] & ~mask);
    }

    /** Moves registers {@code first} to {@code last} one place later; {@code first} becomes 0. */
    public void moveOneLater(int first, int last) {
        System.arraycopy(registers, first, registers, first + 1, last - first + 1);
        registers[first] = 0;
    }

    /** The registers as written so far, a copy. */
    public short[] registers() {
        return registers.clone();
    }

    private static void requireWithin(long value, long least, long greatest) {
        if (value < least || value > greatest) {
            throw new IllegalArgumentException(value + " is outside " + least + " to " + greatest);
        }
    }
}
