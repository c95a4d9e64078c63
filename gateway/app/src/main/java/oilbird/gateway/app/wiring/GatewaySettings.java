package oilbird.gateway.app.wiring;

import java.nio.file.Path;
import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.Locale;
import java.util.Optional;
import java.util.function.Function;
import oilbird.gateway.engine.clock.FastTime;
import org.jspecify.annotations.Nullable;

/**
 * What the gateway is started with: {@code oilbird.station}, {@code oilbird.data}, {@code oilbird.clock-rate}; in
 * the environment {@code OILBIRD_STATION} and so on.
 *
 * @param station station folder.
 * @param data folder of the event record; made if missing.
 * @param plainHttp true where pages and REST are to be had without TLS, on this machine only: {@code
 *     oilbird.plain-http}.
 * @param fast the gateway's time where it runs faster than the machine's, in a demo or a test only; null otherwise:
 *     {@code oilbird.clock-rate}, and, so that others show the same time, {@code oilbird.clock-origin}, an instant of
 *     the machine, and {@code oilbird.clock-shows}, what the gateway's clock shows then.
 */
public record GatewaySettings(
        Path station,
        Path data,
        boolean plainHttp,
        @Nullable FastTime fast) {
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
        return new GatewaySettings(Path.of(station), Path.of(data), plain(lookup), fast(lookup));
    }

    private static boolean plain(Function<String, Optional<String>> lookup) throws SettingsException {
        String plain = lookup.apply("oilbird.plain-http").orElse("false");
        if (!plain.equals("true") && !plain.equals("false")) {
            throw new SettingsException("oilbird.plain-http is true or false, not `" + plain + "`");
        }
        return plain.equals("true");
    }

    private static @Nullable FastTime fast(Function<String, Optional<String>> lookup) throws SettingsException {
        String rate = lookup.apply("oilbird.clock-rate").orElse("1");
        Instant now = Instant.now();
        Instant origin = instant("oilbird.clock-origin", lookup, now);
        Instant shows = instant("oilbird.clock-shows", lookup, origin);
        try {
            double faster = Double.parseDouble(rate);
            return faster == 1 ? null : new FastTime(faster, origin.toEpochMilli(), shows.toEpochMilli());
        } catch (IllegalArgumentException e) {
            throw new SettingsException("oilbird.clock-rate is a number such as 1 or 60, not `" + rate + "`");
        }
    }

    private static Instant instant(String key, Function<String, Optional<String>> lookup, Instant otherwise)
            throws SettingsException {
        Optional<String> text = lookup.apply(key);
        try {
            return text.isEmpty() ? otherwise : Instant.parse(text.get());
        } catch (DateTimeParseException e) {
            throw new SettingsException(key + " is an instant such as 2026-10-05T06:00:00Z, not `" + text.get() + "`");
        }
    }
}
