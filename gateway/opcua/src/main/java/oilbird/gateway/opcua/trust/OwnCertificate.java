package oilbird.gateway.opcua.trust;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.nio.file.attribute.PosixFileAttributeView;
import java.nio.file.attribute.PosixFilePermissions;
import java.security.GeneralSecurityException;
import java.security.Key;
import java.security.KeyPair;
import java.security.KeyStore;
import java.security.PrivateKey;
import java.security.cert.Certificate;
import java.security.cert.X509Certificate;
import java.time.Duration;
import java.time.Instant;
import java.util.Date;
import java.util.List;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateBuilder;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateGenerator;

/**
 * The certificate and key by which the gateway is known to OPC UA servers; made at the first start.
 *
 * @param uri application URI, also in the certificate.
 */
public record OwnCertificate(KeyPair keys, X509Certificate certificate, String uri) {
    /** The key with its certificate, readable by the gateway's user only. */
    public static final String KEY_FILE = "own.p12";

    /** The certificate alone, to be given to the servers. */
    static final String CERTIFICATE_FILE = "own.der";

    private static final String ALIAS = "gateway";
    /** The file's permissions protect the key; a password beside it would protect nothing more. */
    private static final char[] NO_PASSWORD = new char[0];

    private static final int KEY_BITS = 2048;
    private static final Duration VALID_FOR = Duration.ofDays(20 * 365);
    /** An edge box may start without a clock: its certificate must be valid all the same when it has one. */
    private static final Instant VALID_FROM = Instant.parse("2025-01-01T00:00:00Z");

    /**
     * The certificate in the folder, or a new one.
     *
     * @param gateway id of the gateway in the station file.
     * @throws IOException if it cannot be read, or made.
     */
    public static OwnCertificate of(Path folder, String gateway, Instant now) throws IOException {
        return of(folder, gateway, uri(gateway), List.of(), now);
    }

    /**
     * The certificate of the gateway as a server: of another application than the one that asks the monitors, since
     * trust in the one is none in the other.
     *
     * @param hosts names or addresses under which clients reach it; those of a certificate that is there stay.
     */
    public static OwnCertificate ofServer(Path folder, String gateway, List<String> hosts, Instant now)
            throws IOException {
        return of(folder, gateway, uri(gateway) + ":server", hosts, now);
    }

    private static OwnCertificate of(Path folder, String gateway, String uri, List<String> hosts, Instant now)
            throws IOException {
        Path file = folder.resolve(KEY_FILE);
        try {
            return Files.exists(file) ? read(file) : make(folder, file, gateway, uri, hosts, now);
        } catch (GeneralSecurityException e) {
            throw new IOException(file + " is not a key with its certificate: " + e.getMessage(), e);
        }
    }

    /** Whether the folder has a certificate already. */
    public static boolean isIn(Path folder) {
        return Files.exists(folder.resolve(KEY_FILE));
    }

    /**
     * A certificate that nobody keeps, for a session that is not secured.
     *
     * @throws IOException if it cannot be made.
     */
    public static OwnCertificate notKept(String name, Instant now) throws IOException {
        try {
            return made(name, uri(name), List.of(), now);
        } catch (GeneralSecurityException e) {
            throw new IOException("no certificate could be made: " + e.getMessage(), e);
        }
    }

    private static OwnCertificate made(String name, String uri, List<String> hosts, Instant now)
            throws GeneralSecurityException {
        KeyPair keys = SelfSignedCertificateGenerator.generateRsaKeyPair(KEY_BITS);
        return new OwnCertificate(keys, certificate(keys, name, uri, hosts, now), uri);
    }

    private static String uri(String gateway) {
        return "urn:oilbird:gateway:" + gateway;
    }

    private static OwnCertificate read(Path file) throws IOException, GeneralSecurityException {
        KeyStore store = KeyStore.getInstance("PKCS12");
        try (InputStream in = Files.newInputStream(file)) {
            store.load(in, NO_PASSWORD);
        }
        Key key = store.getKey(ALIAS, NO_PASSWORD);
        Certificate certificate = store.getCertificate(ALIAS);
        if (!(key instanceof PrivateKey privateKey) || !(certificate instanceof X509Certificate x509)) {
            throw new GeneralSecurityException("it holds no key named " + ALIAS);
        }
        return new OwnCertificate(new KeyPair(x509.getPublicKey(), privateKey), x509, uriIn(x509));
    }

    private static OwnCertificate make(
            Path folder, Path file, String gateway, String uri, List<String> hosts, Instant now)
            throws IOException, GeneralSecurityException {
        Files.createDirectories(folder);
        OwnCertificate made = made(gateway, uri, hosts, now);
        KeyStore store = KeyStore.getInstance("PKCS12");
        store.load(null, NO_PASSWORD);
        store.setKeyEntry(ALIAS, made.keys().getPrivate(), NO_PASSWORD, new Certificate[] {made.certificate()});
        Path part = folder.resolve(KEY_FILE + ".part");
        Files.deleteIfExists(part);
        Files.createFile(part);
        if (Files.getFileAttributeView(part, PosixFileAttributeView.class) != null) {
            Files.setPosixFilePermissions(part, PosixFilePermissions.fromString("rw-------"));
        }
        try (OutputStream out = Files.newOutputStream(part, StandardOpenOption.WRITE)) {
            store.store(out, NO_PASSWORD);
        }
        Files.write(folder.resolve(CERTIFICATE_FILE), made.certificate().getEncoded());
        Files.move(part, file, StandardCopyOption.ATOMIC_MOVE);
        return made;
    }

    private static X509Certificate certificate(
            KeyPair keys, String gateway, String uri, List<String> hosts, Instant now) throws GeneralSecurityException {
        Instant later = now.isAfter(VALID_FROM) ? now : VALID_FROM;
        try {
            return new SelfSignedCertificateGenerator()
                    .generateSelfSigned(
                            keys,
                            Date.from(VALID_FROM),
                            Date.from(later.plus(VALID_FOR)),
                            "Oilbird gateway " + gateway,
                            null,
                            null,
                            null,
                            null,
                            null,
                            uri,
                            hosts.stream().filter(host -> !isAddress(host)).toList(),
                            hosts.stream().filter(OwnCertificate::isAddress).toList(),
                            SelfSignedCertificateBuilder.SA_SHA256_RSA);
        } catch (Exception e) {
            // The library declares no less.
            throw new GeneralSecurityException("no certificate could be made", e);
        }
    }

    private static boolean isAddress(String host) {
        return host.matches("[0-9.]+|[0-9a-fA-F:]*:[0-9a-fA-F:.]*");
    }

    /** The application URI in a certificate; empty where it has none. */
    static String uriIn(X509Certificate certificate) throws GeneralSecurityException {
        var names = certificate.getSubjectAlternativeNames();
        if (names != null) {
            for (List<?> name : names) {
                // RFC 5280, 4.2.1.6: a general name of type 6 is a URI.
                if (name.get(0).equals(6)) {
                    return String.valueOf(name.get(1));
                }
            }
        }
        return "";
    }
}
