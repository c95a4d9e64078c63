package oilbird.mapping.map;

/** How the cells of a point are coded. */
public enum ValueType {
    BIT(0),
    INT16(1),
    UINT16(1),
    INT32(2),
    UINT32(2),
    INT64(4),
    /** Above 2^53 the reading is the nearest double. */
    UINT64(4),
    /** IEEE 754 single precision. */
    FLOAT32(2),
    /** IEEE 754 double precision. */
    FLOAT64(4),
    /** Four decimal digits of four bits, the highest first. */
    BCD16(1),
    /** Eight decimal digits of four bits, the highest first. */
    BCD32(2),
    /** Printable ASCII, two characters a register; its length is stated. */
    TEXT(0),
    /** Seconds since 1970-01-01T00:00:00 in the device's zone, 32 bits without sign. */
    UNIX_SECONDS(2),
    /** Milliseconds since 1970-01-01T00:00:00 in the device's zone, 64 bits. */
    UNIX_MILLISECONDS(4),
    /** Year, month, day and so on in a register each, in the device's zone; common practice. */
    DATE_TIME_REGISTERS(0),
    /** The same in a byte of two decimal digits each, two bytes a register; common practice. */
    DATE_TIME_BCD(0),
    /** Binary time of seven octets, IEC 60870-5-4, 6.8, as CP56Time2a of IEC 60870-5-101, 7.2.6.18, two octets a register. */
    CP56TIME2A(4),
    /** An OPC UA number of any built-in type; a Boolean is 0 or 1. */
    NUMBER(0),
    /** An OPC UA DateTime; always UTC. */
    DATE_TIME(0),
    /** When the source of an OPC UA node says that it made the value: a number, seconds since 1970-01-01T00:00:00Z. */
    SOURCE_TIME(0),
    /** When the OPC UA server says that it got the value: a number, seconds since 1970-01-01T00:00:00Z. */
    SERVER_TIME(0);

    private final int registers;

    ValueType(int registers) {
        this.registers = registers;
    }

    /** Registers of one value; 0 where that depends on the point, and for what no register holds. */
    public int registers() {
        return registers;
    }

    public boolean integer() {
        return switch (this) {
            case INT16, UINT16, INT32, UINT32, INT64, UINT64, BCD16, BCD32 -> true;
            default -> false;
        };
    }

    /** True for what can count analyses: it changes with each, and is compared exactly. */
    public boolean counts() {
        return integer() || this == NUMBER || this == SOURCE_TIME || this == SERVER_TIME;
    }

    /** True where the reading is a date and time. */
    public boolean time() {
        return switch (this) {
            case UNIX_SECONDS, UNIX_MILLISECONDS, DATE_TIME_REGISTERS, DATE_TIME_BCD, CP56TIME2A, DATE_TIME -> true;
            default -> false;
        };
    }

    /** True where {@link TimeField}s say what comes when. */
    public boolean inFields() {
        return this == DATE_TIME_REGISTERS || this == DATE_TIME_BCD;
    }

    /** True for the coding of an OPC UA node. */
    public boolean ofNode() {
        return switch (this) {
            case NUMBER, DATE_TIME, SOURCE_TIME, SERVER_TIME, BIT, TEXT -> true;
            default -> false;
        };
    }

    /** True for the coding of Modbus registers or bits. */
    public boolean ofCells() {
        return this == BIT || this == TEXT || !ofNode();
    }

    /** True where scale, unit, range and sentinels make sense. */
    public boolean numeric() {
        return integer() || this == FLOAT32 || this == FLOAT64 || this == NUMBER;
    }
}
