package oilbird.alarm.transformer.gas;

/** A quotient of two concentrations. No source says what 0/0 is: it is taken as 0 here, and x/0 as unbounded. */
final class Ratio {
    private Ratio() {}

    static double of(double above, double below) {
        if (below == 0) {
            return above == 0 ? 0 : Double.POSITIVE_INFINITY;
        }
        return above / below;
    }

    /** Whether the ratio lies in the row's range; the bounds belong to it when {@code closed}. */
    static boolean within(double ratio, double low, double high, boolean closed) {
        return closed ? ratio >= low && ratio <= high : ratio > low && ratio < high;
    }
}
