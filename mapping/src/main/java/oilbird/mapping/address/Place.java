package oilbird.mapping.address;

/**
 * Where a value lies in a Modbus device.
 *
 * @param start zero-based PDU address of the first cell, 0 to 65535.
 * @param cells number of registers or bits, at least 1; the last is at most at 65535.
 */
public record Place(ModbusTable table, int start, int cells) implements Address {
    public Place {
        if (start < 0 || cells < 1 || start + cells > 65536) {
            throw new IllegalArgumentException(cells + " cells from " + start + " do not fit the 65536 of a table");
        }
    }

    /** Address after the last cell. */
    public int end() {
        return start + cells;
    }

    public boolean overlaps(Place other) {
        return table == other.table && start < other.end() && other.start < end();
    }
}
