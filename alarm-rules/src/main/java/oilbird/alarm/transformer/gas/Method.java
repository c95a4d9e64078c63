package oilbird.alarm.transformer.gas;

/** One published way to read a fault from gases. */
public enum Method {
    IEC_RATIOS("basic gas ratios", "IEC 60599 Table 1 (2015, 2022)"),
    IEC_SIMPLE("simplified ratios", "IEC 60599 Table 2, from memory"),
    ROGERS("Rogers ratios", "IEEE C57.104-2008, from memory"),
    DOERNENBURG("Doernenburg ratios", "IEEE C57.104-2008, oil column"),
    TRIANGLE_1("triangle 1", "IEC 60599 Annex B, IEEE C57.104-2019 Annex D"),
    TRIANGLE_4("triangle 4", "IEEE C57.104-2019 Annex D"),
    TRIANGLE_5("triangle 5", "IEEE C57.104-2019 Annex D"),
    PENTAGON_1("pentagon 1", "Duval and Lamarre 2014, IEEE C57.104-2019 Annex D"),
    PENTAGON_2("pentagon 2", "Duval and Lamarre 2014, IEEE C57.104-2019 Annex D");

    private final String words;
    private final String clause;

    Method(String words, String clause) {
        this.words = words;
        this.clause = clause;
    }

    public String words() {
        return words;
    }

    public String clause() {
        return clause;
    }
}
