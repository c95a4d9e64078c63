package oilbird.alarm.transformer.heat;

/**
 * The three memories of the difference equations of IEC 60076-7.
 *
 * @param topOil top-oil temperature in C.
 * @param fastGradient dh1 in kelvin: the winding's gradient as if the oil followed at once.
 * @param slowGradient dh2 in kelvin: what the oil's own movement takes off it.
 */
public record ThermalState(double topOil, double fastGradient, double slowGradient) {
    /** Hot-spot temperature in C. */
    public double hotSpot() {
        return topOil + gradient();
    }

    /** Hot-spot over top oil in kelvin. */
    public double gradient() {
        return fastGradient - slowGradient;
    }
}
