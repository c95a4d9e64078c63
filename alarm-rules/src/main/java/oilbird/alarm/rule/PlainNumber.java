package oilbird.alarm.rule;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;

/** Writes numbers for people: a decimal point, no exponent, no locale. */
public final class PlainNumber {
    // Double.toString gives other digits since Java 19, so it may not decide what a record says.
    private static final MathContext DIGITS = new MathContext(6, RoundingMode.HALF_EVEN);
    private static final MathContext SPOKEN_DIGITS = new MathContext(4, RoundingMode.HALF_EVEN);

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
     * The number as text for a sentence: four significant digits.
     *
     * @param value finite.
     */
    public static String spoken(double value) {
        return of(value, SPOKEN_DIGITS);
    }

    private static String of(double value, MathContext digits) {
        BigDecimal rounded = new BigDecimal(value).round(digits);
        return rounded.signum() == 0 ? "0" : rounded.stripTrailingZeros().toPlainString();
    }
}
