package oilbird.alarm.transformer.moisture;

import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Fluid;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.Why;

/**
 * Water dissolved in oil. Contents in mg/kg (ppm by mass), temperatures in degrees Celsius, saturation in
 * percent. {@code log10 S = a - b / T} with T in kelvin; valid from 0 to 100 C, for the oil whose constants
 * are given. Aged oil dissolves more, and constants for other fluids differ by 30 to 40 %.
 *
 * @param a 7.0895 for mineral oil (confidence A).
 * @param b 1567 kelvin for mineral oil.
 */
public record WaterInOil(double a, double b) {
    /** New mineral oil. */
    public static final WaterInOil MINERAL_OIL = new WaterInOil(7.0895, 1567);
    /** Another pair in use for mineral oil, from memory. */
    public static final WaterInOil MINERAL_OIL_OTHER = new WaterInOil(7.42, 1670);

    private static final double KELVIN = 273.15;

    public WaterInOil {
        if (!(a > 0 && b > 0 && Double.isFinite(a) && Double.isFinite(b))) {
            throw new IllegalArgumentException("solubility constants are positive");
        }
    }

    /** The constants of the fluid, or why there are none: a fluid other than mineral oil needs its own. */
    public static Finding<WaterInOil> of(Fluid fluid) {
        return switch (fluid) {
            case MINERAL_OIL -> Finding.told(MINERAL_OIL);
            case UNKNOWN -> Finding.untold(Why.FLUID_UNKNOWN, "solubility constants");
            case NATURAL_ESTER, SYNTHETIC_ESTER, SILICONE ->
                Finding.untold(Why.FLUID_NOT_COVERED, "give the solubility constants of this fluid");
        };
    }

    /** Water that the oil can hold, in mg/kg. */
    public Finding<Double> solubility(double celsius) {
        if (!(celsius >= 0 && celsius <= 100)) {
            return Finding.untold(Why.OUTSIDE_VALIDITY, "temperature " + Figures.of(celsius, 1) + " C, not 0 to 100");
        }
        return Finding.told(solubilityAt(celsius));
    }

    private double solubilityAt(double celsius) {
        return StrictMath.pow(10, a - b / (celsius + KELVIN));
    }

    /** Relative saturation in percent; above 100 means free water. */
    public Finding<Double> relativeSaturation(double milligramPerKilogram, double celsius) {
        if (!(milligramPerKilogram >= 0) || !Double.isFinite(milligramPerKilogram)) {
            return Finding.untold(milligramPerKilogram < 0 ? Why.NEGATIVE_VALUE : Why.NOT_A_NUMBER, "water content");
        }
        if (!(solubility(celsius) instanceof Finding.Told<Double> solubility)) {
            return Finding.untold(Why.OUTSIDE_VALIDITY, "temperature " + Figures.of(celsius, 1) + " C, not 0 to 100");
        }
        double percent = 100 * milligramPerKilogram / solubility.value();
        List<Remark> remarks = percent > 100
                ? List.of(new Remark(Remark.Kind.OUT_OF_VALIDITY, "above saturation, free water is expected"))
                : List.of();
        return Finding.told(percent, remarks);
    }

    /** Water content in mg/kg from a probe's relative saturation in percent at its own temperature. */
    public Finding<Double> content(double saturationPercent, double celsius) {
        if (!(saturationPercent >= 0 && saturationPercent <= 100)) {
            return Finding.untold(Why.OUTSIDE_VALIDITY, "saturation, not 0 to 100 %");
        }
        if (!(solubility(celsius) instanceof Finding.Told<Double> solubility)) {
            return Finding.untold(Why.OUTSIDE_VALIDITY, "temperature " + Figures.of(celsius, 1) + " C, not 0 to 100");
        }
        return Finding.told(saturationPercent * solubility.value() / 100);
    }

    /**
     * Temperature in C at which the content just saturates the oil: colder oil sheds free water. Refused where
     * that lies outside 0 to 100 C.
     */
    public Finding<Double> saturationTemperature(double milligramPerKilogram) {
        if (!(milligramPerKilogram > 0) || !Double.isFinite(milligramPerKilogram)) {
            return Finding.untold(milligramPerKilogram < 0 ? Why.NEGATIVE_VALUE : Why.NOT_A_NUMBER, "water content");
        }
        double celsius = b / (a - StrictMath.log10(milligramPerKilogram)) - KELVIN;
        if (!(celsius >= 0 && celsius <= 100)) {
            return Finding.untold(
                    Why.OUTSIDE_VALIDITY, "saturates at " + Figures.of(celsius, 1) + " C, not within 0 to 100");
        }
        return Finding.told(celsius);
    }

    /**
     * How wet the oil is where it is coldest.
     *
     * @param saturationPercent relative saturation there.
     * @param marginKelvin how far the coldest point is above the temperature at which free water forms; negative
     *     when it is already below.
     */
    public record ColdestPoint(double celsius, double saturationPercent, double marginKelvin) {}

    /**
     * The same water at the coldest of the temperatures (bottom oil, cooler outlet, ambient), none of which may
     * lie outside 0 to 100 C. Water is taken as spread evenly, which holds for oil in motion.
     */
    public Finding<ColdestPoint> coldestPoint(double milligramPerKilogram, List<Double> temperatures) {
        if (temperatures.isEmpty()) {
            return Finding.untold(Why.MISSING_VALUE, "no temperature");
        }
        double coldest = Double.POSITIVE_INFINITY;
        for (double celsius : temperatures) {
            if (!Double.isFinite(celsius)) {
                return Finding.untold(Why.NOT_A_NUMBER, "a temperature");
            }
            coldest = Math.min(coldest, celsius);
        }
        Finding<Double> saturation = relativeSaturation(milligramPerKilogram, coldest);
        if (saturation instanceof Finding.Untold<Double> untold) {
            return Finding.untold(untold.why(), untold.detail());
        }
        Finding.Told<Double> told = (Finding.Told<Double>) saturation;
        List<Remark> remarks = new ArrayList<>(told.remarks());
        double margin = milligramPerKilogram > 0
                ? coldest - (b / (a - StrictMath.log10(milligramPerKilogram)) - KELVIN)
                : coldest + KELVIN;
        return Finding.told(new ColdestPoint(coldest, told.value(), margin), remarks);
    }
}
