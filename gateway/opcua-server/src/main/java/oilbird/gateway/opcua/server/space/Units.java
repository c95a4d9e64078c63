package oilbird.gateway.opcua.server.space;

import java.nio.charset.StandardCharsets;
import java.util.Map;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.structured.EUInformation;

/**
 * Engineering units as OPC UA names them: by the common code of UNECE Recommendation 20 where there is one, otherwise
 * by their sign alone.
 *
 * @see <a href="https://reference.opcfoundation.org/Core/Part8/v105/docs/5.6.3">OPC UA Part 8, 5.6.3</a>
 */
final class Units {
    private static final String UNECE = "http://www.opcfoundation.org/UA/units/un/cefact";
    private static final String OWN = "urn:oilbird:units";

    private static final Map<String, String> CODES = Map.ofEntries(
            Map.entry("degC", "CEL"),
            Map.entry("K", "KEL"),
            Map.entry("%", "P1"),
            Map.entry("ppm", "59"),
            Map.entry("A", "AMP"),
            Map.entry("mA", "4K"),
            Map.entry("V", "VLT"),
            Map.entry("kV", "KVT"),
            Map.entry("W", "WTT"),
            Map.entry("kW", "KWT"),
            Map.entry("Hz", "HTZ"),
            Map.entry("pF", "4T"),
            Map.entry("rpm", "RPM"),
            Map.entry("l/min", "L2"),
            Map.entry("bar", "BAR"),
            Map.entry("kPa", "KPA"),
            Map.entry("s", "SEC"),
            Map.entry("min", "MIN"),
            Map.entry("h", "HUR"),
            Map.entry("d", "DAY"));

    private Units() {}

    static EUInformation of(String unit) {
        String code = CODES.get(unit);
        return new EUInformation(
                code == null ? OWN : UNECE,
                code == null ? -1 : number(code),
                LocalizedText.english(unit.equals("degC") ? "°C" : unit),
                LocalizedText.english(unit));
    }

    /** The code's characters, one a byte, the last in the lowest. */
    private static int number(String code) {
        int number = 0;
        for (byte character : code.getBytes(StandardCharsets.US_ASCII)) {
            number = number << 8 | character;
        }
        return number;
    }
}
