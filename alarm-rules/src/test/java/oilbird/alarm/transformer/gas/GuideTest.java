package oilbird.alarm.transformer.gas;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
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
import oilbird.alarm.transformer.gas.GuideTables2019.Age;
import oilbird.alarm.transformer.gas.GuideTables2019.OxygenSide;
import oilbird.alarm.transformer.gas.GuideTables2019.Period;
import org.junit.jupiter.api.Test;

/** IEEE C57.104-2019 and -2008 and the typical values of IEC 60599 against their tables. */
class GuideTest {
    private static final TransformerFacts FACTS = TransformerFacts.mineralOilTransformer();

    @Test
    void everyCellOfTheFourTablesIsTheOneOfTheReference() {
        // ieee_c57104_2019_tables.csv: A, but for four disputed cells of table 2 and the whole of table 4, where
        // the standing reading is the file's.
        int cells = 0;
        int disputed = 0;
        for (Map<String, String> row : Table.rows("ieee_c57104_2019_tables.csv")) {
            Gas gas = Gas.valueOf(Table.text(row, "gas").toUpperCase(Locale.ROOT));
            OxygenSide side = Table.text(row, "o2n2").contains("<=") ? OxygenSide.UP_TO : OxygenSide.ABOVE;
            String column = Table.text(row, "age_or_period");
            String text = Table.text(row, "value");
            double value = text.startsWith("any") ? 0 : Double.parseDouble(text);
            String table = Table.text(row, "table");
            double ours = switch (table) {
                case "table1_90pct_level" -> GuideTables2019.level90(side, age(column), gas);
                case "table2_95pct_level" -> GuideTables2019.level95(side, age(column), gas, Choices.STANDING);
                case "table3_delta" -> GuideTables2019.delta(side, gas);
                case "table4_rate" -> GuideTables2019.rate(side, period(column), gas, Choices.STANDING);
                default -> throw new AssertionError(table);
            };
            assertThat(ours).as(row.toString()).isEqualTo(value);
            boolean cellDisputed = Table.text(row, "confidence").startsWith("DISPUTED");
            if (table.startsWith("table2")) {
                assertThat(GuideTables2019.disputed95(side, age(column), gas) != null)
                        .as(row.toString())
                        .isEqualTo(cellDisputed);
            }
            disputed += cellDisputed ? 1 : 0;
            cells++;
        }
        assertThat(cells).isEqualTo(154);
        assertThat(disputed).isEqualTo(4 + 28);
    }

    private static Age age(String column) {
        return switch (column) {
            case "unknown" -> Age.UNKNOWN;
            case "y1_9" -> Age.YEARS_1_9;
            case "y10_30" -> Age.YEARS_10_30;
            case "gt30" -> Age.OVER_30;
            default -> throw new AssertionError(column);
        };
    }

    private static Period period(String column) {
        return column.equals("m4_9") ? Period.MONTHS_4_9 : Period.MONTHS_10_24;
    }

    @Test
    void theAlternativesOfDisputedCellsAreThoseOfTheOtherCopies() {
        assertThat(GuideTables2019.level95(
                        OxygenSide.ABOVE,
                        Age.YEARS_1_9,
                        Gas.CH4,
                        Choices.STANDING.flipped(DisputedCell.GUIDE_95_METHANE_YOUNG)))
                .isEqualTo(30);
        assertThat(GuideTables2019.level95(
                        OxygenSide.UP_TO,
                        Age.OVER_30,
                        Gas.C2H6,
                        Choices.STANDING.flipped(DisputedCell.GUIDE_95_ETHANE_OLD)))
                .isEqualTo(175);
        assertThat(GuideTables2019.rate(
                        OxygenSide.UP_TO,
                        Period.MONTHS_4_9,
                        Gas.H2,
                        Choices.STANDING.flipped(DisputedCell.GUIDE_RATE_SECTIONS)))
                .isEqualTo(25);
    }

    /** Free-breathing (O2/N2 0.35), so the side above 0.2; of unknown age. */
    private static GasSample sample(Instant at, double h2, double ch4, double c2h2) {
        List<GasReading> readings = new ArrayList<>(Samples.readings(h2, ch4, 3, 10, c2h2));
        readings.add(GasReading.ppm(Gas.CO, 200));
        readings.add(GasReading.ppm(Gas.CO2, 2000));
        readings.add(GasReading.ppm(Gas.O2, 21_000));
        readings.add(GasReading.ppm(Gas.N2, 60_000));
        return Samples.told(GasSample.of(at, Samples.LABORATORY, readings));
    }

    private static Finding<GuideStatus2019> status(
            GasSample sample, @org.jspecify.annotations.Nullable GasSample previous, List<GuideRate> rates) {
        return GuideStatus2019.of(FACTS, sample, previous, rates, Choices.STANDING, MeasurementError.USUAL);
    }

    @Test
    void theStatusFollowsTheFourTablesAndNamesTheDecidingGas() {
        // The order of the three steps is confidence B; limits from the tables for O2/N2 > 0.2, unknown age.
        Instant at = Samples.NOON;
        GasSample quiet = sample(at, 20, 5, 0);
        assertThat(Samples.told(status(quiet, null, List.of())).status()).isEqualTo(1);

        GuideStatus2019 above90 = Samples.told(status(sample(at, 50, 5, 0), null, List.of()));
        assertThat(above90.status()).isEqualTo(2);
        assertThat(above90.exceedances().get(0))
                .isEqualTo(new GuideStatus2019.Exceedance(Gas.H2, GuideStatus2019.Table.LEVEL_90, 50, 40, 2));

        GuideStatus2019 above95 = Samples.told(status(sample(at, 50, 55, 0), null, List.of()));
        assertThat(above95.status()).isEqualTo(3);
        assertThat(above95.exceedances().get(0).gas()).isEqualTo(Gas.CH4);
        assertThat(above95.exceedances()).hasSize(2);

        GasSample before = sample(at.minus(Duration.ofDays(30)), 2, 5, 0);
        GuideStatus2019 rise = Samples.told(status(sample(at, 30, 5, 0), before, List.of()));
        assertThat(rise.status()).isEqualTo(2);
        assertThat(rise.exceedances().get(0).table()).isEqualTo(GuideStatus2019.Table.DELTA);

        GuideRate fast = new GuideRate(Gas.CH4, 5, 0.5, 4, 6);
        GuideStatus2019 rate = Samples.told(status(quiet, null, List.of(fast)));
        assertThat(rate.status()).isEqualTo(3);
        assertThat(rate.exceedances().get(0))
                .isEqualTo(new GuideStatus2019.Exceedance(Gas.CH4, GuideStatus2019.Table.RATE, 5, 4, 3));
        assertThat(Samples.told(status(sample(at, 50, 5, 0), null, List.of(fast)))
                        .status())
                .as("rates count only while all gases are below table 1")
                .isEqualTo(2);
    }

    @Test
    void anyIncreaseOfAcetyleneIsReadAsMoreThanOneDetectionLimitAndSaysWhenThatDecides() {
        GasSample before = sample(Samples.NOON.minus(Duration.ofDays(30)), 20, 5, 0.4);
        GasSample after = sample(Samples.NOON, 20, 5, 1.2);
        Finding<GuideStatus2019> found = status(after, before, List.of());
        assertThat(Samples.told(found).status()).isEqualTo(1);
        assertThat(Samples.remarks(found)).contains(Remark.Kind.HANGS_ON_DISPUTED);
        assertThat(Samples.told(status(sample(Samples.NOON, 20, 5, 1.6), before, List.of()))
                        .status())
                .isEqualTo(2);
    }

    @Test
    void aStatusWithinTheMeasurementErrorOfItsLimitSaysSo() {
        assertThat(Samples.remarks(status(sample(Samples.NOON, 38, 5, 0), null, List.of())))
                .contains(Remark.Kind.CHANGES_WITHIN_ERROR);
        assertThat(Samples.remarks(status(sample(Samples.NOON, 20, 5, 1.5), null, List.of())))
                .as("acetylene near its detection limit")
                .contains(Remark.Kind.CHANGES_WITHIN_ERROR);
        assertThat(Samples.remarks(status(sample(Samples.NOON, 20, 5, 0), null, List.of())))
                .doesNotContain(Remark.Kind.CHANGES_WITHIN_ERROR);
    }

    @Test
    void ageOxygenAndTreatmentGateTheComparison() {
        TransformerFacts old = new TransformerFacts(
                Fluid.MINERAL_OIL,
                Equipment.POWER_TRANSFORMER,
                TapChanger.NONE,
                Instant.parse("1980-01-01T00:00:00Z"),
                List.of(new TrendRestart(
                        Samples.NOON.minus(Duration.ofDays(10)), TrendRestart.Cause.OIL_TREATMENT, null)));
        GasSample before = sample(Samples.NOON.minus(Duration.ofDays(30)), 2, 5, 0);
        Finding<GuideStatus2019> found = GuideStatus2019.of(
                old, sample(Samples.NOON, 30, 5, 0), before, List.of(), Choices.STANDING, MeasurementError.USUAL);
        assertThat(Samples.told(found).age()).isEqualTo(Age.OVER_30);
        assertThat(Samples.told(found).side()).isEqualTo(OxygenSide.ABOVE);
        assertThat(Samples.told(found).status())
                .as("the change over a treatment is none")
                .isEqualTo(1);
        assertThat(Samples.remarks(found)).contains(Remark.Kind.AFTER_TREATMENT, Remark.Kind.RESTARTED);

        Finding<GuideStatus2019> unknown = status(Samples.five(20, 5, 3, 10, 0), null, List.of());
        assertThat(Samples.told(unknown).side()).isEqualTo(OxygenSide.ABOVE);
        assertThat(Samples.remarks(unknown)).contains(Remark.Kind.DEFAULT_TAKEN, Remark.Kind.VALUE_LEFT_OUT);

        TransformerFacts bushing =
                new TransformerFacts(Fluid.MINERAL_OIL, Equipment.BUSHING, TapChanger.NONE, null, List.of());
        assertThat(Samples.why(GuideStatus2019.of(
                        bushing,
                        Samples.five(1, 1, 1, 1, 1),
                        null,
                        List.of(),
                        Choices.STANDING,
                        MeasurementError.USUAL)))
                .isEqualTo(Why.EQUIPMENT_NOT_COVERED);
    }

    @Test
    void theFourConditionsOf2008AreThoseOfTheTableAndCarbonDioxideIsNoPartOfTheSum() {
        // ieee_c57104_2008_conditions.csv (B).
        List<Map<String, String>> rows = Table.rows("ieee_c57104_2008_conditions.csv");
        assertThat(rows).hasSize(4);
        for (int condition = 1; condition <= 3; condition++) {
            Map<String, String> row = rows.get(condition - 1);
            for (Gas gas : GuideTables2019.GASES) {
                String cell = Table.text(row, gas.name().toLowerCase(Locale.ROOT));
                double end = Double.parseDouble(cell.replaceAll(".*[-=]", ""));
                assertThat(Conditions2008.limits(gas)[condition - 1])
                        .as(gas + cell)
                        .isEqualTo(end);
                assertThat(condition(gas, end)).isEqualTo(condition);
                assertThat(condition(gas, end * 1.001)).isEqualTo(condition + 1);
            }
        }
        List<GasReading> readings = new ArrayList<>(Samples.readings(90, 110, 60, 45, 0));
        readings.add(GasReading.ppm(Gas.CO, 340));
        readings.add(GasReading.ppm(Gas.CO2, 2400));
        readings.add(GasReading.ppm(Gas.N2, 60_000));
        Conditions2008 all = Samples.told(
                Conditions2008.of(FACTS, Samples.told(GasSample.of(Samples.NOON, Samples.LABORATORY, readings))));
        assertThat(all.tdcgPpm()).isCloseTo(645, within(1e-9));
        assertThat(all.condition()).isEqualTo(1);
    }

    private static int condition(Gas gas, double ppm) {
        GasSample sample =
                Samples.told(GasSample.of(Samples.NOON, Samples.LABORATORY, List.of(GasReading.ppm(gas, ppm))));
        Integer condition =
                Samples.told(Conditions2008.of(FACTS, sample)).byGas().get(gas);
        return condition == null ? 0 : condition;
    }

    @Test
    void theSumOfCombustibleGasesAloneMayDecide() {
        List<GasReading> readings = new ArrayList<>(Samples.readings(100, 120, 65, 50, 1));
        readings.add(GasReading.ppm(Gas.CO, 350));
        assertThat(Samples.told(Conditions2008.of(
                                FACTS, Samples.told(GasSample.of(Samples.NOON, Samples.LABORATORY, readings))))
                        .tdcgCondition())
                .isEqualTo(1);
        for (double[] edge : new double[][] {{720, 1}, {721, 2}, {1920, 2}, {1921, 3}, {4630, 3}, {4631, 4}}) {
            GasSample one = Samples.told(
                    GasSample.of(Samples.NOON, Samples.LABORATORY, List.of(GasReading.ppm(Gas.CO, edge[0]))));
            assertThat(Samples.told(Conditions2008.of(FACTS, one)).tdcgCondition())
                    .isEqualTo((int) edge[1]);
        }
    }

    @Test
    void typicalValuesAreThoseOfTheTable() {
        // iec60599_typical.csv, IEC 60599 Table A.2: concentrations A, rates B, one acetylene rate M; Tables A.7,
        // A.8 and A.11 from one source (1).
        Map<Gas, Integer> checked = new EnumMap<>(Gas.class);
        for (Map<String, String> row : Table.rows("iec60599_typical.csv")) {
            String subset = Table.text(row, "subset");
            String table = Table.text(row, "table");
            Equipment equipment = switch (subset) {
                case "CT", "CT and VT" -> Equipment.CURRENT_TRANSFORMER;
                case "VT" -> Equipment.VOLTAGE_TRANSFORMER;
                case "bushings" -> Equipment.BUSHING;
                default -> Equipment.POWER_TRANSFORMER;
            };
            TypicalValues values = TypicalValues.iec60599(
                    equipment, subset.equals("communicating OLTC") ? TapChanger.COMMUNICATING : TapChanger.NONE);
            for (Gas gas : GuideTables2019.GASES) {
                String cell = Table.text(row, gas.name().toLowerCase(Locale.ROOT));
                if (table.startsWith("A.8")) {
                    assertThat(TypicalValues.admissibleInSealedInstrumentTransformer(gas))
                            .as(row.toString())
                            .isEqualTo(Double.parseDouble(cell));
                    checked.merge(gas, 1, Integer::sum);
                } else if (!cell.isEmpty()) {
                    // "<S-5": from the detection limit S, which is 1 ppm here, to 5.
                    String[] ends = cell.replace("<S", "1").split("-", 2);
                    TypicalValues.Range range =
                            new TypicalValues.Range(Double.parseDouble(ends[0]), Double.parseDouble(ends[1]));
                    assertThat(table.contains("rate") ? values.yearlyRate(gas) : values.concentration(gas))
                            .as(row.toString())
                            .isEqualTo(range);
                    checked.merge(gas, 1, Integer::sum);
                }
            }
        }
        assertThat(checked.values().stream().mapToInt(Integer::intValue).sum()).isEqualTo(16 + 7 + 3 + 7 + 7);
    }

    @Test
    void partialDischargeHasALimitOfItsOwnInInstrumentTransformersAndBushings() {
        // IEC 60599:2022 Table 1 note 3 (B): CH4/H2 0.2 and 0.07.
        double[][] cases = {{0.08, 1, 1, 1, 0}, {0.15, 0, 1, 1, 0}, {0.06, 1, 1, 1, 1}};
        for (double[] c : cases) {
            for (Equipment equipment : Equipment.values()) {
                int rows = IecRatios.rows(1000, 1000 * c[0], 100, 1, 0, equipment, Choices.STANDING);
                assertThat(IecRatios.faults(rows).contains(Fault.PD))
                        .as("%s in %s", c[0], equipment)
                        .isEqualTo(c[1 + equipment.ordinal()] == 1);
            }
        }
    }

    @Test
    void theQuotientsReadBesideTheRatiosSayWhatTheyMeanAndWhatTheyHangOn() {
        // Limits: CO2/CO 3 (B), 10 with 10 000 ppm (M); O2/N2 0.3 (M); C2H2/H2 2 to 3 (A) with 30 ppm (M).
        Finding<Double> paper = carbon(500, 1000, Choices.STANDING);
        assertThat(Samples.told(paper)).isCloseTo(2, within(1e-12));
        assertThat(Samples.remarks(paper)).contains(Remark.Kind.PAPER, Remark.Kind.HANGS_ON_DISPUTED);
        Choices edition2015 = Choices.STANDING.flipped(DisputedCell.IEC_CO2_CO_NEEDS_CO);
        assertThat(Samples.remarks(carbon(500, 1000, edition2015))).doesNotContain(Remark.Kind.PAPER);
        assertThat(Samples.remarks(carbon(1200, 2400, edition2015))).contains(Remark.Kind.PAPER);
        assertThat(Samples.remarks(carbon(900, 12_000, Choices.STANDING)))
                .contains(Remark.Kind.PAPER, Remark.Kind.FROM_MEMORY);
        assertThat(Samples.remarks(carbon(500, 3000, Choices.STANDING))).isEmpty();
        assertThat(Samples.why(carbon(30, 300, Choices.STANDING))).isEqualTo(Why.BELOW_APPLICABILITY);

        GasSample selector = Samples.five(35, 6, 3, 26, 482);
        assertThat(Samples.remarks(GasIndices.acetyleneHydrogen(FACTS, selector)))
                .contains(Remark.Kind.TAP_CHANGER_GAS);
        assertThat(Samples.remarks(GasIndices.acetyleneHydrogen(FACTS, Samples.five(5, 6, 3, 26, 20))))
                .isEmpty();
        assertThat(Samples.remarks(GasIndices.oxygenNitrogen(FACTS, sample(Samples.NOON, 1, 1, 1))))
                .isEmpty();
        assertThat(Samples.told(GasIndices.oxygenNitrogen(FACTS, sample(Samples.NOON, 1, 1, 1))))
                .isCloseTo(0.35, within(1e-12));
        assertThat(Samples.why(GasIndices.oxygenNitrogen(FACTS, selector))).isEqualTo(Why.MISSING_VALUE);
    }

    private static Finding<Double> carbon(double co, double co2, Choices choices) {
        GasSample sample = Samples.told(GasSample.of(
                Samples.NOON, Samples.LABORATORY, List.of(GasReading.ppm(Gas.CO, co), GasReading.ppm(Gas.CO2, co2))));
        return GasIndices.carbonOxides(FACTS, sample, choices);
    }
}
