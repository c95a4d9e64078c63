package oilbird.alarm.check;

import java.util.Optional;
import org.jspecify.annotations.Nullable;

/**
 * A unit that a person may write, as a straight line to the base unit of its quantity: base = value x factor + offset.
 *
 * <p>Letters count: {@code mV} is not {@code MV}. Degrees Fahrenheit and pounds per square inch are exact by definition
 * (NIST SP 811, 2008, B.8).
 *
 * @param quantity name of what is measured; two units of one quantity can be converted.
 */
record MeasuredUnit(String quantity, double factor, double offset) {
    double toBase(double value) {
        return value * factor + offset;
    }

    double fromBase(double base) {
        return (base - offset) / factor;
    }

    /**
     * The unit that is written.
     *
     * @param wanted the unit that is asked for: a kelvin that is asked for is a difference of temperatures.
     */
    static Optional<MeasuredUnit> of(String written, String wanted) {
        boolean difference = wanted.equals("K");
        MeasuredUnit temperature = temperature(written, difference, wanted.startsWith("deg") || difference);
        return Optional.ofNullable(temperature == null ? plain(written, wanted) : temperature);
    }

    private static @Nullable MeasuredUnit temperature(String written, boolean difference, boolean asked) {
        String quantity = difference ? "difference of temperature" : "temperature";
        return switch (written) {
            case "degC", "\u00b0C", "\u00b0 C", "\u2103", "deg C" -> new MeasuredUnit(quantity, 1, 0);
            case "degF", "\u00b0F", "\u00b0 F", "\u2109", "deg F" -> fahrenheit(quantity, difference);
            case "K" -> new MeasuredUnit(quantity, 1, difference ? 0 : -273.15);
            case "C" -> asked ? new MeasuredUnit(quantity, 1, 0) : null;
            case "F" -> asked ? fahrenheit(quantity, difference) : null;
            default -> null;
        };
    }

    private static MeasuredUnit fahrenheit(String quantity, boolean difference) {
        return new MeasuredUnit(quantity, 5.0 / 9, difference ? 0 : -32 * 5.0 / 9);
    }

    private static @Nullable MeasuredUnit plain(String written, String wanted) {
        return switch (written) {
            case "uV", "\u00b5V", "\u03bcV" -> of("voltage", 1e-6);
            case "mV" -> of("voltage", 1e-3);
            case "V", "v", "volt", "volts", "Volt" -> of("voltage", 1);
            case "kV" -> of("voltage", 1e3);
            case "uA", "\u00b5A", "\u03bcA" -> of("current", 1e-6);
            case "mA" -> of("current", 1e-3);
            case "A", "amp", "amps" -> of("current", 1);
            case "kA" -> of("current", 1e3);
            case "mohm", "m\u03a9", "m\u2126" -> of("resistance", 1e-3);
            case "ohm", "\u03a9", "\u2126", "Ohm", "ohms" -> of("resistance", 1);
            case "kohm", "k\u03a9", "k\u2126", "kOhm" -> of("resistance", 1e3);
            case "Mohm", "M\u03a9", "M\u2126", "MOhm", "megohm" -> of("resistance", 1e6);
            case "Gohm", "G\u03a9", "G\u2126", "GOhm" -> of("resistance", 1e9);
            case "Pa" -> of("pressure", 1);
            case "hPa", "mbar" -> of("pressure", 100);
            case "kPa" -> of("pressure", 1e3);
            case "bar" -> of("pressure", 1e5);
            case "MPa" -> of("pressure", 1e6);
            case "psi" -> of("pressure", 6894.757293168);
            case "l/h", "L/h" -> of("flow", 1.0 / 60);
            case "l/min", "L/min", "lpm" -> of("flow", 1);
            case "ml/min", "mL/min" -> of("flow", 1e-3);
            case "rpm", "1/min", "r/min", "U/min" -> of("speed of rotation", 1);
            case "Hz" -> of("frequency", 1);
            case "kHz" -> of("frequency", 1e3);
            case "ms" -> of("time", 1e-3);
            case "s", "sec" -> of("time", 1);
            case "min" -> of("time", 60);
            case "h" -> of("time", 3600);
            case "%" -> of("share", 1);
            default -> written.equals(wanted) ? of(written, 1) : null;
        };
    }

    private static MeasuredUnit of(String quantity, double factor) {
        return new MeasuredUnit(quantity, factor, 0);
    }
}
