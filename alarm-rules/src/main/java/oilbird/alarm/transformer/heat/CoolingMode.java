package oilbird.alarm.transformer.heat;

/**
 * Kinds of cooling with the constants that IEC 60076-7 (2005 Table 5, 2018 Table E.1) recommends. Distribution
 * ONAN, ONAN and ONAF confidence A; restricted oil flow, OF and OD from memory.
 */
public enum CoolingMode {
    DISTRIBUTION_ONAN(0.8, 1.6, 1.0, 1.0, 2.0, 180, 4, true),
    ONAN_RESTRICTED(0.8, 1.3, 0.5, 3.0, 2.0, 210, 10, false),
    ONAN(0.8, 1.3, 0.5, 2.0, 2.0, 210, 10, true),
    ONAF_RESTRICTED(0.8, 1.3, 0.5, 3.0, 2.0, 150, 7, false),
    ONAF(0.8, 1.3, 0.5, 2.0, 2.0, 150, 7, true),
    OF_RESTRICTED(1.0, 1.3, 1.0, 1.45, 1.0, 90, 7, false),
    OF(1.0, 1.3, 1.0, 1.3, 1.0, 90, 7, false),
    OD(1.0, 2.0, 1.0, 1.0, 1.0, 90, 7, false);

    private final ThermalConstants constants;
    private final boolean confirmed;

    CoolingMode(double x, double y, double k11, double k21, double k22, double oil, double winding, boolean confirmed) {
        this.constants = new ThermalConstants(x, y, k11, k21, k22, oil, winding);
        this.confirmed = confirmed;
    }

    public ThermalConstants constants() {
        return constants;
    }

    /** Whether two independent copies agree on the constants; otherwise they are from memory. */
    public boolean confirmed() {
        return confirmed;
    }
}
