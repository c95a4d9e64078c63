package oilbird.alarm.transformer.trend;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.function.DoubleUnaryOperator;
import oilbird.alarm.transformer.Equipment;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Fluid;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.Samples;
import oilbird.alarm.transformer.Table;
import oilbird.alarm.transformer.TapChanger;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.TrendRestart;
import oilbird.alarm.transformer.Why;
import oilbird.alarm.transformer.gas.Gas;
import oilbird.alarm.transformer.gas.GasReading;
import oilbird.alarm.transformer.gas.GasSample;
import oilbird.alarm.transformer.gas.GuideRate;
import oilbird.alarm.transformer.gas.TypicalValues;
import org.junit.jupiter.api.Test;

class TrendTest {
    private static final TransformerFacts FACTS = TransformerFacts.mineralOilTransformer();
    private static final Instant START = Instant.parse("2025-01-01T00:00:00Z");
    private static final String MONITOR = Samples.MONITOR.id();

    private static Instant day(double day) {
        return START.plusMillis(Math.round(day * 86_400_000));
    }

    private static GasSample hydrogen(double day, double ppm) {
        return Samples.told(GasSample.of(day(day), Samples.MONITOR, List.of(GasReading.ppm(Gas.H2, ppm))));
    }

    private static GasSeries series(double[] days, double[] values) {
        List<GasSeries.Point> points = new ArrayList<>();
        for (int i = 0; i < days.length; i++) {
            points.add(new GasSeries.Point(day(days[i]), values[i]));
        }
        return new GasSeries(Gas.H2, MONITOR, points);
    }

    /** A monitor with an analysis every four hours and independent noise. */
    private static GasSeries monitor(int days, double noise, long seed, DoubleUnaryOperator level) {
        Random random = new Random(seed);
        int n = days * 6;
        double[] at = new double[n];
        double[] values = new double[n];
        for (int i = 0; i < n; i++) {
            at[i] = i / 6.0;
            values[i] = Math.max(0, level.applyAsDouble(at[i]) + noise * random.nextGaussian());
        }
        return series(at, values);
    }

    @Test
    void theRobustSlopeAndItsIntervalAreThoseOfAnIndependentLibrary() {
        // slopes_expected.csv: SciPy 1.17.1, scipy.stats.theilslopes, on the made-up series of slopes.csv.
        Map<String, List<double[]>> points = new LinkedHashMap<>();
        for (Map<String, String> row : Table.rows("slopes.csv")) {
            points.computeIfAbsent(Table.text(row, "series"), name -> new ArrayList<>())
                    .add(new double[] {Table.number(row, "day"), Table.number(row, "ppm")});
        }
        int checked = 0;
        for (Map<String, String> row : Table.rows("slopes_expected.csv")) {
            List<double[]> ones = points.getOrDefault(Table.text(row, "series"), List.of());
            GasSeries series = series(
                    ones.stream().mapToDouble(p -> p[0]).toArray(),
                    ones.stream().mapToDouble(p -> p[1]).toArray());
            RobustSlope slope = Samples.told(RobustSlope.of(series, Table.number(row, "confidence")));
            assertThat(slope.perDay()).as(row.toString()).isCloseTo(Table.number(row, "slope"), within(1e-8));
            assertThat(slope.low()).as(row.toString()).isCloseTo(Table.number(row, "low"), within(1e-8));
            assertThat(slope.high()).as(row.toString()).isCloseTo(Table.number(row, "high"), within(1e-8));
            checked++;
        }
        assertThat(checked).isEqualTo(10);
    }

    @Test
    void theIntervalCoversTheTrueSlopeAboutAsOftenAsItClaims() {
        int covered = 0;
        int runs = 200;
        for (int seed = 0; seed < runs; seed++) {
            RobustSlope slope = Samples.told(RobustSlope.of(monitor(7, 3, seed, t -> 100 + 0.5 * t), 0.95));
            covered += slope.low() <= 0.5 && slope.high() >= 0.5 ? 1 : 0;
        }
        assertThat(covered).as("of %d, seeds from 0", runs).isBetween(181, 198);
    }

    @Test
    void noiseIsNotCalledARiseAndARiseIsNotCalledNoise() {
        int falseRises = 0;
        int found = 0;
        for (int seed = 0; seed < 80; seed++) {
            falseRises += direction(monitor(30, 4, seed, t -> 100)) == Movement.Direction.WITHIN_NOISE ? 0 : 1;
            found += direction(monitor(30, 4, seed, t -> 100 + t)) == Movement.Direction.RISING ? 1 : 0;
        }
        assertThat(falseRises).as("of 80 flat months, seeds from 0").isZero();
        assertThat(found).as("of 80 rises of 30 ppm on 100 in a month").isEqualTo(80);
        assertThat(direction(monitor(30, 4, 1, t -> 100 - t))).isEqualTo(Movement.Direction.FALLING);
        // Sure, yet smaller than one detection limit of hydrogen (5 ppm, confidence M).
        assertThat(direction(monitor(30, 0.1, 1, t -> 20 + 0.1 * t))).isEqualTo(Movement.Direction.WITHIN_NOISE);
    }

    private static Movement.Direction direction(GasSeries series) {
        return Samples.told(Movement.of(series)).direction();
    }

    @Test
    void aStepIsFoundWhereItIsAndARampOrNoiseIsNoStep() {
        int wrong = 0;
        for (int seed = 0; seed < 40; seed++) {
            StepChange step = Samples.told(StepChange.of(monitor(20, 3, seed, t -> t < 12 ? 80 : 130)));
            assertThat(step.found()).as("seed %d", seed).isTrue();
            assertThat(step.sizePpm()).isCloseTo(50, within(5.0));
            assertThat(Duration.between(day(12), step.at()).abs()).isLessThan(Duration.ofDays(1));
            wrong += Samples.told(StepChange.of(monitor(20, 3, seed, t -> 80))).found() ? 1 : 0;
            wrong += Samples.told(StepChange.of(monitor(20, 3, seed, t -> 80 + 3 * t)))
                            .found()
                    ? 1
                    : 0;
        }
        assertThat(wrong).as("steps found in 40 flat and 40 rising series").isZero();
        assertThat(Samples.why(StepChange.of(monitor(1, 1, 1, t -> 5)))).isEqualTo(Why.TOO_FEW_SAMPLES);
    }

    @Test
    void theGuidesRateWantsThreeToSixSamplesOverFourToTwentyFourMonths() {
        // IEEE C57.104-2019 by one copy: linear fit, 3 to 6 samples, 4 to 24 months.
        double month = 365.25 / 12;
        double[] days = {0, 2 * month, 4 * month, 6 * month};
        GuideRate rate = Samples.told(MultiPointRate.of(series(days, new double[] {10, 12, 14, 16})));
        assertThat(rate.ppmPerYear()).isCloseTo(12, within(1e-6));
        assertThat(rate.standardError()).isCloseTo(0, within(1e-6));
        assertThat(rate.samples()).isEqualTo(4);
        assertThat(rate.months()).isCloseTo(6, within(1e-6));
        assertThat(Samples.why(MultiPointRate.of(series(new double[] {0, 200}, new double[] {1, 2}))))
                .isEqualTo(Why.TOO_FEW_SAMPLES);
        assertThat(Samples.why(MultiPointRate.of(series(new double[] {0, 30, 60}, new double[] {1, 2, 3}))))
                .isEqualTo(Why.SPAN_TOO_SHORT);
        // Two of the four samples are older than 24 months.
        assertThat(Samples.why(MultiPointRate.of(series(new double[] {0, 100, 900, 1000}, new double[] {1, 2, 3, 4}))))
                .isEqualTo(Why.TOO_FEW_SAMPLES);
    }

    @Test
    void aMonitorsSamplesAreThinnedToSixForTheGuidesRate() {
        Finding<GuideRate> found = MultiPointRate.of(monitor(300, 4, 7, t -> 100 + 20 * t / 365.25));
        assertThat(Samples.told(found).samples()).isEqualTo(6);
        assertThat(Samples.told(found).ppmPerYear()).isCloseTo(20, within(1.5));
        assertThat(Samples.remarks(found)).contains(Remark.Kind.THINNED);
        assertThat(Samples.why(MultiPointRate.of(monitor(60, 4, 7, t -> 100)))).isEqualTo(Why.SPAN_TOO_SHORT);
    }

    @Test
    void theDailyRateIsFastOnlyWhenItsLowerEndIs() {
        Duration window = Duration.ofDays(3);
        GasSeries quick = monitor(10, 2, 3, t -> t < 7 ? 100 : 100 + 10 * (t - 7));
        DailyRate rate = Samples.told(DailyRate.of(quick, window, 5));
        assertThat(rate.fast()).isTrue();
        assertThat(rate.slope().perDay()).isCloseTo(10, within(2.0));
        assertThat(Samples.told(DailyRate.of(quick, window, 10.5)).fast()).isFalse();
        assertThat(Samples.told(DailyRate.of(monitor(10, 2, 3, t -> 100), window, 0.1))
                        .fast())
                .isFalse();
        assertThat(Samples.told(DailyRate.againstTypical(
                                quick, window, TypicalValues.iec60599(Equipment.POWER_TRANSFORMER, TapChanger.NONE)))
                        .limitPerDay())
                .isCloseTo(132 / 365.25, within(1e-9));
        assertThat(Samples.why(DailyRate.of(monitor(1, 2, 3, t -> 100), window, 5)))
                .isEqualTo(Why.SPAN_TOO_SHORT);
        assertThat(Samples.why(DailyRate.of(quick, window, Double.NaN))).isEqualTo(Why.OUTSIDE_VALIDITY);
    }

    @Test
    void samplesOutOfOrderDuplicatedOrContradictingHaveAStatedTreatment() {
        List<GasSample> samples = new ArrayList<>();
        for (int d = 0; d < 10; d++) {
            samples.add(hydrogen(d, 100 + d));
        }
        GasSeries straight = Samples.told(GasSeries.of(FACTS, samples, MONITOR, Gas.H2));
        List<GasSample> shuffled = new ArrayList<>(samples);
        Collections.shuffle(shuffled, new Random(5));
        Finding<GasSeries> sorted = GasSeries.of(FACTS, shuffled, MONITOR, Gas.H2);
        assertThat(Samples.told(sorted)).isEqualTo(straight);
        assertThat(Samples.remarks(sorted)).contains(Remark.Kind.PUT_IN_ORDER);

        List<GasSample> twice = new ArrayList<>(samples);
        twice.add(hydrogen(9, 109));
        Finding<GasSeries> deduplicated = GasSeries.of(FACTS, twice, MONITOR, Gas.H2);
        assertThat(Samples.told(deduplicated)).isEqualTo(straight);
        assertThat(Samples.remarks(deduplicated)).contains(Remark.Kind.DUPLICATE_DROPPED);

        List<GasSample> contradicting = new ArrayList<>(samples);
        contradicting.add(hydrogen(9, 200));
        contradicting.add(hydrogen(9, 109));
        Finding<GasSeries> left = GasSeries.of(FACTS, contradicting, MONITOR, Gas.H2);
        assertThat(Samples.told(left).points()).hasSize(9);
        assertThat(Samples.remarks(left)).contains(Remark.Kind.VALUE_LEFT_OUT);
    }

    @Test
    void aTreatmentOrASensorOfThisMonitorStartsTheTrendAnewAndAnothersDoesNot() {
        List<GasSample> samples = new ArrayList<>();
        for (int d = 0; d < 20; d++) {
            samples.add(hydrogen(d, d < 12 ? 200 : 20));
        }
        Finding<GasSeries> treated = GasSeries.of(
                with(new TrendRestart(day(11.5), TrendRestart.Cause.OIL_TREATMENT, null)), samples, MONITOR, Gas.H2);
        assertThat(Samples.told(treated).points()).hasSize(8);
        assertThat(Samples.remarks(treated)).contains(Remark.Kind.RESTARTED);
        Finding<GasSeries> other = GasSeries.of(
                with(new TrendRestart(day(11.5), TrendRestart.Cause.SENSOR_REPLACEMENT, "another")),
                samples,
                MONITOR,
                Gas.H2);
        assertThat(Samples.told(other).points()).hasSize(20);
        assertThat(Samples.why(GasSeries.of(FACTS, samples, "unknown", Gas.H2))).isEqualTo(Why.TOO_FEW_SAMPLES);
        assertThat(Samples.why(GasSeries.of(FACTS, samples, MONITOR, Gas.CO))).isEqualTo(Why.TOO_FEW_SAMPLES);
    }

    private static TransformerFacts with(TrendRestart restart) {
        return new TransformerFacts(
                Fluid.MINERAL_OIL, Equipment.POWER_TRANSFORMER, TapChanger.SEPARATE, null, List.of(restart));
    }
}
