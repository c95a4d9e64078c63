package oilbird.alarm.rule;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;

/** Writes numbers for people: six significant digits, a decimal point, no exponent, no locale. */
public final class PlainNumber {
    // Double.toString gives other digits since Java 19, so it may not decide what a record says.
    private static final MathContext DIGITS = new MathContext(6, RoundingMode.HALF_EVEN);

    private PlainNumber() {}

    /**
     * The number as text.
     *
     * @param value finite.
     */
    public static String of(double value) {
        BigDecimal rounded = new BigDecimal(value).round(DIGITS);
        return rounded.signum() == 0 ? "0" : rounded.stripTrailingZeros().toPlainString();
    }
}
