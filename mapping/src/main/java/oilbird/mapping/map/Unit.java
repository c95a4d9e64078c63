package oilbird.mapping.map;

import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import oilbird.mapping.text.Suggestion;

/** The units that a reading may have, in plain ASCII so that every link can carry them. */
public final class Unit {
    private static final List<String> KNOWN = List.of(
            "ppm", "ppm/h", "ppm/d", "%", "degC", "K", "K/h", "bar", "mbar", "Pa", "hPa", "kPa", "MPa", "l/min", "l/h",
            "m3/h", "m/s", "mm/s", "mm", "cm", "m", "l", "ml", "kg", "g", "mA", "A", "kA", "uV", "mV", "V", "kV", "W",
            "kW", "MW", "var", "kvar", "Mvar", "VA", "kVA", "MVA", "kWh", "MWh", "ohm", "mohm", "kohm", "Mohm", "Gohm",
            "pF", "nF", "uF", "pC", "nC", "dB", "dBm", "Hz", "kHz", "MHz", "ms", "s", "min", "h", "d", "rpm", "deg",
            "1/min", "1/h", "1/s", "mg/kg", "mg/l", "ppb", "cSt", "mN/m", "N", "Nm", "lx", "p.u.");

    /** What people write for them. */
    private static final Map<String, String> SPELLINGS = Map.ofEntries(
            Map.entry("\u00b0C", "degC"),
            Map.entry("\u2103", "degC"),
            Map.entry("C", "degC"),
            Map.entry("celsius", "degC"),
            Map.entry("grad", "degC"),
            Map.entry("lpm", "l/min"),
            Map.entry("L/min", "l/min"),
            Map.entry("1/min.", "1/min"),
            Map.entry("U/min", "rpm"),
            Map.entry("r/min", "rpm"),
            Map.entry("percent", "%"),
            Map.entry("pct", "%"),
            Map.entry("amp", "A"),
            Map.entry("amps", "A"),
            Map.entry("volt", "V"),
            Map.entry("volts", "V"),
            Map.entry("\u03a9", "ohm"),
            Map.entry("\u2126", "ohm"),
            Map.entry("\u00b5F", "uF"),
            Map.entry("\u00b5V", "uV"),
            Map.entry("ul/l", "ppm"),
            Map.entry("\u00b5l/l", "ppm"),
            Map.entry("sec", "s"),
            Map.entry("hours", "h"),
            Map.entry("hrs", "h"),
            Map.entry("m\u00b3/h", "m3/h"),
            Map.entry("pu", "p.u."));

    private Unit() {}

    static boolean isKnown(String unit) {
        return KNOWN.contains(unit);
    }

    /** The known unit that people mean by a spelling; empty where there is none. */
    public static Optional<String> meant(String spelling) {
        return Optional.of(spelling)
                .filter(KNOWN::contains)
                .or(() -> Optional.ofNullable(SPELLINGS.get(spelling)))
                .or(() -> Optional.ofNullable(SPELLINGS.get(spelling.toLowerCase(Locale.ROOT))));
    }

    /** What to write instead of an unknown unit. */
    static String remedy(String unit) {
        return meant(unit)
                .or(() -> Suggestion.closest(unit, KNOWN))
                .map(close -> "did you mean " + close + "?")
                .orElse("write one of " + String.join(", ", KNOWN) + ", or leave the unit out");
    }
}
