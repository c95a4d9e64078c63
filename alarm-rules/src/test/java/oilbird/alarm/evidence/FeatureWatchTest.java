package oilbird.alarm.evidence;

import static oilbird.mapping.signal.IndicationState.CANNOT_BE_TOLD;
import static oilbird.mapping.signal.IndicationState.DOES_NOT_HOLD;
import static oilbird.mapping.signal.IndicationState.HOLDS;
import static org.assertj.core.api.Assertions.assertThat;

import java.time.Duration;
import java.util.List;
import java.util.Random;
import java.util.function.DoubleUnaryOperator;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.Feature.Direction;
import oilbird.mapping.signal.Feature.Source;
import oilbird.mapping.signal.Feature.Told;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.QualityReason;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** What each kind of feature tells, one sample a minute unless said. */
class FeatureWatchTest {
    private static final long MINUTE = Duration.ofMinutes(1).toNanos();
    private static final Source VALUE = new Source("", "value");
    private static final Source OTHER = new Source("", "other");
    private static final Told RUNNING = new Told(new Source("", "running"), true);

    private static FeatureWatch watch(Feature.Shape shape) {
        return new FeatureWatch(new Feature("made", shape, List.of(), Duration.ZERO, List.of()));
    }

    /** Feeds one input from one minute to another, both included; the last answer. */
    private static IndicationState feed(FeatureWatch watch, int from, int to, DoubleUnaryOperator... values) {
        IndicationState told = CANNOT_BE_TOLD;
        for (int minute = from; minute <= to; minute++) {
            told = sample(watch, minute, values);
        }
        return told;
    }

    private static IndicationState sample(FeatureWatch watch, int minute, DoubleUnaryOperator... values) {
        for (int i = 0; i < values.length; i++) {
            watch.read(i, minute * MINUTE, values[i].applyAsDouble(minute), QualityReason.NONE, true);
        }
        return watch.tell(minute * MINUTE);
    }

    private static IndicationState doubtful(FeatureWatch watch, int minute, QualityReason why) {
        watch.read(0, minute * MINUTE, 1, why, true);
        return watch.tell(minute * MINUTE);
    }

    private static DoubleUnaryOperator steady(double value) {
        return minute -> value;
    }

    private static DoubleUnaryOperator noisy(double value, double spread, long seed) {
        // Neighbouring seeds begin alike, so they are spread first.
        return minute ->
                value + spread * new Random((seed * 10_000 + (long) minute) * 0x9E3779B97F4A7C15L).nextGaussian();
    }

    // ---- plateau

    private static Feature.Plateau plateau(boolean companion) {
        return new Feature.Plateau(VALUE, 0.2, Duration.ofMinutes(30), companion ? OTHER : null, 3);
    }

    @Test
    void aValueThatRestsForTheWholeTimeIsAPlateau() {
        FeatureWatch watch = watch(plateau(false));
        assertThat(feed(watch, 0, 29, steady(5))).as("not yet for so long").isEqualTo(CANNOT_BE_TOLD);
        assertThat(watch.reason()).isEqualTo(QualityReason.NOT_YET_KNOWN);
        assertThat(sample(watch, 30, steady(5))).isEqualTo(HOLDS);
        assertThat(sample(watch, 31, steady(5.1))).as("within the band").isEqualTo(HOLDS);
        assertThat(sample(watch, 32, steady(5.3))).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 33, 61, steady(5.3))).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 62, 63, steady(5.3))).isEqualTo(HOLDS);
    }

    @Test
    void aValueThatRestsWithItsCompanionCannotBeTold() {
        FeatureWatch watch = watch(plateau(true));
        assertThat(feed(watch, 0, 40, steady(5), steady(50))).isEqualTo(CANNOT_BE_TOLD);
        assertThat(feed(watch, 41, 70, steady(5), m -> 50 + (m - 40) * 0.1))
                .as("the companion moved by 3")
                .isEqualTo(HOLDS);
        assertThat(sample(watch, 71, steady(6), steady(53))).isEqualTo(DOES_NOT_HOLD);
    }

    // ---- divergence

    private static Feature.Divergence parting(Direction direction) {
        return new Feature.Divergence(VALUE, OTHER, 1.5, 4, direction, Duration.ofMinutes(20));
    }

    @Test
    void twoValuesPartWhenTheMedianOfTheirDifferenceIsBeyondTheLimit() {
        FeatureWatch watch = watch(parting(Direction.EITHER));
        assertThat(feed(watch, 0, 25, noisy(61.5, 0.5, 1), noisy(60, 0.5, 2))).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 26, 34, noisy(70, 0.5, 1), noisy(60, 0.5, 2)))
                .as("less than half of the samples")
                .isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 35, 46, noisy(70, 0.5, 1), noisy(60, 0.5, 2))).isEqualTo(HOLDS);
    }

    @Test
    void oneWildValueMakesNoDivergence() {
        FeatureWatch watch = watch(parting(Direction.EITHER));
        feed(watch, 0, 30, steady(61.5), steady(60));
        assertThat(sample(watch, 31, steady(120), steady(60))).isEqualTo(DOES_NOT_HOLD);
    }

    @Test
    void theDirectionDecidesWhichWayCounts() {
        assertThat(feed(watch(parting(Direction.UP)), 0, 30, steady(70), steady(60)))
                .isEqualTo(HOLDS);
        assertThat(feed(watch(parting(Direction.DOWN)), 0, 30, steady(70), steady(60)))
                .isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch(parting(Direction.DOWN)), 0, 30, steady(56), steady(60)))
                .isEqualTo(HOLDS);
        assertThat(feed(watch(parting(Direction.UP)), 0, 30, steady(56), steady(60)))
                .isEqualTo(DOES_NOT_HOLD);
    }

    @Test
    void aDivergenceEndsAtNineTenthsOfTheLimit() {
        FeatureWatch watch = watch(parting(Direction.UP));
        assertThat(feed(watch, 0, 30, steady(66), steady(60)))
                .as("4.5 beyond the usual")
                .isEqualTo(HOLDS);
        assertThat(feed(watch, 31, 60, steady(65.2), steady(60))).as("3.7").isEqualTo(HOLDS);
        assertThat(feed(watch, 61, 90, steady(65), steady(60))).as("3.5").isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 91, 120, steady(65.2), steady(60)))
                .as("3.7 from below")
                .isEqualTo(DOES_NOT_HOLD);
    }

    // ---- step

    private static FeatureWatch stepping() {
        return watch(new Feature.Step(VALUE, 10, Direction.EITHER, Duration.ofMinutes(10), Duration.ofMinutes(60)));
    }

    @Test
    void aSuddenChangeIsAStepAndRemembered() {
        FeatureWatch watch = stepping();
        assertThat(feed(watch, 0, 19, noisy(100, 1, 3))).isEqualTo(CANNOT_BE_TOLD);
        assertThat(feed(watch, 20, 40, noisy(100, 1, 3))).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 41, 44, noisy(120, 1, 3))).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 45, 47, noisy(120, 1, 3))).isEqualTo(HOLDS);
        long end = watch.wakeAt(47 * MINUTE);
        assertThat(end).isBetween(105 * MINUTE, 107 * MINUTE);
        assertThat(feed(watch, 48, 104, noisy(120, 1, 3))).isEqualTo(HOLDS);
        assertThat(watch.tell(end)).isEqualTo(DOES_NOT_HOLD);
        assertThat(watch.wakeAt(end)).isEqualTo(Long.MAX_VALUE);
    }

    @Test
    void aStepEndsWhenTheValueIsBackAndItsWayBackIsNotAnother() {
        FeatureWatch watch = stepping();
        feed(watch, 0, 40, steady(100));
        assertThat(feed(watch, 41, 55, steady(80))).isEqualTo(HOLDS);
        assertThat(feed(watch, 56, 90, steady(100))).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 91, 105, steady(80))).as("but the next fall is").isEqualTo(HOLDS);
    }

    @Test
    void aSlowDriftIsNoStep() {
        FeatureWatch watch = stepping();
        for (int minute = 0; minute < 600; minute++) {
            assertThat(sample(watch, minute, m -> 100 + m * 0.9))
                    .as("9 within 10 min, at %s", minute)
                    .isNotEqualTo(HOLDS);
        }
    }

    @Test
    void aStepThatWasSeenIsRememberedThroughBadInputAndIsNotUndoneByIt() {
        FeatureWatch watch = stepping();
        feed(watch, 0, 40, steady(100));
        feed(watch, 41, 50, steady(50));
        assertThat(doubtful(watch, 51, QualityReason.UNREACHABLE)).isEqualTo(HOLDS);
        assertThat(doubtful(watch, 120, QualityReason.UNREACHABLE)).isEqualTo(CANNOT_BE_TOLD);
        assertThat(watch.reason()).isEqualTo(QualityReason.UNREACHABLE);
    }

    // ---- ratio

    private static Feature.Ratio lowCurrent() {
        return new Feature.Ratio(VALUE, 0.85, 1.3, Duration.ofMinutes(5), Duration.ofMinutes(500), "");
    }

    @Test
    void aValueBelowAPartOfItsOwnLearntLevelIsTold() {
        FeatureWatch watch = watch(lowCurrent());
        assertThat(feed(watch, 0, 490, noisy(12, 0.2, 4))).as("still learning").isEqualTo(CANNOT_BE_TOLD);
        assertThat(feed(watch, 491, 520, noisy(12, 0.2, 4))).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 521, 540, noisy(9, 0.2, 4))).isEqualTo(HOLDS);
        assertThat(feed(watch, 541, 560, noisy(10.25, 0.02, 4)))
                .as("0.855 of it: not a tenth of the margin regained")
                .isEqualTo(HOLDS);
        assertThat(feed(watch, 561, 580, noisy(10.6, 0.02, 4))).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 581, 600, noisy(16, 0.2, 4))).as("above").isEqualTo(HOLDS);
    }

    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5})
    void aQuarterOfWildValuesDoesNotMoveTheUsualLevel(long seed) {
        FeatureWatch watch = watch(lowCurrent());
        Random random = new Random(seed);
        feed(watch, 0, 520, m -> random.nextInt(4) == 0 ? random.nextDouble() * 1000 : 12);
        assertThat(feed(watch, 521, 540, steady(12))).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 541, 560, steady(9.9))).isEqualTo(HOLDS);
    }

    @Test
    void aLevelThatWandersMoreThanTheMarginIsNoMeasure() {
        FeatureWatch watch = watch(lowCurrent());
        assertThat(feed(watch, 0, 600, m -> 12 + 6 * StrictMath.sin(m / 40))).isEqualTo(CANNOT_BE_TOLD);
        assertThat(feed(watch, 601, 650, steady(3))).isEqualTo(CANNOT_BE_TOLD);
    }

    @Test
    void whatWasLearntIsKeptOverARestartIfItWasForTheSameDeclaration() {
        FeatureWatch first = watch(lowCurrent());
        Learnt learnt = null;
        int stored = 0;
        for (int minute = 0; minute <= 520; minute++) {
            sample(first, minute, steady(12));
            Learnt news = first.takeLearnt();
            learnt = news == null ? learnt : news;
            stored += news == null ? 0 : 1;
        }
        assertThat(stored).as("not at every sample").isEqualTo(5);
        assertThat(learnt).isNotNull();
        FeatureWatch second = watch(lowCurrent());
        second.goOnFrom(learnt);
        assertThat(feed(second, 0, 6, steady(9))).isEqualTo(HOLDS);
        FeatureWatch other =
                watch(new Feature.Ratio(VALUE, 0.85, 1.3, Duration.ofMinutes(5), Duration.ofMinutes(500), "repair"));
        other.goOnFrom(learnt);
        assertThat(feed(other, 0, 6, steady(9))).isEqualTo(CANNOT_BE_TOLD);
    }

    @Test
    void maintenanceAndDoubtAreNotLearntFrom() {
        FeatureWatch watch = watch(lowCurrent());
        feed(watch, 0, 250, steady(12));
        for (int minute = 251; minute <= 800; minute++) {
            watch.read(0, minute * MINUTE, 3, QualityReason.IN_MAINTENANCE, true);
            assertThat(watch.tell(minute * MINUTE)).isEqualTo(CANNOT_BE_TOLD);
        }
        assertThat(watch.reason()).isEqualTo(QualityReason.IN_MAINTENANCE);
        assertThat(feed(watch, 801, 1040, steady(12)))
                .as("learning took up where it was")
                .isEqualTo(CANNOT_BE_TOLD);
        assertThat(feed(watch, 1041, 1080, steady(12))).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, 1081, 1090, steady(9)))
                .as("measured by 12, not by 3")
                .isEqualTo(HOLDS);
    }

    // ---- while and settle

    @Test
    void readingsCountOnlyWhileTheConditionHoldsAndHasSettled() {
        FeatureWatch watch =
                new FeatureWatch(new Feature("made", lowCurrent(), List.of(RUNNING), Duration.ofMinutes(2), List.of()));
        int minute = 0;
        for (int hour = 0; hour < 40; hour++) {
            watch.told(0, minute * MINUTE, HOLDS);
            // Inrush at first, then the usual current for half an hour.
            for (int i = 0; i < 30; i++) {
                double value = i < 2 ? 60 : 12;
                watch.read(0, minute * MINUTE, value, QualityReason.NONE, true);
                watch.tell(minute * MINUTE);
                minute++;
            }
            watch.told(0, minute * MINUTE, DOES_NOT_HOLD);
            for (int i = 0; i < 30; i++) {
                watch.read(0, minute * MINUTE, 0, QualityReason.NONE, true);
                assertThat(watch.tell(minute * MINUTE)).as("standing still").isEqualTo(CANNOT_BE_TOLD);
                minute++;
            }
        }
        assertThat(watch.reason()).isEqualTo(QualityReason.DECLARED_INVALID);
        watch.told(0, minute * MINUTE, HOLDS);
        assertThat(feed(watch, minute, minute + 6, steady(12))).isEqualTo(CANNOT_BE_TOLD);
        assertThat(feed(watch, minute + 7, minute + 20, steady(12))).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(watch, minute + 21, minute + 30, steady(9))).isEqualTo(HOLDS);
    }

    // ---- shift

    private static Feature.Shift registers() {
        return new Feature.Shift(
                List.of(
                        new Feature.Neighbour(new Source("", "air"), 20, 0.1, 0),
                        new Feature.Neighbour(new Source("", "sink"), 21, 0.1, 0),
                        new Feature.Neighbour(new Source("", "fan"), 22, 1, 0),
                        new Feature.Neighbour(new Source("", "flow"), 23, 0.01, 0),
                        new Feature.Neighbour(new Source("", "pressure"), 24, 0.01, 0),
                        new Feature.Neighbour(new Source("", "supply"), 25, 0.01, 0)),
                0.1);
    }

    private static final double[] SCALES = {0.1, 0.1, 1, 0.01, 0.01, 0.01};

    private static IndicationState look(FeatureWatch watch, int minute, int... raw) {
        for (int i = 0; i < raw.length; i++) {
            watch.read(i, minute * MINUTE, raw[i] * SCALES[i], QualityReason.NONE, true);
        }
        return watch.tell(minute * MINUTE);
    }

    @Test
    void aShiftDoesNotEndBecauseValuesHaveMovedFar() {
        FeatureWatch watch = watch(registers());
        look(watch, 0, 220, 280, 2400, 85, 180, 2400);
        look(watch, 1, 220, 280, 2400, 85, 180, 2400);
        assertThat(look(watch, 2, 0, 220, 280, 2400, 85, 180)).isEqualTo(HOLDS);
        assertThat(look(watch, 300, 0, 300, 400, 1500, 20, 90))
                .as("after hours without a look nothing fits, neither here nor there")
                .isEqualTo(HOLDS);
        assertThat(look(watch, 301, 220, 280, 2400, 85, 180, 2400)).isEqualTo(DOES_NOT_HOLD);
    }

    @Test
    void registersThatAllShowTheirNeighboursValueAreShifted() {
        FeatureWatch watch = watch(registers());
        look(watch, 0, 220, 280, 2400, 85, 180, 2400);
        assertThat(look(watch, 1, 221, 282, 2410, 84, 181, 2398)).isEqualTo(DOES_NOT_HOLD);
        assertThat(look(watch, 2, 0, 221, 282, 2410, 84, 181))
                .as("one register later")
                .isEqualTo(HOLDS);
        assertThat(look(watch, 3, 0, 222, 280, 2405, 84, 182))
                .as("stays, and is not followed")
                .isEqualTo(HOLDS);
        assertThat(look(watch, 4, 220, 280, 2400, 85, 180, 2400))
                .as("corrected")
                .isEqualTo(DOES_NOT_HOLD);
        assertThat(look(watch, 5, 280, 2400, 85, 180, 2400, 7))
                .as("one register earlier")
                .isEqualTo(HOLDS);
    }

    @Test
    void valuesOutsideTheirRangeAndOfAnotherFirmwareCountForAShift() {
        FeatureWatch watch = watch(registers());
        look(watch, 0, 220, 280, 2400, 85, 180, 2400);
        int[] raw = {0, 220, 280, 2400, 85, 180};
        for (int i = 0; i < raw.length; i++) {
            QualityReason why = i == 3 ? QualityReason.OUTSIDE_RANGE : QualityReason.OTHER_FIRMWARE;
            watch.read(i, MINUTE, raw[i] * SCALES[i], why, true);
        }
        assertThat(watch.tell(MINUTE)).isEqualTo(HOLDS);
    }

    @Test
    void slowChangesAndSingleFaultsAreNoShift() {
        FeatureWatch watch = watch(registers());
        Random random = new Random(7);
        int minute = 0;
        for (; minute < 3000; minute++) {
            int air = (int) (150 + 100 * StrictMath.sin(minute / 500.0)) + random.nextInt(3);
            boolean flowLost = minute % 700 > 600;
            boolean fanStopped = minute % 900 > 700;
            IndicationState told = look(
                    watch,
                    minute,
                    air,
                    air + (fanStopped ? 350 : 60),
                    fanStopped ? 0 : 2400 + random.nextInt(40),
                    flowLost ? 2 : 85 + random.nextInt(3),
                    flowLost ? 35 : 180 + random.nextInt(3),
                    2400 + random.nextInt(5));
            assertThat(told).as("minute %s", minute).isNotEqualTo(HOLDS);
        }
    }

    @Test
    void aShiftIsHeldWhileTheShiftedValuesGoOnMoving() {
        FeatureWatch watch = watch(registers());
        look(watch, 0, 220, 280, 2400, 85, 180, 2400);
        for (int minute = 1; minute <= 120; minute++) {
            assertThat(look(watch, minute, 0, 220 + minute, 280 + minute, 2400, 85, 180))
                    .as("minute %s", minute)
                    .isEqualTo(HOLDS);
        }
        assertThat(look(watch, 121, 341, 401, 2400, 85, 180, 2400))
                .as("corrected")
                .isEqualTo(DOES_NOT_HOLD);
    }

    /** NAMUR NE 43: below 3.6 mA and above 21 mA a loop has failed, and the two are different faults. */
    @Test
    void whichWayALoopHasFailedIsToldApart() {
        for (Feature.Limit limit : Feature.Limit.values()) {
            FeatureWatch watch = watch(new Feature.Missing(VALUE, Duration.ofMinutes(5), limit));
            doubtful(watch, 0, QualityReason.LOOP_FAILED_HIGH);
            assertThat(doubtful(watch, 6, QualityReason.LOOP_FAILED_HIGH))
                    .isEqualTo(limit == Feature.Limit.HIGH ? HOLDS : DOES_NOT_HOLD);
            doubtful(watch, 7, QualityReason.LOOP_FAILED);
            assertThat(doubtful(watch, 13, QualityReason.LOOP_FAILED))
                    .isEqualTo(limit == Feature.Limit.LOW ? HOLDS : DOES_NOT_HOLD);
        }
    }

    @Test
    void aValueThatTheDeviceDoesNotGiveIsMissing() {
        FeatureWatch watch = watch(new Feature.Missing(VALUE, Duration.ofMinutes(5), null));
        assertThat(feed(watch, 0, 3, steady(20))).isEqualTo(DOES_NOT_HOLD);
        for (int minute = 4; minute <= 8; minute++) {
            assertThat(doubtful(watch, minute, QualityReason.NO_VALUE)).isEqualTo(DOES_NOT_HOLD);
        }
        assertThat(watch.wakeAt(8 * MINUTE)).isEqualTo(9 * MINUTE);
        assertThat(watch.tell(9 * MINUTE)).isEqualTo(HOLDS);
        assertThat(doubtful(watch, 10, QualityReason.UNREACHABLE))
                .as("a silent device says nothing of its sensors")
                .isEqualTo(CANNOT_BE_TOLD);
        assertThat(doubtful(watch, 11, QualityReason.LOOP_FAILED)).isEqualTo(HOLDS);
        assertThat(doubtful(watch, 12, QualityReason.DOUBTFUL))
                .as("there is one")
                .isEqualTo(DOES_NOT_HOLD);
    }

    @Test
    void aShiftIsSeenAcrossARestart() {
        FeatureWatch first = watch(registers());
        look(first, 0, 220, 280, 2400, 85, 180, 2400);
        look(first, 1, 220, 280, 2400, 85, 180, 2400);
        Learnt learnt = first.takeLearnt();
        assertThat(learnt).isNotNull();
        assertThat(first.takeLearnt()).as("not twice").isNull();
        FeatureWatch second = watch(registers());
        second.goOnFrom(learnt);
        assertThat(look(second, 0, 0, 221, 282, 2410, 84, 181)).isEqualTo(HOLDS);
    }

    // ---- unscheduled

    @Test
    void aCounterThatMovesTooSoonIsUnscheduled() {
        FeatureWatch watch = watch(new Feature.Unscheduled(VALUE, Duration.ofMinutes(60), 0.2, Duration.ofMinutes(30)));
        assertThat(feed(watch, 0, 59, steady(7))).isEqualTo(CANNOT_BE_TOLD);
        assertThat(feed(watch, 60, 119, steady(8)))
                .as("the first move has no one before")
                .isEqualTo(CANNOT_BE_TOLD);
        assertThat(sample(watch, 120, steady(9))).isEqualTo(DOES_NOT_HOLD);
        assertThat(sample(watch, 160, steady(10))).as("after 40 min").isEqualTo(HOLDS);
        assertThat(watch.wakeAt(160 * MINUTE)).isEqualTo(190 * MINUTE);
        assertThat(sample(watch, 190, steady(10))).isEqualTo(DOES_NOT_HOLD);
        assertThat(sample(watch, 209, steady(11)))
                .as("49 min are within the tolerance")
                .isEqualTo(DOES_NOT_HOLD);
    }

    @Test
    void aMoveThatMayHaveBeenMissedSaysNothing() {
        FeatureWatch watch = watch(new Feature.Unscheduled(VALUE, Duration.ofMinutes(60), 0.2, Duration.ofMinutes(30)));
        feed(watch, 0, 0, steady(7));
        feed(watch, 60, 60, steady(8));
        assertThat(feed(watch, 120, 120, steady(9))).isEqualTo(DOES_NOT_HOLD);
        watch.read(0, 150 * MINUTE, Double.NaN, QualityReason.UNREACHABLE, false);
        assertThat(watch.tell(150 * MINUTE)).isEqualTo(CANNOT_BE_TOLD);
        assertThat(feed(watch, 185, 185, steady(11))).isEqualTo(CANNOT_BE_TOLD);
        assertThat(feed(watch, 200, 200, steady(12)))
                .as("when the one before came is not known")
                .isEqualTo(CANNOT_BE_TOLD);
    }

    // ---- coincidence

    private static final Source FALL = new Source("", "fall");
    private static final Source FLOW = new Source("", "flow-low");

    private static FeatureWatch coincidence(boolean within) {
        return watch(new Feature.Coincidence(
                List.of(new Told(FALL, true), new Told(FLOW, true)), within ? Duration.ofMinutes(10) : null, null));
    }

    private static IndicationState told(FeatureWatch watch, int minute, IndicationState fall, IndicationState flow) {
        watch.told(0, minute * MINUTE, fall);
        watch.told(1, minute * MINUTE, flow);
        return watch.tell(minute * MINUTE);
    }

    @Test
    void indicationsThatHoldAtTheSameTimeCoincide() {
        FeatureWatch watch = coincidence(false);
        assertThat(told(watch, 0, HOLDS, CANNOT_BE_TOLD)).isEqualTo(CANNOT_BE_TOLD);
        assertThat(told(watch, 1, DOES_NOT_HOLD, CANNOT_BE_TOLD)).isEqualTo(DOES_NOT_HOLD);
        assertThat(told(watch, 2, HOLDS, HOLDS)).isEqualTo(HOLDS);
        assertThat(told(watch, 3, HOLDS, DOES_NOT_HOLD)).isEqualTo(DOES_NOT_HOLD);
    }

    @Test
    void whatBeganLongBeforeDoesNotCoincide() {
        FeatureWatch watch = coincidence(true);
        told(watch, 0, DOES_NOT_HOLD, DOES_NOT_HOLD);
        told(watch, 10, HOLDS, DOES_NOT_HOLD);
        assertThat(told(watch, 21, HOLDS, HOLDS)).isEqualTo(DOES_NOT_HOLD);
        told(watch, 30, DOES_NOT_HOLD, HOLDS);
        told(watch, 31, DOES_NOT_HOLD, DOES_NOT_HOLD);
        told(watch, 40, HOLDS, DOES_NOT_HOLD);
        assertThat(told(watch, 50, HOLDS, HOLDS)).isEqualTo(HOLDS);
    }

    @Test
    void aBeginningThatNobodySawCannotBeTold() {
        FeatureWatch watch = coincidence(true);
        told(watch, 0, CANNOT_BE_TOLD, DOES_NOT_HOLD);
        assertThat(told(watch, 1, HOLDS, HOLDS)).isEqualTo(CANNOT_BE_TOLD);
    }

    private static FeatureWatch remembered(Duration settle, Told... during) {
        return new FeatureWatch(new Feature(
                "made",
                new Feature.Coincidence(List.of(new Told(FALL, true)), null, Duration.ofMinutes(60)),
                List.of(during),
                settle,
                List.of()));
    }

    @Test
    void whatWasSoIsRememberedForItsTime() {
        FeatureWatch watch = remembered(Duration.ZERO);
        assertThat(one(watch, 0, DOES_NOT_HOLD))
                .as("it may have been so before anybody watched")
                .isEqualTo(CANNOT_BE_TOLD);
        assertThat(watch.wakeAt(0)).isEqualTo(60 * MINUTE);
        assertThat(one(watch, 60, DOES_NOT_HOLD)).isEqualTo(DOES_NOT_HOLD);
        assertThat(one(watch, 70, HOLDS)).isEqualTo(HOLDS);
        assertThat(one(watch, 100, DOES_NOT_HOLD)).as("it was so until now").isEqualTo(HOLDS);
        assertThat(watch.wakeAt(100 * MINUTE)).isEqualTo(160 * MINUTE);
        assertThat(watch.tell(159 * MINUTE)).isEqualTo(HOLDS);
        assertThat(watch.tell(160 * MINUTE)).isEqualTo(DOES_NOT_HOLD);
    }

    @Test
    void whatIsSoAgainIsRememberedFromItsLastEnd() {
        FeatureWatch watch = remembered(Duration.ZERO);
        one(watch, 0, HOLDS);
        one(watch, 10, DOES_NOT_HOLD);
        one(watch, 40, HOLDS);
        one(watch, 50, DOES_NOT_HOLD);
        assertThat(watch.tell(109 * MINUTE)).isEqualTo(HOLDS);
        assertThat(watch.tell(110 * MINUTE)).isEqualTo(DOES_NOT_HOLD);
    }

    @Test
    void aCoincidenceIsLookedForOnlyWhenThingsHaveSettled() {
        FeatureWatch watch = remembered(Duration.ofMinutes(5), new Told(FLOW, false));
        told(watch, 0, HOLDS, HOLDS);
        assertThat(told(watch, 10, HOLDS, DOES_NOT_HOLD)).as("not yet settled").isEqualTo(CANNOT_BE_TOLD);
        assertThat(watch.wakeAt(10 * MINUTE)).isEqualTo(15 * MINUTE);
        assertThat(told(watch, 12, HOLDS, HOLDS)).isEqualTo(CANNOT_BE_TOLD);
        told(watch, 20, HOLDS, DOES_NOT_HOLD);
        assertThat(watch.tell(25 * MINUTE)).isEqualTo(HOLDS);
        assertThat(told(watch, 30, DOES_NOT_HOLD, HOLDS))
                .as("remembered although it is not looked for")
                .isEqualTo(HOLDS);
    }

    private static IndicationState one(FeatureWatch watch, int minute, IndicationState state) {
        watch.told(0, minute * MINUTE, state);
        return watch.tell(minute * MINUTE);
    }

    // ---- fluctuation

    private static FeatureWatch swings() {
        return watch(new Feature.Fluctuation(VALUE, 2, 4, Duration.ofMinutes(60)));
    }

    @Test
    void aValueThatGoesUpAndDownOftenEnoughFluctuates() {
        FeatureWatch watch = swings();
        // Down at 10, up at 20, down at 30, up at 40: the fourth turning point is the one at 50.
        DoubleUnaryOperator saw = m -> (m / 10) % 2 < 1 ? 5 : 2;
        assertThat(feed(watch, 0, 49, saw)).isEqualTo(CANNOT_BE_TOLD);
        assertThat(sample(watch, 50, saw)).isEqualTo(HOLDS);
        assertThat(feed(watch, 51, 79, steady(2))).isEqualTo(HOLDS);
        assertThat(sample(watch, 80, steady(2)))
                .as("an hour after the first of the four")
                .isEqualTo(DOES_NOT_HOLD);
    }

    @Test
    void aDriftAStepAndSmallScatterAreNoFluctuation() {
        assertThat(feed(swings(), 0, 200, m -> m / 10)).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(swings(), 0, 200, m -> m < 100 ? 1 : 9)).isEqualTo(DOES_NOT_HOLD);
        assertThat(feed(swings(), 0, 200, noisy(5, 0.2, 3))).isEqualTo(DOES_NOT_HOLD);
    }

    // ---- follows

    private static final int DAY = 1_440;

    private static IndicationState follows(DoubleUnaryOperator difference, DoubleUnaryOperator with) {
        FeatureWatch watch =
                watch(new Feature.Follows(VALUE, OTHER, new Source("", "load"), 2, Duration.ofMinutes(DAY)));
        IndicationState told = CANNOT_BE_TOLD;
        for (int minute = 0; minute <= DAY + 30; minute += 10) {
            int at = minute;
            told = sample(watch, at, m -> 40 + difference.applyAsDouble(m), steady(40), with);
        }
        return told;
    }

    private static double daily(double minute, double peakAt) {
        return Math.cos(2 * Math.PI * (minute - peakAt) / DAY);
    }

    @Test
    void whatRisesAndFallsWithTheLoadFollowsIt() {
        assertThat(follows(m -> 10 + 3 * daily(m, 600), m -> 60 + 20 * daily(m, 600)))
                .isEqualTo(HOLDS);
        assertThat(follows(m -> 10 + 3 * daily(m, 600) + m / 100, m -> 60 + 20 * daily(m, 600)))
                .as("and grows besides")
                .isEqualTo(HOLDS);
    }

    @Test
    void aDriftFollowsNothing() {
        assertThat(follows(m -> m / 100, m -> 60 + 20 * daily(m, 600))).isEqualTo(DOES_NOT_HOLD);
        for (int peak = 0; peak < DAY; peak += 60) {
            int at = peak;
            assertThat(follows(m -> 14 * m / DAY, m -> 60 + 20 * daily(m, at)))
                    .as("whenever the load has its peak: %s", peak)
                    .isEqualTo(DOES_NOT_HOLD);
        }
        assertThat(follows(m -> 10 - 3 * daily(m, 600), m -> 60 + 20 * daily(m, 600)))
                .as("the other way round")
                .isEqualTo(DOES_NOT_HOLD);
        assertThat(follows(m -> 10 + 0.5 * daily(m, 600), m -> 60 + 20 * daily(m, 600)))
                .as("too little")
                .isEqualTo(DOES_NOT_HOLD);
    }

    /**
     * The answer against the textbook formula of a partial correlation, given time: (r12 - r13 r23) / sqrt((1 - r13^2)
     * (1 - r23^2)), as in any text on statistics (from memory).
     */
    @ParameterizedTest
    @ValueSource(longs = {1, 2, 3, 4, 5, 6, 7, 8})
    void followingIsAPartialCorrelationGivenTime(long seed) {
        Random random = new Random(seed * 0x9E3779B97F4A7C15L);
        int parts = 48;
        double[] difference = new double[parts];
        double[] with = new double[parts];
        double[] time = new double[parts];
        double common = random.nextDouble() * 3;
        for (int i = 0; i < parts; i++) {
            double shared = random.nextGaussian();
            difference[i] = common * shared + random.nextGaussian() + i * random.nextDouble() / 5;
            with[i] = common * shared + random.nextGaussian() - i / 10.0;
            time[i] = i;
        }
        double r12 = correlation(difference, with);
        double r13 = correlation(difference, time);
        double r23 = correlation(with, time);
        double partial = (r12 - r13 * r23) / Math.sqrt((1 - r13 * r13) * (1 - r23 * r23));

        IndicationState told = follows(
                m -> 100 * difference[(int) Math.min(parts - 1, m / 30)], m -> with[(int) Math.min(parts - 1, m / 30)]);

        assertThat(told).as("partial correlation %s", partial).isEqualTo(partial >= 0.7 ? HOLDS : DOES_NOT_HOLD);
    }

    private static double correlation(double[] a, double[] b) {
        double meanA = java.util.Arrays.stream(a).average().orElseThrow();
        double meanB = java.util.Arrays.stream(b).average().orElseThrow();
        double both = 0;
        double squaresA = 0;
        double squaresB = 0;
        for (int i = 0; i < a.length; i++) {
            both += (a[i] - meanA) * (b[i] - meanB);
            squaresA += (a[i] - meanA) * (a[i] - meanA);
            squaresB += (b[i] - meanB) * (b[i] - meanB);
        }
        return both / Math.sqrt(squaresA * squaresB);
    }

    // ---- bad input, all kinds

    @ParameterizedTest
    @ValueSource(strings = {"UNREACHABLE", "STALE", "DOUBTFUL", "SATURATED", "IN_MAINTENANCE", "WORTHLESS", "NO_VALUE"})
    void badOrDoubtfulInputCannotBeTold(String written) {
        QualityReason why = QualityReason.valueOf(written);
        for (Feature.Shape shape : List.of(plateau(false), lowCurrent())) {
            FeatureWatch watch = watch(shape);
            assertThat(feed(watch, 0, 600, steady(5))).isNotEqualTo(CANNOT_BE_TOLD);
            assertThat(doubtful(watch, 601, why)).as("%s", shape).isEqualTo(CANNOT_BE_TOLD);
            assertThat(watch.reason()).isEqualTo(why);
            assertThat(feed(watch, 602, 602, steady(5)))
                    .as("a short gap takes nothing away: %s", shape)
                    .isNotEqualTo(CANNOT_BE_TOLD);
        }
    }

    @Test
    void aSilenceOfMoreThanHalfTheWindowBeginsItAnew() {
        FeatureWatch watch = watch(plateau(false));
        assertThat(feed(watch, 0, 40, steady(5))).isEqualTo(HOLDS);
        assertThat(sample(watch, 56, steady(5))).as("16 min of silence").isEqualTo(CANNOT_BE_TOLD);
    }
}
