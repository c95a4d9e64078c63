package oilbird.gateway.opcua.trust;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Instant;
import org.jspecify.annotations.Nullable;

/** Where the gateway's certificate is kept; it is read, or made, when first asked for. Thread-safe. */
public final class OwnCertificateFolder {
    private final Path folder;
    private final String gateway;
    private @Nullable OwnCertificate known;

    /**
     * @param gateway id of the gateway in the station file.
     */
    public OwnCertificateFolder(Path folder, String gateway) {
        this.folder = folder;
        this.gateway = gateway;
    }

    /**
     * The certificate, the same each time.
     *
     * @throws IOException if it can neither be read nor made.
     */
    public synchronized OwnCertificate certificate(Instant now) throws IOException {
        OwnCertificate own = known;
        if (own == null) {
            own = OwnCertificate.of(folder, gateway, now);
            known = own;
        }
        return own;
    }
}
