package oilbird.demoplant.device;

/**
 * What a monitor's Modbus tables hold at one instant; a table of length 0 is not offered.
 *
 * <p>Positions are zero-based PDU addresses.
 */
public final class DeviceImage {
    /** No table at all. */
    public static final DeviceImage NONE = new DeviceImage(new short[0], new short[0], new boolean[0]);

    private final short[] inputRegisters;
    private final short[] holdingRegisters;
    private final boolean[] discreteInputs;

    DeviceImage(short[] inputRegisters, short[] holdingRegisters, boolean[] discreteInputs) {
        this.inputRegisters = inputRegisters.clone();
        this.holdingRegisters = holdingRegisters.clone();
        this.discreteInputs = discreteInputs.clone();
    }

    /** Number of input registers (function 04). */
    public int inputRegisterCount() {
        return inputRegisters.length;
    }

    /** Number of holding registers (function 03). */
    public int holdingRegisterCount() {
        return holdingRegisters.length;
    }

    /** Number of discrete inputs (function 02). */
    public int discreteInputCount() {
        return discreteInputs.length;
    }

    /** Input registers as they go on the wire: two bytes each, high byte first. */
    public byte[] inputRegisters(int address, int quantity) {
        return bytes(inputRegisters, address, quantity);
    }

    /** Holding registers as they go on the wire: two bytes each, high byte first. */
    public byte[] holdingRegisters(int address, int quantity) {
        return bytes(holdingRegisters, address, quantity);
    }

    /** Discrete inputs as they go on the wire: the first in the lowest bit of the first byte, rest of the last byte 0. */
    public byte[] discreteInputs(int address, int quantity) {
        byte[] packed = new byte[(quantity + 7) / 8];
        for (int i = 0; i < quantity; i++) {
            if (discreteInputs[address + i]) {
                packed[i / 8] |= (byte) (1 << i % 8);
            }
        }
        return packed;
    }

    /**
     * Cells of the table that a Modbus function reads: registers 0 to 65535, discrete inputs 0 or 1.
     *
     * @param function 2 discrete inputs, 3 holding registers, 4 input registers
     * @param address zero-based PDU address of the first
     */
    public int[] cells(int function, int address, int quantity) {
        int[] cells = new int[quantity];
        for (int i = 0; i < quantity; i++) {
            cells[i] = switch (function) {
                case 2 -> discreteInputs[address + i] ? 1 : 0;
                case 3 -> holdingRegisters[address + i] & 0xFFFF;
                case 4 -> inputRegisters[address + i] & 0xFFFF;
                default -> throw new IllegalArgumentException("no table is read by function " + function);
            };
        }
        return cells;
    }

    private static byte[] bytes(short[] registers, int address, int quantity) {
        byte[] bytes = new byte[2 * quantity];
        for (int i = 0; i < quantity; i++) {
            bytes[2 * i] = (byte) (registers[address + i] >>> 8);
            bytes[2 * i + 1] = (byte) registers[address + i];
        }
        return bytes;
    }
}
