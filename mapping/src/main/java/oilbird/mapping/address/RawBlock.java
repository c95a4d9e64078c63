package oilbird.mapping.address;

import java.util.Arrays;
import java.util.Locale;
import oilbird.mapping.signal.RawAnswer;

/** The cells that a device answered to one {@link ReadBlock}, before any meaning is given to them. */
public final class RawBlock implements RawAnswer {
    private final ReadBlock block;
    private final int[] cells;

    /**
     * @param cells as many as the block counts; each 0 to 65535 for a register, 0 or 1 for a bit.
     */
    public RawBlock(ReadBlock block, int[] cells) {
        if (cells.length != block.count()) {
            throw new IllegalArgumentException(
                    "block " + block.name() + " has " + block.count() + " cells, not " + cells.length);
        }
        this.block = block;
        this.cells = cells.clone();
    }

    public ReadBlock block() {
        return block;
    }

    /**
     * @param address zero-based PDU address inside the block.
     */
    public int cell(int address) {
        return cells[address - block.start()];
    }

    @Override
    public String text() {
        StringBuilder text = new StringBuilder("function ")
                .append(block.table().functionCode())
                .append(", from ")
                .append(block.start())
                .append(':');
        for (int cell : cells) {
            text.append(' ').append(block.table().bits() ? String.valueOf(cell) : hex(cell));
        }
        return text.toString();
    }

    private static String hex(int cell) {
        String digits = Integer.toHexString(cell & 0xFFFF).toUpperCase(Locale.ROOT);
        return "0".repeat(4 - digits.length()) + digits;
    }

    @Override
    public boolean equals(Object other) {
        return other instanceof RawBlock that && block.equals(that.block) && Arrays.equals(cells, that.cells);
    }

    @Override
    public int hashCode() {
        return 31 * block.hashCode() + Arrays.hashCode(cells);
    }

    @Override
    public String toString() {
        return block.name() + Arrays.toString(cells);
    }
}
