package oilbird.gateway.points;

/** What a point says, in the form of its {@link PointType}; polarity is applied. */
public sealed interface PointState {
    record Single(boolean on) implements PointState {}

    record Position(DoublePoint position) implements PointState {}

    /** A finite number in the point's unit. */
    record Measured(double number) implements PointState {}

    record Words(String words) implements PointState {}

    /** The four states of a double point; the number is that on the wire (IEC 60870-5-101, 7.2.6.2). */
    enum DoublePoint {
        INTERMEDIATE(0),
        OFF(1),
        ON(2),
        INDETERMINATE(3);

        private final int wire;

        DoublePoint(int wire) {
            this.wire = wire;
        }

        public int wire() {
            return wire;
        }
    }
}
