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
    UNIX_SECONDS(2);

    private final int registers;

    ValueType(int registers) {
        this.registers = registers;
    }

    /** Registers of one value; 0 for a bit and for a text. */
    public int registers() {
        return registers;
    }

    public boolean integer() {
        return switch (this) {
            case INT16, UINT16, INT32, UINT32, INT64, UINT64, BCD16, BCD32 -> true;
            case BIT, FLOAT32, FLOAT64, TEXT, UNIX_SECONDS -> false;
        };
    }

    /** True where scale, unit, range and sentinels make sense. */
    public boolean numeric() {
        return integer() || this == FLOAT32 || this == FLOAT64;
    }
}
