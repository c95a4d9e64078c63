package oilbird.gateway.app.wiring;

import java.io.IOException;
import java.io.PrintStream;
import java.net.InetAddress;
import java.net.UnknownHostException;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import oilbird.gateway.access.ServerCertificate;

/** Says to the web server, before it starts, how it is to listen: with TLS, or without it on this machine alone. */
final class WebServer {
    private static final String HERE = "127.0.0.1";
    private static final String PORT = "8088";
    private static final int WRONG_SETTINGS = 1;

    private WebServer() {}

    static void prepare(GatewaySettings settings, PrintStream errors) throws StationLoading.RefusedException {
        String host = told("quarkus.http.host").orElse(HERE);
        if (settings.plainHttp()) {
            if (!loopback(host)) {
                throw new StationLoading.RefusedException(
                        WRONG_SETTINGS,
                        "without TLS the gateway listens on this machine only, and not on " + host
                                + ": leave oilbird.plain-http away, or the address");
            }
            return;
        }
        ServerCertificate certificate = new ServerCertificate(settings.data());
        try {
            boolean any = host.equals("0.0.0.0") || host.equals("::");
            boolean made = certificate.makeIfMissing(
                    "Oilbird gateway", any || loopback(host) ? List.of() : List.of(host), Instant.now());
            if (made) {
                errors.println("A certificate was made for the gateway's pages. Its SHA-256 thumbprint, to be compared"
                        + " before a browser is told to trust it:\n\n    "
                        + ServerCertificate.thumbprint(certificate.certificate()) + "\n");
            }
        } catch (IOException e) {
            throw new StationLoading.RefusedException(WRONG_SETTINGS, String.valueOf(e.getMessage()));
        }
        System.setProperty("quarkus.http.insecure-requests", "disabled");
        System.setProperty("quarkus.http.ssl-port", told("quarkus.http.port").orElse(PORT));
        System.setProperty(
                "quarkus.http.ssl.certificate.files",
                certificate.certificateFile().toString());
        System.setProperty(
                "quarkus.http.ssl.certificate.key-files", certificate.keyFile().toString());
        System.setProperty("quarkus.http.ssl.certificate.reload-period", "1m");
    }

    private static Optional<String> told(String key) {
        return Optional.ofNullable(System.getProperty(key))
                .or(() -> Optional.ofNullable(
                        System.getenv(key.toUpperCase(java.util.Locale.ROOT).replace('.', '_'))))
                .filter(text -> !text.isBlank());
    }

    private static boolean loopback(String host) {
        try {
            return InetAddress.getByName(host).isLoopbackAddress();
        } catch (UnknownHostException e) {
            return false;
        }
    }
}
