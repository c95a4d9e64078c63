package oilbird.mapping.map;

/** How a map counts the bits of a word. Inside the program bit 0 is always the least significant. */
public enum BitNumbering {
    LSB_0,
    LSB_1,
    MSB_0,
    MSB_1;

    /** The number that the file gives to a bit. */
    public int written(int bit, int width) {
        return switch (this) {
            case LSB_0 -> bit;
            case LSB_1 -> bit + 1;
            case MSB_0 -> width - 1 - bit;
            case MSB_1 -> width - bit;
        };
    }

    /** The bit that the file means by a number; outside 0 to width - 1 where there is none. */
    public int bit(int written, int width) {
        return switch (this) {
            case LSB_0 -> written;
            case LSB_1 -> written - 1;
            case MSB_0 -> width - 1 - written;
            case MSB_1 -> width - written;
        };
    }

    /** What a file may write, for example {@code 0 to 15}. */
    String range(int width) {
        return this == LSB_0 || this == MSB_0 ? "0 to " + (width - 1) : "1 to " + width;
    }
}
