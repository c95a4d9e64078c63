package oilbird.alarm.rule;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;

/** Writes numbers for people: a decimal point, no exponent, no locale. */
public final class PlainNumber {
    // Double.toString gives other digits since Java 19, so it may not decide what a record says.
    private static final MathContext DIGITS = new MathContext(6, RoundingMode.HALF_EVEN);
    // A monitor's gases are good for two digits, its temperatures for three.
    private static final int SPOKEN_DIGITS = 3;

    private PlainNumber() {}

    /**
     * The number as text for the record: six significant digits.
     *
     * @param value finite.
     */
    public static String of(double value) {
        return of(value, DIGITS);
    }

    /**
     * The number as text for a sentence: three significant digits, and none of a whole number's are lost.
     *
     * @param value finite.
     */
    public static String spoken(double value) {
        return plain(spoken(value, SPOKEN_DIGITS));
    }

    /**
     * The same beside a limit: with as many digits as it takes to lie on the same side of it.
     *
     * @param value finite.
     * @param limit finite.
     */
    public static String spoken(double value, double limit) {
        BigDecimal line = new BigDecimal(limit).round(DIGITS);
        int side = new BigDecimal(value).round(DIGITS).compareTo(line);
        for (int digits = SPOKEN_DIGITS; digits < DIGITS.getPrecision(); digits++) {
            BigDecimal rounded = spoken(value, digits);
            if (rounded.compareTo(line) == side) {
                return plain(rounded);
            }
        }
        return of(value);
    }

    private static BigDecimal spoken(double value, int digits) {
        BigDecimal exact = new BigDecimal(value);
        int whole = exact.precision() - exact.scale();
        return exact.round(new MathContext(Math.max(digits, whole), RoundingMode.HALF_EVEN));
    }

    private static String of(double value, MathContext digits) {
        return plain(new BigDecimal(value).round(digits));
    }

    private static String plain(BigDecimal rounded) {
        return rounded.signum() == 0 ? "0" : rounded.stripTrailingZeros().toPlainString();
    }
}
