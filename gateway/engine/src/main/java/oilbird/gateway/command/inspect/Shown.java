package oilbird.gateway.command.inspect;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.Locale;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;

/** How values are printed for an integrator. */
public final class Shown {
    private Shown() {}

    public static String number(double value) {
        double size = Math.abs(value);
        if (!Double.isFinite(value) || size != 0 && (size < 1e-4 || size >= 1e12)) {
            return String.format(Locale.ROOT, "%.4g", value);
        }
        BigDecimal rounded = new BigDecimal(value, new MathContext(9)).stripTrailingZeros();
        return rounded.toPlainString();
    }

    public static String value(Reading reading, String unit) {
        if (reading.number() != null) {
            return number(reading.number()) + (unit.isEmpty() ? "" : " " + unit);
        }
        return reading.text() == null ? "-" : "\"" + reading.text() + "\"";
    }

    /** For example {@code good} or {@code bad: outside range}. */
    public static String quality(Reading reading) {
        return reading.reason() == QualityReason.NONE
                ? "good"
                : words(reading.quality()) + ": " + words(reading.reason());
    }

    public static String words(Enum<?> constant) {
        return constant.name().toLowerCase(Locale.ROOT).replace('_', ' ');
    }
}
