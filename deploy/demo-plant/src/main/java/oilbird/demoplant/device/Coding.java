package oilbird.demoplant.device;

import java.util.OptionalDouble;

/**
 * How one reading is put into registers: its form, what one count is worth, and the code for "no value".
 *
 * @param form the register form
 * @param countsPerUnit counts for one unit of the reading, e.g. 10 for a register that counts tenths; 1 for floats
 * @param noValue the raw number the maker sends when there is no value, if the maker has one
 */
public record Coding(Form form, int countsPerUnit, OptionalDouble noValue) {
    /** The register forms the two makers use. */
    public enum Form {
        UINT16(0, 65_535),
        INT16(-32_768, 32_767),
        UINT32_HIGH_WORD_FIRST(0, 4_294_967_295.0),
        FLOAT32_LOW_WORD_FIRST(-Float.MAX_VALUE, Float.MAX_VALUE);

        private final double least;
        private final double greatest;

        Form(double least, double greatest) {
            this.least = least;
            this.greatest = greatest;
        }
    }

    static Coding of(Form form, int countsPerUnit) {
        return new Coding(form, countsPerUnit, OptionalDouble.empty());
    }

    static Coding of(Form form, int countsPerUnit, double noValue) {
        return new Coding(form, countsPerUnit, OptionalDouble.of(noValue));
    }

    /** The least value, in the reading's unit, that the registers can carry. */
    public double least() {
        return form.least / countsPerUnit;
    }

    /** The greatest value, in the reading's unit, that the registers can carry. */
    public double greatest() {
        return form.greatest / countsPerUnit;
    }

    /** Whether the registers can carry this value; {@code NaN} stands for "no value". */
    public boolean carries(double value) {
        return Double.isNaN(value) ? noValue.isPresent() : value >= least() && value <= greatest();
    }

    void write(RegisterWriter out, int register, double value) {
        double raw = Double.isNaN(value) ? noValue.orElseThrow() : value * countsPerUnit;
        switch (form) {
            case UINT16 -> out.uint16(register, Math.round(raw));
            case INT16 -> out.int16(register, Math.round(raw));
            case UINT32_HIGH_WORD_FIRST -> out.uint32HighWordFirst(register, Math.round(raw));
            case FLOAT32_LOW_WORD_FIRST -> out.float32LowWordFirst(register, (float) raw);
        }
    }
}
