package oilbird.gateway.opcua.trust;

import java.io.ByteArrayInputStream;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.security.GeneralSecurityException;
import java.security.MessageDigest;
import java.security.NoSuchAlgorithmException;
import java.security.cert.Certificate;
import java.security.cert.CertificateEncodingException;
import java.security.cert.CertificateException;
import java.security.cert.CertificateFactory;
import java.security.cert.X509CRL;
import java.security.cert.X509Certificate;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.stream.Stream;

/**
 * The certificates that the gateway trusts, as files that people can see and copy: {@code trusted} and {@code
 * issuers} (certificates, DER or PEM), {@code revoked} (lists of revoked ones), {@code rejected} (what was turned
 * away, set aside). Read anew each time, so that what a person puts there counts at the next attempt.
 */
public final class TrustFolder {
    /** A server that shows another certificate at each attempt must not fill the disk. */
    private static final int MOST_REJECTED = 100;

    private static final int LARGEST_FILE = 1 << 20;

    private final Path root;

    /** One certificate as a file. */
    public record Held(Path file, X509Certificate certificate) {}

    /** The four folders. */
    public enum Kind {
        TRUSTED,
        ISSUERS,
        REVOKED,
        REJECTED;

        String folder() {
            return name().toLowerCase(Locale.ROOT);
        }
    }

    /**
     * @param root folder {@code opc-ua} of the gateway's data folder; made if missing.
     */
    public TrustFolder(Path root) {
        this.root = root;
        try {
            for (Kind kind : Kind.values()) {
                Files.createDirectories(folder(kind));
            }
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    Path folder(Kind kind) {
        return root.resolve(kind.folder());
    }

    /** SHA-1 over the DER form, in hexadecimal: how OPC UA names a certificate (Part 4, 7.3). */
    public static String thumbprint(X509Certificate certificate) {
        try {
            return HexFormat.of().formatHex(MessageDigest.getInstance("SHA-1").digest(certificate.getEncoded()));
        } catch (NoSuchAlgorithmException | CertificateEncodingException e) {
            throw new IllegalStateException(e);
        }
    }

    /** The certificates of a folder, by file name; a file that holds none is passed over. */
    public List<Held> held(Kind kind) {
        List<Held> held = new ArrayList<>();
        for (Path file : files(kind)) {
            for (Certificate certificate : certificates(file)) {
                if (certificate instanceof X509Certificate x509) {
                    held.add(new Held(file, x509));
                }
            }
        }
        return List.copyOf(held);
    }

    List<X509Certificate> certificates(Kind kind) {
        return held(kind).stream().map(Held::certificate).toList();
    }

    List<X509CRL> revocationLists() {
        List<X509CRL> lists = new ArrayList<>();
        for (Path file : files(Kind.REVOKED)) {
            try {
                factory().generateCRLs(new ByteArrayInputStream(bytes(file))).stream()
                        .filter(X509CRL.class::isInstance)
                        .map(X509CRL.class::cast)
                        .forEach(lists::add);
            } catch (GeneralSecurityException | IOException notAList) {
                // A file that is no list revokes nothing; the command lists what is understood.
            }
        }
        return lists;
    }

    private List<Path> files(Kind kind) {
        try (Stream<Path> files = Files.list(folder(kind))) {
            return files.filter(Files::isRegularFile).sorted().toList();
        } catch (NoSuchFileException e) {
            return List.of();
        } catch (IOException e) {
            throw new UncheckedIOException(e);
        }
    }

    /** The certificates in a file; none where it holds none. */
    static List<Certificate> certificates(Path file) {
        try {
            return List.copyOf(factory().generateCertificates(new ByteArrayInputStream(bytes(file))));
        } catch (GeneralSecurityException | IOException notACertificate) {
            return List.of();
        }
    }

    private static byte[] bytes(Path file) throws IOException {
        if (Files.size(file) > LARGEST_FILE) {
            throw new IOException(file + " is too large");
        }
        return Files.readAllBytes(file);
    }

    private static CertificateFactory factory() throws CertificateException {
        return CertificateFactory.getInstance("X.509");
    }

    /** Sets a certificate aside, for a person to decide. */
    synchronized void reject(X509Certificate certificate) {
        String name = thumbprint(certificate) + ".der";
        try {
            Files.createDirectories(folder(Kind.REJECTED));
            if (!Files.exists(folder(Kind.REJECTED).resolve(name))
                    && files(Kind.REJECTED).size() < MOST_REJECTED) {
                Files.write(folder(Kind.REJECTED).resolve(name), certificate.getEncoded());
            }
        } catch (FileAlreadyExistsException alreadyThere) {
            // Another process set it aside at the same moment.
        } catch (IOException | CertificateEncodingException e) {
            throw new IllegalStateException("a rejected certificate cannot be set aside", e);
        }
    }

    /**
     * Trusts a certificate that was set aside.
     *
     * @param thumbprint its first digits, at least six.
     * @return the file that holds it now; empty where none or several are meant.
     */
    public Optional<Path> accept(String thumbprint) throws IOException {
        Optional<Held> one = one(Kind.REJECTED, thumbprint);
        if (one.isEmpty()) {
            return Optional.empty();
        }
        Path to = folder(Kind.TRUSTED).resolve(one.get().file().getFileName());
        Files.move(one.get().file(), to, StandardCopyOption.REPLACE_EXISTING);
        return Optional.of(to);
    }

    /** Trusts a certificate in a file from elsewhere; empty where the file holds none. */
    public Optional<Path> accept(Path file) throws IOException {
        List<Certificate> found = certificates(file);
        if (found.isEmpty() || !(found.get(0) instanceof X509Certificate certificate)) {
            return Optional.empty();
        }
        Path to = folder(Kind.TRUSTED).resolve(thumbprint(certificate) + ".der");
        try {
            Files.write(to, certificate.getEncoded());
        } catch (CertificateEncodingException e) {
            throw new IllegalStateException(e);
        }
        Files.deleteIfExists(folder(Kind.REJECTED).resolve(thumbprint(certificate) + ".der"));
        return Optional.of(to);
    }

    /** Trusts a certificate no longer; it is set aside. Empty where none or several are meant. */
    public Optional<Path> remove(String thumbprint) throws IOException {
        Optional<Held> one = one(Kind.TRUSTED, thumbprint);
        if (one.isEmpty()) {
            return Optional.empty();
        }
        Path to = folder(Kind.REJECTED).resolve(thumbprint(one.get().certificate()) + ".der");
        Files.move(one.get().file(), to, StandardCopyOption.REPLACE_EXISTING);
        return Optional.of(to);
    }

    private Optional<Held> one(Kind kind, String thumbprint) {
        String begins = thumbprint.toLowerCase(Locale.ROOT).replace(":", "");
        if (begins.length() < 6) {
            return Optional.empty();
        }
        List<Held> meant = held(kind).stream()
                .filter(h -> thumbprint(h.certificate()).startsWith(begins))
                .toList();
        return meant.size() == 1 ? Optional.of(meant.get(0)) : Optional.empty();
    }
}
