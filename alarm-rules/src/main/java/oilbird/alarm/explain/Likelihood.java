package oilbird.alarm.explain;

/**
 * A probability in words. The bounds are those of the IPCC's guidance note on the treatment of uncertainties (2010),
 * from memory; with fewer steps.
 */
public final class Likelihood {
    private Likelihood() {}

    /**
     * @param probability 0 to 1.
     * @return {@code very likely} and the like, to stand before what is likely.
     */
    public static String words(double probability) {
        if (probability >= 0.99) {
            return "almost certain";
        }
        if (probability >= 0.9) {
            return "very likely";
        }
        if (probability >= 0.66) {
            return "likely";
        }
        if (probability >= 0.33) {
            return "about as likely as not";
        }
        return probability >= 0.1 ? "unlikely" : "very unlikely";
    }

    /** {@code 87 %}; never 0 or 100 %, which nothing here is. */
    public static String percent(double probability) {
        if (probability < 0.01) {
            return "under 1 %";
        }
        return probability > 0.99 ? "over 99 %" : Math.round(probability * 100) + " %";
    }
}
