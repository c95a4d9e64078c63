package oilbird.gateway.station;

import java.net.URI;
import java.nio.file.Path;
import java.time.Duration;
import org.jspecify.annotations.Nullable;

/**
 * A link that posts each event to a web server, as the station file defines it.
 *
 * @param url http or https, with a host.
 * @param secret what the signature is made with.
 * @param deadline how long one request may take in all.
 * @param trustedCertificates PEM file of the certificates that the server's own must descend from; null for those
 *     that Java trusts.
 */
public record WebhookLinkSettings(
        String id,
        String name,
        URI url,
        SecretSource secret,
        Duration deadline,
        @Nullable Path trustedCertificates) implements LinkSettings {
    @Override
    public String kind() {
        return "webhook";
    }
}
