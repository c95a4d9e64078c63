package oilbird.mapping.map;

import java.util.List;
import java.util.Locale;
import java.util.Optional;
import oilbird.mapping.text.Suggestion;
import org.jspecify.annotations.Nullable;

/** The units that a reading may have, in plain ASCII so that every link can carry them. */
public final class Unit {
    private static final List<String> KNOWN = List.of(
            "ppm", "ppm/h", "ppm/d", "%", "degC", "K", "K/h", "bar", "mbar", "Pa", "hPa", "kPa", "MPa", "l/min", "l/h",
            "m3/h", "m/s", "mm/s", "mm", "cm", "m", "l", "ml", "kg", "g", "mA", "A", "kA", "uV", "mV", "V", "kV", "W",
            "kW", "MW", "var", "kvar", "Mvar", "VA", "kVA", "MVA", "kWh", "MWh", "ohm", "mohm", "kohm", "Mohm", "Gohm",
            "pF", "nF", "uF", "pC", "nC", "dB", "dBm", "Hz", "kHz", "MHz", "ms", "s", "min", "h", "d", "rpm", "deg",
            "1/min", "1/h", "1/s", "mg/kg", "mg/l", "ppb", "cSt", "mN/m", "N", "Nm", "lx", "p.u.");

    private Unit() {}

    static boolean isKnown(String unit) {
        return KNOWN.contains(unit);
    }

    /** The known unit that people mean by a spelling; empty where there is none. */
    public static Optional<String> meant(String spelling) {
        return Optional.of(spelling)
                .filter(KNOWN::contains)
                .or(() -> Optional.ofNullable(spelled(spelling)))
                .or(() -> Optional.ofNullable(spelled(spelling.toLowerCase(Locale.ROOT))));
    }

    /** What to write instead of an unknown unit. */
    static String remedy(String unit) {
        return meant(unit)
                .or(() -> Suggestion.closest(unit, KNOWN))
                .map(close -> "did you mean " + close + "?")
                .orElse("write one of " + String.join(", ", KNOWN) + ", or leave the unit out");
    }

    /** The unit that people mean by another spelling. */
    private static @Nullable String spelled(String spelling) {
        return switch (spelling) {
            case "\u00b0C", "\u2103", "C", "celsius", "grad" -> "degC";
            case "lpm", "L/min" -> "l/min";
            case "1/min." -> "1/min";
            case "U/min", "r/min" -> "rpm";
            case "percent", "pct" -> "%";
            case "amp", "amps" -> "A";
            case "volt", "volts" -> "V";
            case "\u03a9", "\u2126" -> "ohm";
            case "\u00b5F" -> "uF";
            case "\u00b5V" -> "uV";
            case "ul/l", "\u00b5l/l" -> "ppm";
            case "sec" -> "s";
            case "hours", "hrs" -> "h";
            case "m\u00b3/h" -> "m3/h";
            case "pu" -> "p.u.";
            default -> null;
        };
    }
}
