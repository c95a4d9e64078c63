package oilbird.alarm.transformer.gas;

/** The six fault classes of IEC 60599 that an inspection can tell apart. */
public enum Fault {
    PD("partial discharge", Family.PARTIAL_DISCHARGE),
    D1("discharge of low energy", Family.DISCHARGE),
    D2("discharge of high energy", Family.DISCHARGE),
    T1("thermal fault below 300 C", Family.THERMAL),
    T2("thermal fault of 300 to 700 C", Family.THERMAL),
    T3("thermal fault above 700 C", Family.THERMAL);

    private final String words;
    private final Family family;

    Fault(String words, Family family) {
        this.words = words;
        this.family = family;
    }

    public String words() {
        return words;
    }

    public Family family() {
        return family;
    }

    /** The three families that IEC 60599 Table 2 tells apart. */
    public enum Family {
        PARTIAL_DISCHARGE,
        DISCHARGE,
        THERMAL
    }
}
