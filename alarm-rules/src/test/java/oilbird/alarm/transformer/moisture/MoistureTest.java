package oilbird.alarm.transformer.moisture;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.util.List;
import java.util.Map;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Fluid;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.Samples;
import oilbird.alarm.transformer.Table;
import oilbird.alarm.transformer.Why;
import org.junit.jupiter.api.Test;

class MoistureTest {
    private static final WaterInOil OIL = WaterInOil.MINERAL_OIL;

    @Test
    void solubilityAndSaturationAreThoseOfThePublishedTable() {
        // moisture_solubility.csv: formula and public table (A); the table is rounded, 2.3 % off at 0 C.
        List<Map<String, String>> rows = Table.rows("moisture_solubility.csv");
        assertThat(rows).hasSize(11);
        for (Map<String, String> row : rows) {
            double celsius = Table.number(row, "temp_C");
            double solubility = Samples.told(OIL.solubility(celsius));
            double published = Table.number(row, "published_table_ppm");
            assertThat(solubility).isCloseTo(Table.number(row, "solubility_ppm_A7.0895_B1567"), within(0.051));
            assertThat(solubility).isCloseTo(published, within(solubility * (celsius < 10 ? 0.0235 : 0.011)));
            for (int ppm : new int[] {10, 20, 35}) {
                assertThat(Samples.told(OIL.relativeSaturation(ppm, celsius)))
                        .isCloseTo(Table.number(row, "RS_pct_at_" + ppm + "ppm"), within(0.0051));
            }
        }
    }

    @Test
    void theWorkedFiguresOfTheReferenceAreReproduced() {
        // Worked in the reference from the same constants: 20 ppm at 60 C 8.2 %, 22 ppm at 70 C 6.6 %, 35 ppm
        // saturates at 9.4 C.
        assertThat(Samples.told(OIL.relativeSaturation(20, 60))).isCloseTo(8.2, within(0.05));
        assertThat(Samples.told(OIL.relativeSaturation(22, 70))).isCloseTo(6.6, within(0.05));
        assertThat(Samples.told(OIL.saturationTemperature(35))).isCloseTo(9.4, within(0.05));
        assertThat(Samples.told(OIL.content(8.2, 60))).isCloseTo(20, within(0.1));
    }

    @Test
    void theColdestPointDecidesHowNearFreeWaterIs() {
        WaterInOil.ColdestPoint point = Samples.told(OIL.coldestPoint(35, List.of(65.0, 40.0, 12.0)));
        assertThat(point.celsius()).isEqualTo(12);
        assertThat(point.saturationPercent()).isBetween(88.0, 92.0);
        assertThat(point.marginKelvin()).isCloseTo(12 - 9.4, within(0.05));
        Finding<WaterInOil.ColdestPoint> wet = OIL.coldestPoint(60, List.of(5.0));
        assertThat(Samples.told(wet).marginKelvin()).isNegative();
        assertThat(Samples.remarks(wet)).contains(Remark.Kind.OUT_OF_VALIDITY);
        assertThat(Samples.told(OIL.coldestPoint(0, List.of(5.0))).saturationPercent())
                .isZero();
    }

    @Test
    void inputsOutsideValidityAreRefusedByName() {
        assertThat(Samples.why(OIL.solubility(-5))).isEqualTo(Why.OUTSIDE_VALIDITY);
        assertThat(Samples.why(OIL.solubility(Double.NaN))).isEqualTo(Why.OUTSIDE_VALIDITY);
        assertThat(Samples.why(OIL.relativeSaturation(-1, 20))).isEqualTo(Why.NEGATIVE_VALUE);
        assertThat(Samples.why(OIL.relativeSaturation(Double.NaN, 20))).isEqualTo(Why.NOT_A_NUMBER);
        assertThat(Samples.why(OIL.content(120, 20))).isEqualTo(Why.OUTSIDE_VALIDITY);
        assertThat(Samples.why(OIL.saturationTemperature(5))).isEqualTo(Why.OUTSIDE_VALIDITY);
        assertThat(Samples.why(OIL.coldestPoint(20, List.of()))).isEqualTo(Why.MISSING_VALUE);
        assertThat(Samples.why(OIL.coldestPoint(20, List.of(20.0, Double.NaN)))).isEqualTo(Why.NOT_A_NUMBER);
        assertThat(Samples.why(OIL.coldestPoint(20, List.of(-15.0)))).isEqualTo(Why.OUTSIDE_VALIDITY);
        assertThat(Samples.why(WaterInOil.of(Fluid.NATURAL_ESTER))).isEqualTo(Why.FLUID_NOT_COVERED);
        assertThat(Samples.told(WaterInOil.of(Fluid.MINERAL_OIL))).isEqualTo(OIL);
    }

    @Test
    void theGradesFollowTheTableOfWaterAndBreakdownVoltage() {
        // iec60422_water_limits.csv, IEC 60422:2024 Table 5 (B; row F one source).
        List<Map<String, String>> rows = Table.rows("iec60422_water_limits.csv");
        assertThat(rows).hasSize(4);
        for (Map<String, String> row : rows) {
            OilCondition.Category category = OilCondition.Category.valueOf(Table.text(row, "category"));
            double fair = edge(row, "water_good");
            double poor = edge(row, "water_poor");
            assertThat(Table.text(row, "water_fair")).isEqualTo((int) fair + "-" + (int) poor);
            assertThat(water(category, fair - 0.1)).isEqualTo(OilCondition.Grade.GOOD);
            assertThat(water(category, fair)).isEqualTo(OilCondition.Grade.FAIR);
            assertThat(water(category, poor)).isEqualTo(OilCondition.Grade.FAIR);
            assertThat(water(category, poor + 0.1)).isEqualTo(OilCondition.Grade.POOR);
            double good = edge(row, "bdv_good");
            double bad = edge(row, "bdv_poor");
            assertThat(breakdown(category, good + 0.1)).isEqualTo(OilCondition.Grade.GOOD);
            assertThat(breakdown(category, good)).isEqualTo(OilCondition.Grade.FAIR);
            assertThat(breakdown(category, bad)).isEqualTo(OilCondition.Grade.FAIR);
            assertThat(breakdown(category, bad - 0.1)).isEqualTo(OilCondition.Grade.POOR);
        }
        assertThat(OilCondition.Category.ofVoltage(400)).isEqualTo(OilCondition.Category.A);
        assertThat(OilCondition.Category.ofVoltage(170)).isEqualTo(OilCondition.Category.B);
        assertThat(OilCondition.Category.ofVoltage(72.5)).isEqualTo(OilCondition.Category.C);
    }

    private static double edge(Map<String, String> row, String column) {
        return Double.parseDouble(Table.text(row, column).substring(1));
    }

    private static OilCondition.Grade water(OilCondition.Category category, double content) {
        return Samples.told(OilCondition.of(Fluid.MINERAL_OIL, category, content, null))
                .water();
    }

    private static OilCondition.Grade breakdown(OilCondition.Category category, double kilovolt) {
        return Samples.told(OilCondition.of(Fluid.MINERAL_OIL, category, 1, kilovolt))
                .worse();
    }

    @Test
    void theOlderCorrectionAndTheWetnessBandsAreMarkedAsFromMemory() {
        // 2.24 exp(-0.04 t) of IEC 60422:2005, from memory (M): 0.2032 at 60 C.
        Finding<Double> corrected = OilCondition.correctedTo20(20, 60);
        assertThat(Samples.told(corrected)).isCloseTo(20 * 0.2032, within(0.001));
        assertThat(Samples.remarks(corrected)).contains(Remark.Kind.FROM_MEMORY);
        assertThat(Samples.why(OilCondition.correctedTo20(20, 15))).isEqualTo(Why.OUTSIDE_VALIDITY);
        assertThat(OilCondition.Wetness.of(4.9)).isEqualTo(OilCondition.Wetness.DRY);
        assertThat(OilCondition.Wetness.of(20)).isEqualTo(OilCondition.Wetness.MODERATELY_WET);
        assertThat(OilCondition.Wetness.of(30)).isEqualTo(OilCondition.Wetness.WET);
        assertThat(OilCondition.Wetness.of(31)).isEqualTo(OilCondition.Wetness.EXTREMELY_WET);
        assertThat(Samples.why(OilCondition.of(Fluid.SYNTHETIC_ESTER, OilCondition.Category.A, 10, null)))
                .isEqualTo(Why.FLUID_NOT_COVERED);
        assertThat(Samples.why(OilCondition.of(Fluid.MINERAL_OIL, OilCondition.Category.A, -1, null)))
                .isEqualTo(Why.NEGATIVE_VALUE);
    }
}
