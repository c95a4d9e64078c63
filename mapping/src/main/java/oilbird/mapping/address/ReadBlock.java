package oilbird.mapping.address;

/**
 * One read request of a device's plan.
 *
 * @param name unique within the device map.
 * @param start zero-based PDU address of the first cell, 0 to 65535.
 * @param count number of registers or bits, 1 to the table's largest quantity.
 * @param pollClass name of the poll class whose period applies.
 */
public record ReadBlock(String name, ModbusTable table, int start, int count, String pollClass) implements Request {
    public ReadBlock {
        if (start < 0 || count < 1 || count > table.maxQuantity() || start + count > 65536) {
            throw new IllegalArgumentException(
                    "block " + name + ": " + count + " from " + start + " does not fit " + table);
        }
    }

    /** True when {@code cells} cells from {@code address} lie wholly inside this block. */
    public boolean covers(ModbusTable otherTable, int address, int cells) {
        return table == otherTable && address >= start && address + cells <= start + count;
    }
}
