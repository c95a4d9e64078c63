package oilbird.alarm.transformer.gas;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.time.Instant;
import java.util.List;
import oilbird.alarm.transformer.Equipment;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Fluid;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.Samples;
import oilbird.alarm.transformer.SensorKind;
import oilbird.alarm.transformer.TapChanger;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.Why;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

/** Bad input: each case has a named refusal or a stated treatment. The treatments are ours. */
class GasSampleTest {
    private static final TransformerFacts FACTS = TransformerFacts.mineralOilTransformer();

    private static Finding<GasSample> sample(GasReading... readings) {
        return GasSample.of(Samples.NOON, Samples.LABORATORY, List.of(readings));
    }

    private static GasReading reading(Gas gas, double value, GasUnit unit) {
        return new GasReading(gas, value, unit, GasReading.Flag.VALUE);
    }

    @Test
    void aNegativeValueBeyondTheDetectionLimitIsLeftOutAndASmallOneIsBelowDetection() {
        Finding<GasSample> found =
                sample(GasReading.ppm(Gas.H2, -4), GasReading.ppm(Gas.CH4, -30), GasReading.ppm(Gas.CO, 100));
        GasSample sample = Samples.told(found);
        assertThat(sample.of(Gas.H2)).isEqualTo(new Concentration.BelowDetection(5));
        assertThat(sample.of(Gas.CH4)).isNull();
        assertThat(sample.leftOut()).containsEntry(Gas.CH4, Why.NEGATIVE_VALUE);
        assertThat(Samples.remarks(found))
                .contains(Remark.Kind.NEGATIVE_TAKEN_AS_BELOW_DETECTION, Remark.Kind.VALUE_LEFT_OUT);
    }

    @Test
    void aMissingValueOrOneThatIsNoNumberIsNamedWhereAMethodNeedsIt() {
        GasSample sample = Samples.told(sample(
                GasReading.ppm(Gas.H2, 100),
                GasReading.ppm(Gas.CH4, Double.NaN),
                new GasReading(Gas.C2H4, null, GasUnit.MICROLITRE_PER_LITRE, GasReading.Flag.VALUE),
                GasReading.ppm(Gas.C2H2, 5)));
        MethodAnswer answer = GasMethods.answer(Method.TRIANGLE_1, FACTS, sample, Choices.STANDING);
        assertThat(answer).isInstanceOfSatisfying(MethodAnswer.Untold.class, untold -> {
            assertThat(untold.why()).isEqualTo(Why.NOT_A_NUMBER);
            assertThat(untold.detail()).isEqualTo("methane");
        });
        assertThat(sample.leftOut()).containsEntry(Gas.C2H4, Why.MISSING_VALUE);
    }

    @Test
    void volumeUnitsMayBeMixedWhileMassAndUnstatedUnitsAreLeftOut() {
        Finding<GasSample> found = sample(
                reading(Gas.H2, 0.01, GasUnit.PERCENT_VOLUME),
                reading(Gas.CH4, 2, GasUnit.MICROMOLE_PER_LITRE),
                reading(Gas.C2H4, 30, GasUnit.MILLIGRAM_PER_KILOGRAM),
                reading(Gas.C2H2, 30, GasUnit.UNSTATED));
        GasSample sample = Samples.told(found);
        assertThat(sample.nominal(Gas.H2)).isCloseTo(100, within(1e-9));
        // Ideal gas law at 20 C and 101.325 kPa: 8.314462 x 293.15 / 101.325 = 24.055 litre a mole.
        assertThat(sample.nominal(Gas.CH4)).isCloseTo(2 * 8.314462 * 293.15 / 101.325, within(1e-3));
        assertThat(sample.leftOut())
                .containsEntry(Gas.C2H4, Why.UNIT_NOT_CONVERTIBLE)
                .containsEntry(Gas.C2H2, Why.UNIT_UNKNOWN);
        assertThat(Samples.remarks(found)).contains(Remark.Kind.UNIT_CONVERTED);
    }

    @Test
    void aSaturatedGasStillDecidesALevelButEntersNoRatio() {
        GasSample sample = Samples.told(sample(
                new GasReading(Gas.H2, 3000.0, GasUnit.MICROLITRE_PER_LITRE, GasReading.Flag.SATURATED),
                GasReading.ppm(Gas.CH4, 50),
                GasReading.ppm(Gas.C2H6, 10),
                GasReading.ppm(Gas.C2H4, 10),
                GasReading.ppm(Gas.C2H2, 1)));
        assertThat(GasMethods.answer(Method.IEC_RATIOS, FACTS, sample, Choices.STANDING))
                .isInstanceOfSatisfying(
                        MethodAnswer.Untold.class,
                        untold -> assertThat(untold.why()).isEqualTo(Why.SATURATED));
        GuideStatus2019 status = Samples.told(
                GuideStatus2019.of(FACTS, sample, null, List.of(), Choices.STANDING, MeasurementError.USUAL));
        assertThat(status.status()).isEqualTo(3);
        assertThat(status.exceedances().get(0).gas()).isEqualTo(Gas.H2);
    }

    @Test
    void aGasGivenTwiceCountsOnceWithOneValueAndNotAtAllWithTwo() {
        Finding<GasSample> found = sample(
                GasReading.ppm(Gas.H2, 100),
                GasReading.ppm(Gas.H2, 100),
                GasReading.ppm(Gas.CH4, 100),
                GasReading.ppm(Gas.CH4, 101));
        assertThat(Samples.told(found).gases()).containsOnlyKeys(Gas.H2);
        assertThat(Samples.told(found).leftOut()).containsEntry(Gas.CH4, Why.CONTRADICTING_VALUES);
        assertThat(Samples.remarks(found)).contains(Remark.Kind.DUPLICATE_DROPPED);
    }

    @Test
    void whatCannotBeASampleIsRefusedByName() {
        assertThat(Samples.why(sample())).isEqualTo(Why.MISSING_VALUE);
        assertThat(Samples.why(sample(GasReading.ppm(Gas.H2, -50)))).isEqualTo(Why.NEGATIVE_VALUE);
        assertThat(Samples.why(sample(GasReading.ppm(Gas.H2, 2e6)))).isEqualTo(Why.IMPOSSIBLE_VALUE);
        assertThat(Samples.why(sample(GasReading.ppm(Gas.H2, Double.POSITIVE_INFINITY))))
                .isEqualTo(Why.NOT_A_NUMBER);
        assertThat(Samples.why(GasSample.of(Instant.MAX, Samples.LABORATORY, List.of(GasReading.ppm(Gas.H2, 10)))))
                .isEqualTo(Why.IMPOSSIBLE_VALUE);
        SampleSource composite = new SampleSource("t2", SampleSource.Origin.MONITOR, SensorKind.COMPOSITE);
        assertThat(Samples.why(GasSample.of(Samples.NOON, composite, List.of(GasReading.ppm(Gas.H2, 10)))))
                .isEqualTo(Why.COMPOSITE_SENSOR);
    }

    @Test
    void aHydrogenSensorHasNoOtherGasWhateverItsRegistersSay() {
        SampleSource source = new SampleSource("t2", SampleSource.Origin.MONITOR, SensorKind.HYDROGEN_ONLY);
        GasSample sample = Samples.told(GasSample.of(Samples.NOON, source, Samples.readings(120, 30, 20, 10, 5)));
        assertThat(sample.gases()).containsOnlyKeys(Gas.H2);
        assertThat(why(GasMethods.answer(Method.TRIANGLE_1, FACTS, sample, Choices.STANDING)))
                .isEqualTo(Why.NOT_MEASURED);
    }

    @Test
    void everyDisputedCellHasAKeyOfItsOwnAndFlipsAloneAndBack() {
        assertThat(DisputedCell.values()).hasSizeLessThan(32);
        for (DisputedCell cell : DisputedCell.values()) {
            Choices flipped = Choices.STANDING.flipped(cell);
            for (DisputedCell other : DisputedCell.values()) {
                assertThat(flipped.alternative(other)).isEqualTo(other == cell);
            }
            assertThat(flipped.flipped(cell)).isEqualTo(Choices.STANDING);
            assertThat(cell.standing()).isNotEqualTo(cell.alternative());
        }
    }

    @Test
    void figuresForPeopleAreRoundedHalfUpWithoutExponentOrMinusZero() {
        assertThat(Figures.of(2.345, 1)).isEqualTo("2.3");
        assertThat(Figures.of(0.25, 1)).isEqualTo("0.3");
        assertThat(Figures.of(-0.001, 1)).isEqualTo("0.0");
        assertThat(Figures.of(1e12, 0)).isEqualTo("1000000000000");
        assertThat(Figures.of(Double.NaN, 1)).isEqualTo("no figure");
        assertThat(Figures.of(Double.POSITIVE_INFINITY, 1)).isEqualTo("unbounded");
        assertThat(Figures.ppm(4.44)).isEqualTo("4.4 ppm");
        assertThat(Figures.ppm(44.4)).isEqualTo("44 ppm");
    }

    @ParameterizedTest
    @EnumSource(Method.class)
    void everyMethodRefusesAllZeroMissingGasesAndOtherFluids(Method method) {
        assertThat(why(GasMethods.answer(method, FACTS, Samples.five(0, 0, 0, 0, 0), Choices.STANDING)))
                .isEqualTo(Why.ALL_ZERO);
        GasSample hydrogen = Samples.told(sample(GasReading.ppm(Gas.H2, 900)));
        assertThat(why(GasMethods.answer(method, FACTS, hydrogen, Choices.STANDING)))
                .isEqualTo(Why.MISSING_VALUE);
        for (Fluid fluid : Fluid.values()) {
            TransformerFacts facts =
                    new TransformerFacts(fluid, Equipment.POWER_TRANSFORMER, TapChanger.NONE, null, List.of());
            MethodAnswer answer =
                    GasMethods.answer(method, facts, Samples.five(1500, 395, 28, 395, 323), Choices.STANDING);
            if (fluid == Fluid.MINERAL_OIL) {
                assertThat(answer.shortLabel()).isNotEmpty();
            } else {
                assertThat(why(answer)).isIn(Why.FLUID_NOT_COVERED, Why.FLUID_UNKNOWN);
            }
        }
    }

    @Test
    void hydrogenAndEthaneWithoutTriangleOneGasesDoNotBreakTheLaterTriangles() {
        GasSample sample = Samples.five(500, 0, 40, 0, 0);
        assertThat(why(GasMethods.answer(Method.TRIANGLE_4, FACTS, sample, Choices.STANDING)))
                .isEqualTo(Why.ALL_ZERO);
        assertThat(why(GasMethods.answer(Method.TRIANGLE_5, FACTS, sample, Choices.STANDING)))
                .isEqualTo(Why.ALL_ZERO);
    }

    @Test
    void anAnswerOnOneGasOrNearDetectionSaysSo() {
        MethodAnswer one =
                GasMethods.answer(Method.TRIANGLE_1, FACTS, Samples.five(900, 60, 0, 0, 0), Choices.STANDING);
        assertThat(one).isInstanceOfSatisfying(MethodAnswer.Told.class, told -> {
            assertThat(told.label()).isEqualTo("PD");
            assertThat(told.remarks())
                    .extracting(Remark::kind)
                    .contains(Remark.Kind.SINGLE_GAS, Remark.Kind.BELOW_DETECTION);
        });
        MethodAnswer weak =
                GasMethods.answer(Method.TRIANGLE_1, FACTS, Samples.five(900, 4, 0, 60, 3), Choices.STANDING);
        assertThat(weak)
                .isInstanceOfSatisfying(
                        MethodAnswer.Told.class,
                        told -> assertThat(told.remarks())
                                .extracting(Remark::kind)
                                .contains(Remark.Kind.NEAR_DETECTION));
    }

    @Test
    void anAnswerThatHangsOnADisputedCellSaysOnWhichAndWhatItWouldBe() {
        // Triangle 4: methane 50 %, ethane 10 %: C by the polygon, nothing by the rule table.
        MethodAnswer answer =
                GasMethods.answer(Method.TRIANGLE_4, FACTS, Samples.five(400, 500, 100, 20, 0), Choices.STANDING);
        assertThat(answer).isInstanceOfSatisfying(MethodAnswer.Told.class, told -> {
            assertThat(told.label()).isEqualTo("C");
            assertThat(told.remarks())
                    .filteredOn(remark -> remark.kind() == Remark.Kind.HANGS_ON_DISPUTED)
                    .singleElement()
                    .satisfies(remark -> assertThat(remark.sentence()).contains("triangle-4-c", "otherwise NONE"));
        });
        // Basic ratios: CH4/H2 of exactly 0.5 belongs to D1 only when the bound does; C2H2/C2H4 of 3 keeps D2 out.
        MethodAnswer bound =
                GasMethods.answer(Method.IEC_RATIOS, FACTS, Samples.five(400, 200, 10, 100, 300), Choices.STANDING);
        assertThat(bound.possibleFaults()).containsExactly(Fault.D1);
        assertThat(bound)
                .isInstanceOfSatisfying(
                        MethodAnswer.Told.class,
                        told -> assertThat(told.remarks())
                                .extracting(Remark::kind)
                                .contains(Remark.Kind.HANGS_ON_DISPUTED));
    }

    private static Why why(MethodAnswer answer) {
        if (answer instanceof MethodAnswer.Untold untold) {
            return untold.why();
        }
        throw new AssertionError(answer.toString());
    }
}
