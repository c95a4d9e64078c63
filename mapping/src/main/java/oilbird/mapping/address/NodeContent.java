package oilbird.mapping.address;

/** What the value of an OPC UA node is made of; OPC UA Part 6, 5.1.2 (built-in types). */
public sealed interface NodeContent {
    /** As text, the same for the same value on every Java; a real number is hexadecimal, so that no digit is lost. */
    String raw();

    /** Nothing: the null value. */
    record None() implements NodeContent {
        @Override
        public String raw() {
            return "null";
        }
    }

    /** Boolean. */
    record Truth(boolean value) implements NodeContent {
        @Override
        public String raw() {
            return String.valueOf(value);
        }
    }

    /**
     * SByte, Byte, Int16, UInt16, Int32, UInt32, Int64, UInt64; an enumeration comes as Int32, a StatusCode as
     * UInt32.
     *
     * @param bits two's complement; above the width they repeat the sign of a signed one and are 0 otherwise.
     * @param width 8, 16, 32 or 64.
     */
    record Whole(long bits, int width, boolean signed) implements NodeContent {
        @Override
        public String raw() {
            return signed ? Long.toString(bits) : Long.toUnsignedString(bits);
        }
    }

    /** Float or Double. */
    record Real(double value) implements NodeContent {
        @Override
        public String raw() {
            return Double.toHexString(value);
        }
    }

    /** String, LocalizedText, Guid, QualifiedName. */
    record Text(String value) implements NodeContent {
        @Override
        public String raw() {
            return "\"" + value + "\"";
        }
    }

    /**
     * DateTime.
     *
     * @param millis milliseconds since 1970-01-01T00:00:00Z.
     */
    record Time(long millis) implements NodeContent {
        @Override
        public String raw() {
            return millis + " ms";
        }
    }

    /**
     * What no point can be: an array, a structure.
     *
     * @param what it is, for the engineer.
     */
    record Other(String what) implements NodeContent {
        @Override
        public String raw() {
            return what;
        }
    }

    /** A Java value of the same meaning: Boolean, Byte, Short, Integer, Long, Float, Double or String. */
    static NodeContent of(Object value) {
        if (value instanceof Boolean truth) {
            return new Truth(truth);
        }
        if (value instanceof Byte || value instanceof Short || value instanceof Integer || value instanceof Long) {
            int width = value instanceof Byte ? 8 : value instanceof Short ? 16 : value instanceof Integer ? 32 : 64;
            return new Whole(((Number) value).longValue(), width, true);
        }
        if (value instanceof Float || value instanceof Double) {
            return new Real(((Number) value).doubleValue());
        }
        if (value instanceof String text) {
            return new Text(text);
        }
        return new Other(value.getClass().getSimpleName());
    }
}
