package oilbird.alarm.transformer.gas;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Tables 1 to 4 of IEEE C57.104-2019 in ppm by volume and ppm a year. Tables 1 and 3 and most of table 2
 * confidence A; the disputed cells are in {@link DisputedCell}; table 4 is disputed as a whole. Acetylene has
 * no figure in tables 3 and 4: "any increase" and "any rate". Mineral-oil power transformers.
 */
public final class GuideTables2019 {
    /** The gases that the tables have, in the order of their columns here. */
    public static final List<Gas> GASES = List.of(Gas.H2, Gas.CH4, Gas.C2H6, Gas.C2H4, Gas.C2H2, Gas.CO, Gas.CO2);

    private GuideTables2019() {}

    /** Which side of O2/N2 = 0.2 the transformer is on. The tables' default for an unknown ratio is {@link #ABOVE} (one copy). */
    public enum OxygenSide {
        /** O2/N2 up to 0.2: sealed. */
        UP_TO,
        /** O2/N2 above 0.2: free-breathing. */
        ABOVE
    }

    /** Age classes of tables 1 and 2. */
    public enum Age {
        UNKNOWN,
        YEARS_1_9,
        YEARS_10_30,
        OVER_30;

        /** The class of an age in years: below ten the first, up to thirty the second. */
        public static Age of(double years) {
            if (years < 10) {
                return YEARS_1_9;
            }
            return years <= 30 ? YEARS_10_30 : OVER_30;
        }
    }

    /** Periods of table 4 in months; what lies between 9 and 10 counts to the shorter. */
    public enum Period {
        MONTHS_4_9,
        MONTHS_10_24;

        public static Period of(double months) {
            return months < 10 ? MONTHS_4_9 : MONTHS_10_24;
        }
    }

    private static final double[][][] LEVEL_90 = {
        {
            {80, 90, 90, 50, 1, 900, 9000},
            {75, 45, 30, 20, 1, 900, 5000},
            {75, 90, 90, 50, 1, 900, 10000},
            {100, 110, 150, 90, 1, 900, 10000}
        },
        {
            {40, 20, 15, 50, 2, 500, 5000},
            {40, 20, 15, 25, 2, 500, 3500},
            {40, 20, 15, 60, 2, 500, 5500},
            {40, 20, 15, 60, 2, 500, 5500}
        }
    };
    private static final double[][][] LEVEL_95 = {
        {
            {200, 150, 175, 100, 2, 1100, 12500},
            {200, 100, 70, 40, 2, 1100, 7000},
            {200, 150, 175, 95, 2, 1100, 14000},
            {200, 200, 250, 175, 4, 1100, 14000}
        },
        {
            {90, 50, 40, 100, 7, 600, 7000},
            {90, 60, 30, 80, 7, 600, 5000},
            {90, 60, 40, 125, 7, 600, 8000},
            {90, 30, 40, 125, 7, 600, 8000}
        }
    };
    private static final double[][] DELTA = {
        {40, 30, 25, 20, 0, 250, 2500},
        {25, 10, 7, 20, 0, 175, 1750}
    };
    private static final double[][][] RATE = {
        {
            {50, 15, 15, 10, 0, 200, 1750},
            {20, 10, 9, 7, 0, 100, 1000}
        },
        {
            {25, 4, 3, 7, 0, 100, 1000},
            {10, 3, 2, 5, 0, 80, 800}
        }
    };

    /** Table 1, 90th percentile of levels in ppm. */
    public static double level90(OxygenSide side, Age age, Gas gas) {
        return LEVEL_90[side.ordinal()][age.ordinal()][GASES.indexOf(gas)];
    }

    /** Table 2, 95th percentile of levels in ppm. */
    public static double level95(OxygenSide side, Age age, Gas gas, Choices choices) {
        DisputedCell cell = disputed95(side, age, gas);
        if (cell != null && choices.alternative(cell)) {
            return switch (cell) {
                case GUIDE_95_METHANE_YOUNG -> 30;
                case GUIDE_95_ACETYLENE_YOUNG -> 2;
                case GUIDE_95_METHANE_OLD -> 250;
                case GUIDE_95_ETHANE_OLD -> 175;
                default -> throw new IllegalStateException("not a cell of table 2: " + cell);
            };
        }
        return LEVEL_95[side.ordinal()][age.ordinal()][GASES.indexOf(gas)];
    }

    /** The dispute about a cell of table 2, or null. */
    public static @Nullable DisputedCell disputed95(OxygenSide side, Age age, Gas gas) {
        if (side == OxygenSide.ABOVE && age == Age.YEARS_1_9) {
            if (gas == Gas.CH4) {
                return DisputedCell.GUIDE_95_METHANE_YOUNG;
            }
            return gas == Gas.C2H2 ? DisputedCell.GUIDE_95_ACETYLENE_YOUNG : null;
        }
        if (side == OxygenSide.UP_TO && age == Age.OVER_30) {
            if (gas == Gas.CH4) {
                return DisputedCell.GUIDE_95_METHANE_OLD;
            }
            return gas == Gas.C2H6 ? DisputedCell.GUIDE_95_ETHANE_OLD : null;
        }
        return null;
    }

    /** Table 3, change between two laboratory samples in ppm; 0 for acetylene stands for any increase. */
    public static double delta(OxygenSide side, Gas gas) {
        return DELTA[side.ordinal()][GASES.indexOf(gas)];
    }

    /** Table 4, rate over 3 to 6 samples in ppm a year; 0 for acetylene stands for any rate. */
    public static double rate(OxygenSide side, Period period, Gas gas, Choices choices) {
        int section = choices.alternative(DisputedCell.GUIDE_RATE_SECTIONS) ? 1 - side.ordinal() : side.ordinal();
        return RATE[section][period.ordinal()][GASES.indexOf(gas)];
    }
}
