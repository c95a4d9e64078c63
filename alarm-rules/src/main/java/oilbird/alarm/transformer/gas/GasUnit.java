package oilbird.alarm.transformer.gas;

/** Units in which a gas may arrive. Within the package everything is in microlitre per litre at 20 C, 101.3 kPa. */
public enum GasUnit {
    /** Also written ppm (v/v). */
    MICROLITRE_PER_LITRE(1),
    PERCENT_VOLUME(10_000),
    /** Ideal gas at 20 C and 101.3 kPa: 24.055 litre a mole. */
    MICROMOLE_PER_LITRE(24.055),
    /** A mass fraction needs the gas's molar mass and the oil's density: refused. */
    MILLIGRAM_PER_KILOGRAM(Double.NaN),
    UNSTATED(Double.NaN);

    private final double factor;

    GasUnit(double factor) {
        this.factor = factor;
    }

    /** Microlitre per litre in one of this unit, or NaN where there is no such factor. */
    double factor() {
        return factor;
    }
}
