package oilbird.mapping.address;

/**
 * The four Modbus tables, with the read function and its largest quantity.
 *
 * <p>MODBUS Application Protocol V1.1b3, 6.1 to 6.4.
 */
public enum ModbusTable {
    COILS(1, 2000),
    DISCRETE_INPUTS(2, 2000),
    HOLDING_REGISTERS(3, 125),
    INPUT_REGISTERS(4, 125);

    private final int functionCode;
    private final int maxQuantity;

    ModbusTable(int functionCode, int maxQuantity) {
        this.functionCode = functionCode;
        this.maxQuantity = maxQuantity;
    }

    public int functionCode() {
        return functionCode;
    }

    /** Most coils or registers that one request may ask for. */
    public int maxQuantity() {
        return maxQuantity;
    }

    /** True where a cell is one bit, false where it is a 16-bit register. */
    public boolean bits() {
        return this == COILS || this == DISCRETE_INPUTS;
    }
}
