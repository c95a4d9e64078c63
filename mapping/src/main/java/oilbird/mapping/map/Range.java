package oilbird.mapping.map;

/**
 * Plausible values of a point, both ends included, in its unit.
 */
public record Range(double low, double high) {
    public boolean contains(double value) {
        return value >= low && value <= high;
    }
}
