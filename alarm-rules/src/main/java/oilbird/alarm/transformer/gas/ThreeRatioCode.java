package oilbird.alarm.transformer.gas;

/**
 * The older code table of IEC 599:1978 (also GB/T 7252): three digits for C2H2/C2H4, CH4/H2, C2H4/C2H6
 * (confidence A). Kept for users whose records carry it; it takes no part in the combined verdict. Inputs in
 * one volume unit, not negative; mineral oil.
 */
public record ThreeRatioCode(int acetyleneEthylene, int methaneHydrogen, int ethyleneEthane) {
    /** The code of a sample. */
    public static ThreeRatioCode of(double h2, double ch4, double c2h6, double c2h4, double c2h2) {
        return new ThreeRatioCode(
                digit(Ratio.of(c2h2, c2h4), 0, 1, 1, 2),
                digit(Ratio.of(ch4, h2), 1, 0, 2, 2),
                digit(Ratio.of(c2h4, c2h6), 0, 0, 1, 2));
    }

    private static int digit(double ratio, int below01, int below1, int below3, int above) {
        if (ratio < 0.1) {
            return below01;
        }
        if (ratio < 1) {
            return below1;
        }
        return ratio < 3 ? below3 : above;
    }

    /** The three digits. */
    public String digits() {
        return "" + acetyleneEthylene + methaneHydrogen + ethyleneEthane;
    }

    /** What the table says for the code, or {@code no entry}. */
    public String words() {
        return switch (digits()) {
            case "000" -> "normal";
            case "010", "110" -> "partial discharge";
            case "101", "102" -> "arc discharge";
            case "001" -> "<150 C";
            case "020" -> "150-300 C";
            case "021" -> "300-700 C";
            case "022" -> ">700 C";
            default ->
                acetyleneEthylene >= 1 && methaneHydrogen == 0 && ethyleneEthane >= 1
                        ? "low-energy discharge"
                        : "no entry";
        };
    }
}
