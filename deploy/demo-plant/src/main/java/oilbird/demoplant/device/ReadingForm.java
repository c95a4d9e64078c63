package oilbird.demoplant.device;

/**
 * One reading as its maker lists it.
 *
 * @param name our name for it, used by the commands
 * @param unit unit of the value
 * @param place where it is read
 */
public record ReadingForm(String name, String unit, Place place) {
    /** Where and how a value stands on the wire. */
    public sealed interface Place {
        /** The least value, in the reading's unit, that can be carried. */
        double least();

        /** The greatest value, in the reading's unit, that can be carried. */
        double greatest();

        /** Whether the value can be carried; {@code NaN} stands for "no value". */
        boolean carries(double value);
    }

    /**
     * Registers.
     *
     * @param register first register, zero-based PDU address
     */
    public record Registers(int register, Coding coding) implements Place {
        @Override
        public double least() {
            return coding.least();
        }

        @Override
        public double greatest() {
            return coding.greatest();
        }

        @Override
        public boolean carries(double value) {
            return coding.carries(value);
        }
    }

    /**
     * An OPC UA variable.
     *
     * @param id string identifier of the node
     * @param counts whether it is a UInt32, else a Double
     */
    public record Node(String id, boolean counts) implements Place {
        @Override
        public double least() {
            return counts ? 0 : -Double.MAX_VALUE;
        }

        @Override
        public double greatest() {
            return counts ? 0xFFFF_FFFFL : Double.MAX_VALUE;
        }

        @Override
        public boolean carries(double value) {
            return value >= least() && value <= greatest();
        }
    }

    static ReadingForm of(String name, String unit, int register, Coding coding) {
        return new ReadingForm(name, unit, new Registers(register, coding));
    }

    static ReadingForm node(String name, String unit, String id) {
        return new ReadingForm(name, unit, new Node(id, false));
    }
}
