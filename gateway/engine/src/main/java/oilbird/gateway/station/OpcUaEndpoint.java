package oilbird.gateway.station;

import java.time.Duration;
import org.jspecify.annotations.Nullable;

/**
 * Where a device answers as an OPC UA server, and how the way to it is secured.
 *
 * @param url {@code opc.tcp://host:port/path}.
 * @param encrypted true for signed and encrypted messages, false for signed ones; meaningless without security.
 * @param identity who the gateway says it is.
 * @param deadline how long one answer may take.
 */
public record OpcUaEndpoint(String url, Security security, boolean encrypted, Identity identity, Duration deadline)
        implements Endpoint {
    /** Security policies of OPC UA Part 7, 6.6, by the ends of their URIs. */
    public enum Security {
        /** Nothing is signed or encrypted; only where the station file says so. */
        NONE("None"),
        BASIC256SHA256("Basic256Sha256"),
        AES128_SHA256_RSAOAEP("Aes128_Sha256_RsaOaep"),
        AES256_SHA256_RSAPSS("Aes256_Sha256_RsaPss");

        private final String policy;

        Security(String policy) {
            this.policy = policy;
        }

        /** As the standard writes it, after {@code http://opcfoundation.org/UA/SecurityPolicy#}. */
        public String policy() {
            return policy;
        }
    }

    /** Who the gateway says it is. */
    public sealed interface Identity {}

    /** Nobody in particular. */
    public record Anonymous() implements Identity {}

    /** A user with a password. */
    public record UserName(String name, SecretSource password) implements Identity {}

    /**
     * A user with a certificate of their own.
     *
     * @param file PKCS#12 with the certificate and its key; absolute, or below the folder {@code secrets} of the
     *     gateway's data folder.
     * @param password of the file; null where it has none.
     */
    public record UserCertificate(String file, @Nullable SecretSource password) implements Identity {}
}
