package oilbird.alarm.transformer.gas;

import java.util.Locale;

/**
 * A figure or rule on which the readable copies of a source disagree. The default is what the shared
 * reference found better supported; a station may choose the alternative.
 */
public enum DisputedCell {
    IEC_RATIO_BOUNDS("IEC 60599 Table 1: bounds belong to the row", "bounds do not belong to the row"),
    IEC_CO2_CO_NEEDS_CO("CO2/CO below 3 suffices (1999)", "CO above 1000 ppm is needed too (2015, from memory)"),
    DOERNENBURG_ACETYLENE_LIMIT("acetylene L1 is 1 ppm (2008)", "acetylene L1 is 35 ppm (1991)"),
    DOERNENBURG_APPLICABILITY(
            "one gas at twice L1, another above L1, all four ratios fit", "one gas above L1, three of four ratios fit"),
    TRIANGLE_4_C("zone C has ethane below 24 % (polygon)", "zone C has ethane of 24 % and more (rule table)"),
    TRIANGLE_5_O("ethylene 1 to 10 %, ethane below 2 % is O (polygon)", "it has no zone (inequality copies)"),
    TRIANGLE_5_ETHANE("the S and C bound is ethane 14 %", "the bound is 15 %"),
    PENTAGON_D1_CORNER("D1 corner at (38, 12.4)", "D1 corner at (38, 12)"),
    PENTAGON_T1_CORNER("T1 corner at (-35, 3.1)", "T1 corner at (-35, 3.0)"),
    GUIDE_95_METHANE_YOUNG("O2/N2 > 0.2, 1 to 9 years: methane 60 ppm", "methane 30 ppm"),
    GUIDE_95_ACETYLENE_YOUNG("O2/N2 > 0.2, 1 to 9 years: acetylene 7 ppm", "acetylene 2 ppm"),
    GUIDE_95_METHANE_OLD("O2/N2 <= 0.2, over 30 years: methane 200 ppm", "methane 250 ppm"),
    GUIDE_95_ETHANE_OLD("O2/N2 <= 0.2, over 30 years: ethane 250 ppm", "ethane 175 ppm"),
    GUIDE_RATE_SECTIONS("Table 4: the higher rates are for O2/N2 <= 0.2", "the two sections are exchanged"),
    GUIDE_DELTA_SIGN("Table 3 is about a rise", "Table 3 is about a change either way"),
    GUIDE_DELTA_STATUS("a Table 3 change alone gives status 2", "it gives status 3"),
    GUIDE_ACETYLENE_ANY("any acetylene increase is read as more than one detection limit", "any increase at all");

    private final String standing;
    private final String alternative;

    DisputedCell(String standing, String alternative) {
        this.standing = standing;
        this.alternative = alternative;
    }

    /** What is taken unless the station says otherwise. */
    public String standing() {
        return standing;
    }

    /** What the other copies say. */
    public String alternative() {
        return alternative;
    }

    /** The key in a station file. */
    public String key() {
        return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }
}
