package oilbird.gateway.access;

import java.io.IOException;
import java.io.StringReader;
import java.io.StringWriter;
import java.math.BigInteger;
import java.net.InetAddress;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.security.GeneralSecurityException;
import java.security.KeyPair;
import java.security.KeyPairGenerator;
import java.security.MessageDigest;
import java.security.PrivateKey;
import java.security.PublicKey;
import java.security.SecureRandom;
import java.security.Signature;
import java.security.cert.CertificateFactory;
import java.security.cert.X509Certificate;
import java.security.spec.ECGenParameterSpec;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Date;
import java.util.HexFormat;
import java.util.List;
import org.bouncycastle.asn1.pkcs.PKCSObjectIdentifiers;
import org.bouncycastle.asn1.pkcs.PrivateKeyInfo;
import org.bouncycastle.asn1.x500.X500Name;
import org.bouncycastle.asn1.x500.X500NameBuilder;
import org.bouncycastle.asn1.x500.style.BCStyle;
import org.bouncycastle.asn1.x509.BasicConstraints;
import org.bouncycastle.asn1.x509.ExtendedKeyUsage;
import org.bouncycastle.asn1.x509.Extension;
import org.bouncycastle.asn1.x509.ExtensionsGenerator;
import org.bouncycastle.asn1.x509.GeneralName;
import org.bouncycastle.asn1.x509.GeneralNames;
import org.bouncycastle.asn1.x509.KeyPurposeId;
import org.bouncycastle.asn1.x509.KeyUsage;
import org.bouncycastle.cert.jcajce.JcaX509CertificateConverter;
import org.bouncycastle.cert.jcajce.JcaX509v3CertificateBuilder;
import org.bouncycastle.openssl.PEMKeyPair;
import org.bouncycastle.openssl.PEMParser;
import org.bouncycastle.openssl.jcajce.JcaPEMKeyConverter;
import org.bouncycastle.openssl.jcajce.JcaPEMWriter;
import org.bouncycastle.openssl.jcajce.JcaPKCS8Generator;
import org.bouncycastle.operator.ContentSigner;
import org.bouncycastle.operator.OperatorCreationException;
import org.bouncycastle.operator.jcajce.JcaContentSignerBuilder;
import org.bouncycastle.pkcs.jcajce.JcaPKCS10CertificationRequestBuilder;

/**
 * The certificate and key of the gateway's pages, as PEM files in the data folder. Made at the first start, signed by
 * itself; replaced by putting others in their place, or by asking a certification authority with a request (PKCS #10).
 */
public final class ServerCertificate {
    private static final Duration VALID = Duration.ofDays(825);
    private static final Duration EARLY = Duration.ofDays(1);
    private static final Duration SOON = Duration.ofDays(30);
    private static final String CURVE = "secp256r1";
    private static final String SIGNATURE = "SHA256withECDSA";

    private final Path folder;

    /**
     * @param data folder of the gateway.
     */
    public ServerCertificate(Path data) {
        this.folder = data.resolve(AccountStore.FOLDER);
    }

    public Path certificateFile() {
        return folder.resolve("https.crt");
    }

    public Path keyFile() {
        return folder.resolve("https.key");
    }

    /**
     * Makes a key and a certificate where there are none.
     *
     * @param hosts further names or addresses under which browsers will ask, besides those of this machine.
     * @return true where they were made.
     * @throws IOException if only one of the two is there, or nothing can be written.
     */
    public boolean makeIfMissing(String commonName, List<String> hosts, Instant now) throws IOException {
        boolean certificate = Files.exists(certificateFile());
        if (certificate != Files.exists(keyFile())) {
            throw new IOException("of " + certificateFile() + " and " + keyFile()
                    + " only one is there; put both there, or move the one away and start again");
        }
        if (certificate) {
            return false;
        }
        OwnerOnly.folder(folder);
        try {
            KeyPairGenerator generator = KeyPairGenerator.getInstance("EC");
            generator.initialize(new ECGenParameterSpec(CURVE));
            KeyPair keys = generator.generateKeyPair();
            X509Certificate made = selfSigned(keys, commonName, hosts, now);
            replace(keyFile(), pem(new JcaPKCS8Generator(keys.getPrivate(), null)));
            replace(certificateFile(), pem(made));
            return true;
        } catch (GeneralSecurityException | OperatorCreationException e) {
            throw new IOException("no certificate could be made: " + e.getMessage(), e);
        }
    }

    private static X509Certificate selfSigned(KeyPair keys, String commonName, List<String> hosts, Instant now)
            throws GeneralSecurityException, OperatorCreationException, IOException {
        X500Name name = subject(commonName);
        var builder = new JcaX509v3CertificateBuilder(
                name,
                new BigInteger(127, new SecureRandom()).add(BigInteger.ONE),
                Date.from(now.minus(EARLY)),
                Date.from(now.plus(VALID)),
                name,
                keys.getPublic());
        builder.addExtension(Extension.basicConstraints, true, new BasicConstraints(false));
        builder.addExtension(Extension.keyUsage, true, new KeyUsage(KeyUsage.digitalSignature));
        builder.addExtension(Extension.extendedKeyUsage, false, new ExtendedKeyUsage(KeyPurposeId.id_kp_serverAuth));
        builder.addExtension(Extension.subjectAlternativeName, false, alternatives(hosts));
        ContentSigner signer = new JcaContentSignerBuilder(SIGNATURE).build(keys.getPrivate());
        return new JcaX509CertificateConverter().getCertificate(builder.build(signer));
    }

    private static X500Name subject(String commonName) {
        return new X500NameBuilder(BCStyle.INSTANCE)
                .addRDN(BCStyle.CN, commonName)
                .build();
    }

    private static GeneralNames alternatives(List<String> hosts) {
        List<String> all = new ArrayList<>(List.of("localhost", "127.0.0.1", "::1"));
        try {
            all.add(InetAddress.getLocalHost().getHostName());
        } catch (IOException e) {
            // A machine that does not know its own name is reached by address.
        }
        all.addAll(hosts);
        return new GeneralNames(all.stream()
                .distinct()
                .map(host -> new GeneralName(
                        host.matches("[0-9.]+|[0-9a-fA-F:]*:[0-9a-fA-F:.]*")
                                ? GeneralName.iPAddress
                                : GeneralName.dNSName,
                        host))
                .toArray(GeneralName[]::new));
    }

    /** A request for a certificate of the same key, to be signed by the owner's certification authority; PEM. */
    public String request(String commonName, List<String> hosts) throws IOException {
        try {
            PrivateKey key = key();
            ExtensionsGenerator extensions = new ExtensionsGenerator();
            extensions.addExtension(Extension.subjectAlternativeName, false, alternatives(hosts));
            var request = new JcaPKCS10CertificationRequestBuilder(
                            subject(commonName), certificate().getPublicKey())
                    .addAttribute(PKCSObjectIdentifiers.pkcs_9_at_extensionRequest, extensions.generate())
                    .build(new JcaContentSignerBuilder(signature(key)).build(key));
            return pem(request);
        } catch (OperatorCreationException e) {
            throw new IOException("no request could be made: " + e.getMessage(), e);
        }
    }

    /**
     * Puts another certificate in the place of the present one, with the certificates of its issuers behind it.
     *
     * @param chain PEM.
     * @throws IOException if it is not for the key that is there, or is over.
     */
    public X509Certificate take(String chain, Instant now) throws IOException {
        X509Certificate first = first(chain);
        try {
            first.checkValidity(Date.from(now));
            if (!belongTogether(key(), first.getPublicKey())) {
                throw new IOException("the certificate is not for the key in " + keyFile()
                        + "; let it be made from a request of this gateway, or put both files there");
            }
        } catch (GeneralSecurityException e) {
            throw new IOException("the certificate is not valid now: " + e.getMessage(), e);
        }
        replace(certificateFile(), chain);
        return first;
    }

    private static boolean belongTogether(PrivateKey key, PublicKey certified) throws GeneralSecurityException {
        byte[] some = new byte[32];
        new SecureRandom().nextBytes(some);
        Signature signing = Signature.getInstance(signature(key));
        signing.initSign(key);
        signing.update(some);
        byte[] signed = signing.sign();
        Signature verifying = Signature.getInstance(signature(key));
        if (!key.getAlgorithm().equals(certified.getAlgorithm())) {
            return false;
        }
        verifying.initVerify(certified);
        verifying.update(some);
        return verifying.verify(signed);
    }

    private static String signature(PrivateKey key) {
        return key.getAlgorithm().equals("RSA") ? "SHA256withRSA" : SIGNATURE;
    }

    private PrivateKey key() throws IOException {
        try (PEMParser parser =
                new PEMParser(new StringReader(Files.readString(keyFile(), StandardCharsets.US_ASCII)))) {
            Object read = parser.readObject();
            if (read instanceof PEMKeyPair pair) {
                return new JcaPEMKeyConverter().getPrivateKey(pair.getPrivateKeyInfo());
            }
            if (read instanceof PrivateKeyInfo info) {
                return new JcaPEMKeyConverter().getPrivateKey(info);
            }
            throw new IOException(keyFile() + " holds no private key without a password, in PEM");
        }
    }

    public X509Certificate certificate() throws IOException {
        return first(Files.readString(certificateFile(), StandardCharsets.US_ASCII));
    }

    private static X509Certificate first(String chain) throws IOException {
        try {
            var all = CertificateFactory.getInstance("X.509")
                    .generateCertificates(new java.io.ByteArrayInputStream(chain.getBytes(StandardCharsets.US_ASCII)));
            if (all.isEmpty()) {
                throw new IOException("there is no certificate in PEM");
            }
            return (X509Certificate) all.iterator().next();
        } catch (GeneralSecurityException e) {
            throw new IOException("there is no certificate in PEM: " + e.getMessage(), e);
        }
    }

    /** True where it is over or soon is. */
    public static boolean expiring(X509Certificate certificate, Instant now) {
        return certificate.getNotAfter().toInstant().isBefore(now.plus(SOON));
    }

    /** SHA-256 of the certificate, in hexadecimal: what a person compares before trusting it. */
    public static String thumbprint(X509Certificate certificate) {
        try {
            return HexFormat.ofDelimiter(":")
                    .withUpperCase()
                    .formatHex(MessageDigest.getInstance("SHA-256").digest(certificate.getEncoded()));
        } catch (GeneralSecurityException e) {
            throw new IllegalStateException(e);
        }
    }

    private static String pem(Object of) throws IOException {
        StringWriter text = new StringWriter();
        try (JcaPEMWriter writer = new JcaPEMWriter(text)) {
            writer.writeObject(of);
        }
        return text.toString();
    }

    private static void replace(Path file, String text) throws IOException {
        Path next = OwnerOnly.file(file.resolveSibling(file.getFileName() + ".next"));
        Files.writeString(next, text, StandardOpenOption.TRUNCATE_EXISTING, StandardOpenOption.SYNC);
        Files.move(next, file, StandardCopyOption.ATOMIC_MOVE, StandardCopyOption.REPLACE_EXISTING);
    }
}
