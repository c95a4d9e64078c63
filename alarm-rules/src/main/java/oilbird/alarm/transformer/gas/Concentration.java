package oilbird.alarm.transformer.gas;

/** What is known of one gas in one sample, in ppm by volume. */
public sealed interface Concentration {
    /** A measured value, finite and not negative. */
    record Measured(double ppm) implements Concentration {
        public Measured {
            if (!(ppm >= 0) || !Double.isFinite(ppm)) {
                throw new IllegalArgumentException("a measured concentration is finite and not negative");
            }
        }
    }

    /** Not told from none: taken as zero, and anywhere from zero to the limit in the error. */
    record BelowDetection(double limitPpm) implements Concentration {}

    /** At or above the end of the sensor's range. */
    record Saturated(double atLeastPpm) implements Concentration {}

    /** The figure that enters a method: the value, zero below detection, the range's end when saturated. */
    default double nominalPpm() {
        if (this instanceof Measured m) {
            return m.ppm();
        }
        return this instanceof Saturated s ? s.atLeastPpm() : 0;
    }
}
