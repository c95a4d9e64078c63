package oilbird.alarm.transformer;

import java.math.BigDecimal;
import java.math.RoundingMode;

/** Writes figures for people. The same on every Java release, which {@code Double.toString} is not. */
public final class Figures {
    private Figures() {}

    /** The finite value rounded half up to the given number of decimals, without an exponent. */
    public static String of(double value, int decimals) {
        if (!Double.isFinite(value)) {
            return value > 0 ? "unbounded" : "no figure";
        }
        BigDecimal rounded = new BigDecimal(value).setScale(decimals, RoundingMode.HALF_UP);
        return rounded.signum() == 0 ? rounded.abs().toPlainString() : rounded.toPlainString();
    }

    /** The value in parts per million by volume, with as many decimals as its size deserves. */
    public static String ppm(double value) {
        return of(value, value < 10 ? 1 : 0) + " ppm";
    }
}
