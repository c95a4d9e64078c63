package oilbird.alarm.transformer.moisture;

import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Fluid;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.Why;
import org.jspecify.annotations.Nullable;

/**
 * Water content and breakdown voltage of mineral oil in service by IEC 60422 (2024) Table 5 (confidence B). Water
 * in mg/kg, breakdown voltage in kV. The two are read together; the worse decides.
 *
 * @param water by the content alone.
 * @param breakdown by the voltage alone, or null when it was not measured.
 * @param worse of the two.
 */
public record OilCondition(Grade water, @Nullable Grade breakdown, Grade worse) {
    /** The three grades of the standard. */
    public enum Grade {
        GOOD,
        FAIR,
        POOR
    }

    /** Category of equipment by highest voltage, as in the table. */
    public enum Category {
        /** Above 170 kV. */
        A(15, 20, 60, 50),
        /** Above 72.5 kV up to 170 kV. */
        B(20, 30, 50, 40),
        /** Up to 72.5 kV. */
        C(30, 40, 40, 30),
        /** Diverter tanks of on-load tap changers (one source). */
        F(50, 70, 40, 30);

        private final double waterFair;
        private final double waterPoor;
        private final double breakdownGood;
        private final double breakdownPoor;

        Category(double waterFair, double waterPoor, double breakdownGood, double breakdownPoor) {
            this.waterFair = waterFair;
            this.waterPoor = waterPoor;
            this.breakdownGood = breakdownGood;
            this.breakdownPoor = breakdownPoor;
        }

        /** The category of a main tank by the highest voltage of the equipment in kV. */
        public static Category ofVoltage(double kilovolt) {
            if (kilovolt > 170) {
                return A;
            }
            return kilovolt > 72.5 ? B : C;
        }
    }

    /** Assesses one sample. The content is as sampled at operating temperature; see {@link #correctedTo20}. */
    public static Finding<OilCondition> of(
            Fluid fluid, Category category, double milligramPerKilogram, @Nullable Double breakdownKilovolt) {
        if (fluid != Fluid.MINERAL_OIL) {
            return Finding.untold(
                    fluid == Fluid.UNKNOWN ? Why.FLUID_UNKNOWN : Why.FLUID_NOT_COVERED, "IEC 60422 is for mineral oil");
        }
        if (!Double.isFinite(milligramPerKilogram)
                || breakdownKilovolt != null && !Double.isFinite(breakdownKilovolt)) {
            return Finding.untold(Why.NOT_A_NUMBER, "water content or breakdown voltage");
        }
        if (milligramPerKilogram < 0 || breakdownKilovolt != null && breakdownKilovolt < 0) {
            return Finding.untold(Why.NEGATIVE_VALUE, "water content or breakdown voltage");
        }
        Grade water = Grade.POOR;
        if (milligramPerKilogram < category.waterFair) {
            water = Grade.GOOD;
        } else if (milligramPerKilogram <= category.waterPoor) {
            water = Grade.FAIR;
        }
        List<Remark> remarks = new ArrayList<>();
        if (category == Category.F) {
            remarks.add(new Remark(Remark.Kind.ONE_SOURCE, "category F of IEC 60422 Table 5"));
        }
        if (breakdownKilovolt == null) {
            remarks.add(new Remark(
                    Remark.Kind.OUT_OF_VALIDITY, "water alone; the standard reads it with the breakdown voltage"));
            return Finding.told(new OilCondition(water, null, water), remarks);
        }
        Grade breakdown = Grade.FAIR;
        if (breakdownKilovolt > category.breakdownGood) {
            breakdown = Grade.GOOD;
        } else if (breakdownKilovolt < category.breakdownPoor) {
            breakdown = Grade.POOR;
        }
        Grade worse = water.compareTo(breakdown) >= 0 ? water : breakdown;
        return Finding.told(new OilCondition(water, breakdown, worse), remarks);
    }

    /**
     * Water content corrected to 20 C as in the 2005 and 2013 editions: factor 2.24 exp(-0.04 t), for oil sampled
     * above 20 C (confidence M).
     */
    public static Finding<Double> correctedTo20(double milligramPerKilogram, double samplingCelsius) {
        if (!(milligramPerKilogram >= 0) || !Double.isFinite(milligramPerKilogram)) {
            return Finding.untold(milligramPerKilogram < 0 ? Why.NEGATIVE_VALUE : Why.NOT_A_NUMBER, "water content");
        }
        if (!(samplingCelsius > 20 && samplingCelsius <= 100)) {
            return Finding.untold(
                    Why.OUTSIDE_VALIDITY, "sampled at " + Figures.of(samplingCelsius, 1) + " C, not above 20 to 100");
        }
        double corrected = milligramPerKilogram * 2.24 * StrictMath.exp(-0.04 * samplingCelsius);
        return Finding.told(
                corrected, List.of(new Remark(Remark.Kind.FROM_MEMORY, "correction to 20 C of earlier editions")));
    }

    /** Dry below 5 %, moderately wet to 20 %, wet to 30 %, extremely wet above (bands from memory). */
    public enum Wetness {
        DRY,
        MODERATELY_WET,
        WET,
        EXTREMELY_WET;

        /** The band of a relative saturation in percent. */
        public static Wetness of(double saturationPercent) {
            if (saturationPercent < 5) {
                return DRY;
            }
            if (saturationPercent <= 20) {
                return MODERATELY_WET;
            }
            return saturationPercent <= 30 ? WET : EXTREMELY_WET;
        }
    }
}
