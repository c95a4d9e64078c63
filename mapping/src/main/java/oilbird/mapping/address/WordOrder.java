package oilbird.mapping.address;

/**
 * The order in which the bytes of a value longer than a register come, A being the most significant.
 *
 * <p>The Modbus protocol fixes the two bytes inside a register only by convention and says nothing of
 * longer values; the four orders are common practice. A 64-bit value A..H follows the same pattern:
 * {@code CDAB} has its registers from the least significant to the most, {@code BADC} its bytes
 * swapped inside each register, {@code DCBA} both.
 */
public enum WordOrder {
    ABCD(false, false),
    CDAB(true, false),
    BADC(false, true),
    DCBA(true, true);

    private final boolean lowWordFirst;
    private final boolean bytesSwapped;

    WordOrder(boolean lowWordFirst, boolean bytesSwapped) {
        this.lowWordFirst = lowWordFirst;
        this.bytesSwapped = bytesSwapped;
    }

    /** True where the first register is the least significant. */
    public boolean lowWordFirst() {
        return lowWordFirst;
    }

    /** True where the two bytes inside a register are swapped. */
    public boolean bytesSwapped() {
        return bytesSwapped;
    }
}
