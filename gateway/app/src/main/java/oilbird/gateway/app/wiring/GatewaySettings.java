package oilbird.gateway.app.wiring;

import java.nio.file.Path;
import java.util.Locale;
import java.util.Optional;
import java.util.function.Function;

/**
 * What the gateway is started with: {@code oilbird.station}, {@code oilbird.data}, {@code oilbird.clock-rate}; in
 * the environment {@code OILBIRD_STATION} and so on.
 *
 * @param station station folder.
 * @param data folder of the event record; made if missing.
 * @param clockRate gateway seconds in one second of the machine; 1 except in a demo or a test.
 */
public record GatewaySettings(Path station, Path data, double clockRate) {
    /** The settings are missing or wrong, and what to do. */
    public static final class SettingsException extends Exception {
        private static final long serialVersionUID = 1L;

        SettingsException(String message) {
            super(message);
        }
    }

    /** From system properties, else from the environment. */
    public static GatewaySettings ofProcess() throws SettingsException {
        return of(key -> Optional.ofNullable(System.getProperty(key))
                .or(() -> Optional.ofNullable(System.getenv(
                        key.toUpperCase(Locale.ROOT).replace('.', '_').replace('-', '_')))));
    }

    public static GatewaySettings of(Function<String, Optional<String>> lookup) throws SettingsException {
        String station = lookup.apply("oilbird.station")
                .filter(text -> !text.isBlank())
                .orElseThrow(() -> new SettingsException(
                        "no station folder is given: start with -Doilbird.station=FOLDER, or set OILBIRD_STATION"));
        String data = lookup.apply("oilbird.data")
                .filter(text -> !text.isBlank())
                .orElseThrow(() -> new SettingsException(
                        "no data folder is given: start with -Doilbird.data=FOLDER, or set OILBIRD_DATA"));
        String rate = lookup.apply("oilbird.clock-rate").orElse("1");
        try {
            return new GatewaySettings(Path.of(station), Path.of(data), Double.parseDouble(rate));
        } catch (NumberFormatException e) {
            throw new SettingsException("oilbird.clock-rate is a number such as 1 or 60, not `" + rate + "`");
        }
    }
}
