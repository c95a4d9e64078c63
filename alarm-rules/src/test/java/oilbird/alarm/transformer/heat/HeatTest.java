package oilbird.alarm.transformer.heat;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.Random;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.Samples;
import oilbird.alarm.transformer.Table;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.Why;
import org.jspecify.annotations.Nullable;
import org.junit.jupiter.api.Test;

class HeatTest {
    private static final TransformerFacts FACTS = TransformerFacts.mineralOilTransformer();
    private static final Instant START = Instant.parse("2026-01-01T00:00:00Z");
    private static final ThermalModel MODEL = Samples.told(ThermalModel.of(CoolingMode.ONAF.constants(), 45, 35, 8));

    private static LoadPoint point(double minute, @Nullable Double load, @Nullable Double ambient) {
        return new LoadPoint(START.plusMillis(Math.round(minute * 60_000)), load, ambient, null);
    }

    private static ThermalHistory history(List<LoadPoint> points, @Nullable ThermalState start) {
        return Samples.told(ThermalHistory.of(FACTS, MODEL, Ageing.NON_UPGRADED, points, start, GapRule.USUAL));
    }

    @Test
    void theConstantsAreThoseOfTheStandard() {
        // iec60076_7_constants.csv: distribution, ONAN, ONAF A; restricted, OF, OD from memory (M).
        List<CoolingMode> order = List.of(
                CoolingMode.DISTRIBUTION_ONAN,
                CoolingMode.ONAN_RESTRICTED,
                CoolingMode.ONAN,
                CoolingMode.ONAF_RESTRICTED,
                CoolingMode.ONAF,
                CoolingMode.OF_RESTRICTED,
                CoolingMode.OF,
                CoolingMode.OD);
        List<Map<String, String>> rows = Table.rows("iec60076_7_constants.csv");
        assertThat(rows).hasSize(order.size());
        for (int i = 0; i < order.size(); i++) {
            Map<String, String> row = rows.get(i);
            assertThat(order.get(i).constants())
                    .as(row.toString())
                    .isEqualTo(new ThermalConstants(
                            Table.number(row, "x"),
                            Table.number(row, "y"),
                            Table.number(row, "k11"),
                            Table.number(row, "k21"),
                            Table.number(row, "k22"),
                            Table.number(row, "tau_o_min"),
                            Table.number(row, "tau_w_min")));
            assertThat(order.get(i).confirmed())
                    .isEqualTo(Table.text(row, "confidence").equals("A"));
        }
    }

    @Test
    void theStandardsExampleByDifferenceEquationsIsFollowedWithin15Hundredths() {
        // iec60076_7_example_difference.csv: load and ambient from one copy (1) of the standard's example; the
        // temperatures are recomputed by another program, not published.
        List<Map<String, String>> rows = Table.rows("iec60076_7_example_difference.csv");
        List<LoadPoint> inputs = new ArrayList<>();
        for (Map<String, String> row : rows) {
            inputs.add(point(Table.number(row, "time_min"), Table.number(row, "K"), Table.number(row, "ambient_C")));
        }
        ThermalState start = MODEL.steady(0.81, 30.3);
        ThermalHistory history = history(inputs, start);
        assertThat(Samples.remarks(ThermalHistory.of(FACTS, MODEL, Ageing.NON_UPGRADED, inputs, start, GapRule.USUAL)))
                .as("the example reaches 176 C")
                .containsExactly(Remark.Kind.OUT_OF_VALIDITY);
        assertThat(history.points()).hasSize(41);
        double worst = 0;
        for (int i = 0; i < rows.size(); i++) {
            ThermalPoint ours = history.points().get(i);
            worst = Math.max(worst, Math.abs(ours.topOil() - Table.number(rows.get(i), "top_oil_C")));
            worst = Math.max(worst, Math.abs(ours.hotSpot() - Table.number(rows.get(i), "hot_spot_C")));
            double life = Table.number(rows.get(i), "L_non_upgraded_min");
            assertThat(ours.lifeUsedMinutes()).isCloseTo(life, within(1e-3 + 1e-5 * life));
            assertThat(ours.doubtful()).isFalse();
        }
        System.out.printf("IEC 60076-7 example by difference equations: worst %.4f K of 41 steps%n", worst);
        assertThat(worst).isLessThan(0.15);
    }

    @Test
    void theStandardsExampleByStepsIsFollowedWithin15HundredthsButForTheDisputedRow() {
        // iec60076_7_example_steps.csv: figures as published beside figures recomputed by another program.
        ThermalModel model = Samples.told(ThermalModel.of(CoolingMode.ONAF.constants(), 38.3, 14.5 * 1.4, 1000));
        ThermalState state = new ThermalState(25.6 + 12.7, 0, 0);
        double before = 0;
        int disputed = 0;
        for (Map<String, String> row : Table.rows("iec60076_7_example_steps.csv")) {
            double end = Table.number(row, "end_time_min");
            state = model.after(state, Table.number(row, "K"), 25.6, end - before);
            before = end;
            double offOil = Math.abs(state.topOil() - Table.number(row, "published_top_oil_C"));
            double offHotSpot = Math.abs(state.hotSpot() - Table.number(row, "published_hot_spot_C"));
            if (end == 500) {
                // DISPUTED: listed 89.2 / 127.0; a measured value or a misprint. The recomputed one is held to.
                System.out.printf(
                        "IEC 60076-7 example by steps, 500 min (disputed): %.2f / %.2f, listed 89.2 / 127.0%n",
                        state.topOil(), state.hotSpot());
                assertThat(offOil).isGreaterThan(0.15);
                disputed++;
            } else {
                assertThat(offOil).as(row.toString()).isLessThan(0.15);
                assertThat(offHotSpot).as(row.toString()).isLessThan(0.15);
            }
            assertThat(state.topOil()).isCloseTo(Table.number(row, "recomputed_top_oil_C"), within(0.15));
            assertThat(state.hotSpot()).isCloseTo(Table.number(row, "recomputed_hot_spot_C"), within(0.15));
        }
        assertThat(disputed).isEqualTo(1);
    }

    @Test
    void relativeAgeingIsThatOfTheTableForBothPapers() {
        // ageing_rates.csv, formulas A; 1.259921 and 0.349942 at 100 C are published checks.
        List<Map<String, String>> rows = Table.rows("ageing_rates.csv");
        assertThat(rows).hasSize(25);
        for (Map<String, String> row : rows) {
            double hotSpot = Table.number(row, "hot_spot_C");
            double kraft = Table.number(row, "V_non_upgraded");
            double upgraded = Table.number(row, "V_upgraded_equals_FAA");
            assertThat(Samples.told(Ageing.NON_UPGRADED.rate(hotSpot))).isCloseTo(kraft, within(6e-5 + kraft * 1e-6));
            assertThat(Samples.told(Ageing.UPGRADED.rate(hotSpot))).isCloseTo(upgraded, within(6e-5 + upgraded * 1e-6));
        }
        assertThat(Samples.told(Ageing.NON_UPGRADED.rate(100))).isCloseTo(1.259921, within(1e-6));
        assertThat(Samples.told(Ageing.UPGRADED.rate(100))).isCloseTo(0.349942, within(1e-6));
        assertThat(Samples.remarks(Ageing.UPGRADED.rate(150))).contains(Remark.Kind.OUT_OF_VALIDITY);
        assertThat(Samples.why(Ageing.UPGRADED.rate(Double.NaN))).isEqualTo(Why.OUTSIDE_VALIDITY);
    }

    @Test
    void aConstantRatedHotSpotUsesLifeAsFastAsTimeGoes() {
        List<LoadPoint> inputs = new ArrayList<>();
        // Ambient 18 C puts the rated hot spot of this model at 98 C: 18 + 45 + 35.
        for (int minute = 0; minute <= 1440; minute += 10) {
            inputs.add(point(minute, 1.0, 18.0));
        }
        ThermalHistory history = history(inputs, MODEL.steady(1, 18));
        assertThat(history.lifeUsedMinutes()).isCloseTo(1440, within(1e-6));
        assertThat(history.meanAgeing()).isCloseTo(1, within(1e-9));
        assertThat(history.lifeUsedLow()).isCloseTo(1440, within(1e-6));
    }

    @Test
    void unevenStepsGiveWhatEvenStepsGive() {
        List<LoadPoint> even = new ArrayList<>();
        List<LoadPoint> uneven = new ArrayList<>();
        Random random = new Random(11);
        for (int minute = 0; minute <= 600; minute++) {
            double load = minute < 200 ? 0.6 : minute < 400 ? 1.2 : 0.8;
            LoadPoint one = point(minute, load, 20.0);
            even.add(one);
            if (minute % 200 == 0 || minute % 200 == 199 || random.nextInt(6) == 0) {
                uneven.add(one);
            }
        }
        assertThat(uneven).hasSizeLessThan(200);
        ThermalPoint a = last(history(even, MODEL.steady(0.6, 20)));
        ThermalPoint b = last(history(uneven, MODEL.steady(0.6, 20)));
        assertThat(b.hotSpot()).isCloseTo(a.hotSpot(), within(0.2));
        assertThat(b.topOil()).isCloseTo(a.topOil(), within(0.2));
    }

    private static ThermalPoint last(ThermalHistory history) {
        return history.points().get(history.points().size() - 1);
    }

    @Test
    void anUnknownPastIsDoubtfulUntilTheOilHasForgottenIt() {
        List<LoadPoint> inputs = new ArrayList<>();
        for (int minute = 0; minute <= 1200; minute += 5) {
            inputs.add(point(minute, 0.8, 20.0));
        }
        ThermalHistory history = history(inputs, null);
        assertThat(history.points().get(0).doubtful()).isTrue();
        assertThat(last(history).doubtful()).isFalse();
        assertThat(last(history).hotSpot()).isCloseTo(MODEL.steady(0.8, 20).hotSpot(), within(0.01));
    }

    @Test
    void theTrueTemperatureStaysWithinTheBoundsWhateverTheLoadDidInAGap() {
        for (int seed = 0; seed < 50; seed++) {
            Random random = new Random(seed);
            List<LoadPoint> full = new ArrayList<>();
            List<LoadPoint> gapped = new ArrayList<>();
            double load = 0.7;
            for (int minute = 0; minute <= 900; minute += 5) {
                // Within the hold time of 15 minutes the load is taken as unchanged, and so it is.
                if (minute > 315 && minute < 500 && random.nextInt(8) == 0) {
                    load = 1.2 * random.nextDouble();
                }
                full.add(point(minute, load, 15.0));
                boolean gap = minute > 300 && minute < 500;
                gapped.add(point(minute, gap ? null : load, 15.0));
            }
            ThermalState start = MODEL.steady(0.7, 15);
            List<ThermalPoint> truth = history(full, start).points();
            Finding<ThermalHistory> found =
                    ThermalHistory.of(FACTS, MODEL, Ageing.NON_UPGRADED, gapped, start, GapRule.USUAL);
            assertThat(Samples.remarks(found)).contains(Remark.Kind.GAP);
            List<ThermalPoint> points = Samples.told(found).points();
            boolean doubtful = false;
            for (int i = 0; i < points.size(); i++) {
                // Within the hold time the load is taken as unchanged, which this random load does not keep to:
                // a few tenths of a kelvin of slack for those fifteen minutes.
                assertThat(truth.get(i).topOil())
                        .as("seed %d point %d", seed, i)
                        .isBetween(
                                points.get(i).topOilLow() - 1.5, points.get(i).topOilHigh() + 1.5);
                doubtful |= points.get(i).doubtful();
            }
            assertThat(doubtful).isTrue();
            assertThat(points.get(0).doubtful()).isFalse();
        }
    }

    @Test
    void aMeasuredTopOilCarriesTheHotSpotAndLeavesAResidual() {
        List<LoadPoint> inputs = new ArrayList<>();
        for (int minute = 0; minute <= 300; minute += 5) {
            inputs.add(new LoadPoint(START.plusSeconds(minute * 60L), 1.0, 20.0, 75.0));
        }
        ThermalPoint last = last(history(inputs, MODEL.steady(1, 20)));
        assertThat(last.onMeasured()).isTrue();
        assertThat(last.hotSpot()).isCloseTo(75 + 35, within(1e-9));
        assertThat(last.residual()).isCloseTo(10, within(1e-9));
        assertThat(last.topOil()).isCloseTo(65, within(1e-9));
    }

    /** Two days of load and weather; after one day a model with half the cooling makes the oil of the second. */
    private static List<LoadPoint> twoDays(boolean impaired, long seed) {
        Random random = new Random(seed);
        ThermalModel weak = Samples.told(ThermalModel.of(CoolingMode.ONAF.constants(), 70, 35, 8));
        ThermalState oil = MODEL.steady(0.8, 15);
        List<LoadPoint> points = new ArrayList<>();
        for (int minute = 0; minute <= 2880; minute += 5) {
            double hour = minute / 60.0;
            double load = 0.85 + 0.15 * Math.sin(hour / 24 * 2 * Math.PI);
            double ambient = 15 + 5 * Math.sin((hour - 6) / 24 * 2 * Math.PI);
            oil = (impaired && minute > 1440 ? weak : MODEL).after(oil, load, ambient, 5);
            points.add(new LoadPoint(
                    START.plusSeconds(minute * 60L), load, ambient, oil.topOil() + random.nextGaussian()));
        }
        return points;
    }

    @Test
    void impairedCoolingIsFoundAndHealthyCoolingIsNot() {
        Duration window = Duration.ofHours(3);
        for (int seed = 0; seed < 10; seed++) {
            List<LoadPoint> healthy = twoDays(false, seed);
            ThermalHistory first = history(healthy, null);
            List<Double> residuals = new ArrayList<>();
            for (ThermalPoint point : first.points()) {
                Double residual = point.residual();
                if (residual != null && !point.doubtful()) {
                    residuals.add(residual);
                }
            }
            ResidualBand band = Samples.told(ResidualBand.ofHistory(residuals));
            assertThat(band.half()).isBetween(2.0, 5.0);
            assertThat(Samples.told(CoolingCheck.of(first, band, window)).verdict())
                    .isEqualTo(CoolingCheck.Verdict.AS_MODELLED);
            CoolingCheck check = Samples.told(CoolingCheck.of(history(twoDays(true, seed), null), band, window));
            assertThat(check.verdict()).isEqualTo(CoolingCheck.Verdict.COOLING_IMPAIRED);
            assertThat(check.residual()).isGreaterThan(check.high());
        }
    }

    @Test
    void theCoolingCheckRefusesWhatItCannotTell() {
        ThermalHistory unmeasured = history(List.of(point(0, 1.0, 20.0), point(5, 1.0, 20.0)), null);
        assertThat(Samples.why(CoolingCheck.of(unmeasured, ResidualBand.WITHOUT_HISTORY, Duration.ofHours(1))))
                .isEqualTo(Why.TOO_FEW_SAMPLES);
        List<LoadPoint> short20 = new ArrayList<>();
        for (int minute = 0; minute <= 30; minute += 5) {
            short20.add(new LoadPoint(START.plusSeconds(minute * 60L), 1.0, 20.0, 90.0));
        }
        assertThat(Samples.why(
                        CoolingCheck.of(history(short20, null), ResidualBand.WITHOUT_HISTORY, Duration.ofHours(1))))
                .as("the past is unknown")
                .isEqualTo(Why.HISTORY_UNKNOWN);
        assertThat(Samples.why(ResidualBand.ofHistory(List.of(1.0)))).isEqualTo(Why.TOO_FEW_SAMPLES);
    }

    @Test
    void badInputsAreLeftOutAndNamedAndNothingThrows() {
        List<LoadPoint> inputs = new ArrayList<>();
        for (int minute = 0; minute <= 100; minute += 5) {
            inputs.add(point(minute, 0.8, 20.0));
        }
        ThermalHistory straight = history(inputs, MODEL.steady(0.8, 20));
        Collections.shuffle(inputs, new Random(2));
        inputs.add(point(50, 0.8, 20.0));
        inputs.add(point(52, Double.NaN, Double.POSITIVE_INFINITY));
        inputs.add(point(53, -1.0, 500.0));
        Finding<ThermalHistory> found =
                ThermalHistory.of(FACTS, MODEL, Ageing.NON_UPGRADED, inputs, MODEL.steady(0.8, 20), GapRule.USUAL);
        assertThat(Samples.remarks(found)).contains(Remark.Kind.PUT_IN_ORDER, Remark.Kind.VALUE_LEFT_OUT);
        assertThat(last(Samples.told(found)).hotSpot()).isCloseTo(last(straight).hotSpot(), within(1e-9));
        assertThat(Samples.why(ThermalHistory.of(FACTS, MODEL, Ageing.NON_UPGRADED, List.of(), null, GapRule.USUAL)))
                .isEqualTo(Why.MISSING_VALUE);
        assertThat(Samples.why(ThermalModel.of(CoolingMode.ONAN.constants(), -5, 20, 6)))
                .isEqualTo(Why.OUTSIDE_VALIDITY);
        assertThat(Samples.why(ThermalConstants.of(0.8, 1.3, 0.5, 0.5, 2, 150, 7)))
                .isEqualTo(Why.OUTSIDE_VALIDITY);
    }
}
