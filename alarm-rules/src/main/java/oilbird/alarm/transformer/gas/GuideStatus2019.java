package oilbird.alarm.transformer.gas;

import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.OptionalDouble;
import oilbird.alarm.transformer.Equipment;
import oilbird.alarm.transformer.Figures;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.Remark;
import oilbird.alarm.transformer.TransformerFacts;
import oilbird.alarm.transformer.TrendRestart;
import oilbird.alarm.transformer.Why;
import org.jspecify.annotations.Nullable;

/**
 * Status 1 to 3 of IEEE C57.104-2019 with the gas that decides (logic confidence B): 3 when a gas is above
 * table 2 or a rate above table 4; else 2 when a gas is above table 1 or a change above table 3; else 1.
 *
 * @param status 1, 2 or 3.
 * @param exceedances everything above a limit, the deciding one first: highest status, then the largest
 *     multiple of its limit, then the order of the gases.
 */
public record GuideStatus2019(
        int status, List<Exceedance> exceedances, GuideTables2019.OxygenSide side, GuideTables2019.Age age) {
    /** Which table a figure exceeds. */
    public enum Table {
        LEVEL_95("table 2", 3),
        RATE("table 4", 3),
        LEVEL_90("table 1", 2),
        DELTA("table 3", 2);

        private final String words;
        private final int status;

        Table(String words, int status) {
            this.words = words;
            this.status = status;
        }

        public String words() {
            return words;
        }
    }

    /**
     * One figure above its limit.
     *
     * @param value ppm for a level or change, ppm a year for a rate.
     * @param status that this figure alone calls for.
     */
    public record Exceedance(Gas gas, Table table, double value, double limit, int status) {
        /** How many times the limit; for "any increase" the value itself in ppm. */
        double severity() {
            return value / Math.max(limit, 1);
        }
    }

    public GuideStatus2019 {
        exceedances = List.copyOf(exceedances);
    }

    private static final Comparator<Exceedance> WORST_FIRST = Comparator.comparingInt(Exceedance::status)
            .thenComparingDouble(Exceedance::severity)
            .reversed()
            .thenComparing(Exceedance::gas);

    /** The limits that a sample is compared with, fixed before any error is laid on the sample. */
    private record Limits(GuideTables2019.OxygenSide side, GuideTables2019.Age age) {}

    /**
     * The status of a sample.
     *
     * @param previous the sample before it by the same analyser and after the last restart, or null.
     * @param rates multi-point rates; used only while all gases are below table 1 (one copy). Units ppm and
     *     ppm a year; power transformers in mineral oil.
     */
    public static Finding<GuideStatus2019> of(
            TransformerFacts facts,
            GasSample sample,
            @Nullable GasSample previous,
            List<GuideRate> rates,
            Choices choices,
            MeasurementError error) {
        Finding.Untold<GuideStatus2019> refused = facts.refusedUnlessMineralOil();
        if (refused != null) {
            return refused;
        }
        if (facts.equipment() != Equipment.POWER_TRANSFORMER) {
            return Finding.untold(Why.EQUIPMENT_NOT_COVERED, "the guide's tables are for power transformers");
        }
        boolean any = false;
        for (Gas gas : GuideTables2019.GASES) {
            any |= sample.of(gas) != null;
        }
        if (!any) {
            return Finding.untold(Why.MISSING_VALUE, "no gas of the guide's tables");
        }
        List<Remark> remarks = new ArrayList<>();
        Limits limits = limits(facts, sample, remarks);
        GasSample before = usable(facts, sample, previous, remarks);
        GuideStatus2019 status = evaluate(sample, before, rates, limits, choices, error, 0);
        for (Gas gas : GuideTables2019.GASES) {
            if (sample.of(gas) == null) {
                remarks.add(new Remark(Remark.Kind.VALUE_LEFT_OUT, gas.words() + " is not known"));
            }
        }
        for (DisputedCell cell : CELLS) {
            GuideStatus2019 other = evaluate(sample, before, rates, limits, choices.flipped(cell), error, 0);
            if (other.status != status.status) {
                remarks.add(new Remark(
                        Remark.Kind.HANGS_ON_DISPUTED,
                        cell.key() + ": " + cell.standing() + "; otherwise status " + other.status));
            }
        }
        int low = evaluate(sample, null, rates, limits, choices, error, -1).status;
        int high = evaluate(sample, null, rates, limits, choices, error, 1).status;
        if (low != high) {
            remarks.add(new Remark(
                    Remark.Kind.CHANGES_WITHIN_ERROR,
                    "by levels alone status " + low + " to " + high + " within " + Figures.of(100 * error.relative(), 0)
                            + " %"));
        }
        if (rates.isEmpty()) {
            remarks.add(new Remark(Remark.Kind.DEFAULT_TAKEN, "table 4 rates, none given"));
        }
        return Finding.told(status, remarks);
    }

    private static final List<DisputedCell> CELLS = List.of(
            DisputedCell.GUIDE_95_METHANE_YOUNG,
            DisputedCell.GUIDE_95_ACETYLENE_YOUNG,
            DisputedCell.GUIDE_95_METHANE_OLD,
            DisputedCell.GUIDE_95_ETHANE_OLD,
            DisputedCell.GUIDE_RATE_SECTIONS,
            DisputedCell.GUIDE_DELTA_SIGN,
            DisputedCell.GUIDE_DELTA_STATUS,
            DisputedCell.GUIDE_ACETYLENE_ANY);

    private static Limits limits(TransformerFacts facts, GasSample sample, List<Remark> remarks) {
        GuideTables2019.OxygenSide side = GuideTables2019.OxygenSide.ABOVE;
        if (sample.hasMeasured(List.of(Gas.O2, Gas.N2)) && sample.nominal(Gas.N2) > 0) {
            double ratio = sample.nominal(Gas.O2) / sample.nominal(Gas.N2);
            side = ratio <= 0.2 ? GuideTables2019.OxygenSide.UP_TO : GuideTables2019.OxygenSide.ABOVE;
        } else {
            remarks.add(new Remark(Remark.Kind.DEFAULT_TAKEN, "O2/N2, the side above 0.2 with its lower limits"));
        }
        OptionalDouble years = facts.ageYears(sample.at());
        if (years.isEmpty()) {
            remarks.add(new Remark(Remark.Kind.DEFAULT_TAKEN, "age, the column for unknown age"));
            return new Limits(side, GuideTables2019.Age.UNKNOWN);
        }
        if (years.getAsDouble() < 1) {
            remarks.add(
                    new Remark(Remark.Kind.OUT_OF_VALIDITY, "under one year in service, column 1 to 9 years taken"));
        }
        return new Limits(side, GuideTables2019.Age.of(years.getAsDouble()));
    }

    private static @Nullable GasSample usable(
            TransformerFacts facts, GasSample sample, @Nullable GasSample previous, List<Remark> remarks) {
        TrendRestart restart =
                facts.lastRestart(sample.source().id(), sample.at()).orElse(null);
        if (restart != null && restart.cause() != TrendRestart.Cause.SENSOR_REPLACEMENT) {
            remarks.add(new Remark(Remark.Kind.AFTER_TREATMENT, restart.at().toString()));
        }
        if (previous == null) {
            return null;
        }
        Instant at = previous.at();
        if (!at.isBefore(sample.at())) {
            remarks.add(new Remark(Remark.Kind.VALUE_LEFT_OUT, "the earlier sample is not earlier"));
            return null;
        }
        if (!previous.source().equals(sample.source())) {
            remarks.add(new Remark(Remark.Kind.VALUE_LEFT_OUT, "the earlier sample is from another analyser"));
            return null;
        }
        if (restart != null && at.isBefore(restart.at())) {
            remarks.add(new Remark(Remark.Kind.RESTARTED, restart.cause() + " at " + restart.at()));
            return null;
        }
        return previous;
    }

    private static GuideStatus2019 evaluate(
            GasSample sample,
            @Nullable GasSample previous,
            List<GuideRate> rates,
            Limits limits,
            Choices choices,
            MeasurementError error,
            int side) {
        List<Exceedance> found = new ArrayList<>();
        boolean allLow = true;
        for (Gas gas : GuideTables2019.GASES) {
            Concentration known = sample.of(gas);
            if (known == null) {
                continue;
            }
            double value = shifted(gas, known, error, side);
            double limit95 = GuideTables2019.level95(limits.side(), limits.age(), gas, choices);
            double limit90 = GuideTables2019.level90(limits.side(), limits.age(), gas);
            if (value > limit95) {
                found.add(new Exceedance(gas, Table.LEVEL_95, value, limit95, 3));
            } else if (value > limit90) {
                found.add(new Exceedance(gas, Table.LEVEL_90, value, limit90, 2));
            }
            allLow &= value <= limit90;
            if (previous != null) {
                delta(gas, known, previous, limits, choices, found);
            }
        }
        if (allLow) {
            for (GuideRate rate : rates) {
                rate(rate, limits, choices, found);
            }
        }
        found.sort(WORST_FIRST);
        return new GuideStatus2019(found.isEmpty() ? 1 : found.get(0).status(), found, limits.side(), limits.age());
    }

    /** The concentration at the lower end (-1), the stated value (0) or the upper end (1) of its error band. */
    private static double shifted(Gas gas, Concentration known, MeasurementError error, int side) {
        if (known instanceof Concentration.BelowDetection below) {
            return side > 0 ? below.limitPpm() : 0;
        }
        double ppm = known.nominalPpm();
        return Math.max(0, ppm + side * error.halfWidth(gas, ppm));
    }

    private static void delta(
            Gas gas, Concentration known, GasSample previous, Limits limits, Choices choices, List<Exceedance> found) {
        Concentration earlier = previous.of(gas);
        if (earlier == null || earlier instanceof Concentration.Saturated || known instanceof Concentration.Saturated) {
            return;
        }
        double change = known.nominalPpm() - earlier.nominalPpm();
        if (choices.alternative(DisputedCell.GUIDE_DELTA_SIGN)) {
            change = Math.abs(change);
        }
        double limit = GuideTables2019.delta(limits.side(), gas);
        // Taken literally, every second repeat reading would be an increase of acetylene.
        if (limit == 0 && !choices.alternative(DisputedCell.GUIDE_ACETYLENE_ANY)) {
            limit = gas.detectionLimitPpm();
        }
        if (change > limit) {
            int status = choices.alternative(DisputedCell.GUIDE_DELTA_STATUS) ? 3 : 2;
            found.add(new Exceedance(gas, Table.DELTA, change, limit, status));
        }
    }

    private static void rate(GuideRate rate, Limits limits, Choices choices, List<Exceedance> found) {
        if (!GuideTables2019.GASES.contains(rate.gas())) {
            return;
        }
        double limit =
                GuideTables2019.rate(limits.side(), GuideTables2019.Period.of(rate.months()), rate.gas(), choices);
        // "Any rate" of acetylene likewise: more than one detection limit over the period.
        if (limit == 0 && !choices.alternative(DisputedCell.GUIDE_ACETYLENE_ANY)) {
            limit = rate.gas().detectionLimitPpm() * 12 / rate.months();
        }
        if (rate.ppmPerYear() > limit) {
            found.add(new Exceedance(rate.gas(), Table.RATE, rate.ppmPerYear(), limit, 3));
        }
    }
}
