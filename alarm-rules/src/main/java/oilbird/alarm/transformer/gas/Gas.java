package oilbird.alarm.transformer.gas;

/**
 * A gas dissolved in oil, in microlitre of gas per litre of oil (ppm by volume).
 *
 * <p>Detection limits are those recalled from IEC 60567 for analyses in service (confidence M).
 */
public enum Gas {
    H2("hydrogen", 5),
    CH4("methane", 1),
    C2H6("ethane", 1),
    C2H4("ethylene", 1),
    C2H2("acetylene", 1),
    CO("carbon monoxide", 25),
    CO2("carbon dioxide", 25),
    O2("oxygen", 500),
    N2("nitrogen", 2000);

    private final String words;
    private final double detectionLimitPpm;

    Gas(String words, double detectionLimitPpm) {
        this.words = words;
        this.detectionLimitPpm = detectionLimitPpm;
    }

    public String words() {
        return words;
    }

    /** Smallest concentration told from none in service, in ppm by volume. */
    public double detectionLimitPpm() {
        return detectionLimitPpm;
    }
}
