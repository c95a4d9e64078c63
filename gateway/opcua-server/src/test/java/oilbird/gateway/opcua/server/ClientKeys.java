package oilbird.gateway.opcua.server;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.security.KeyPair;
import java.security.cert.X509Certificate;
import java.time.Instant;
import java.util.Date;
import java.util.List;
import org.eclipse.milo.opcua.sdk.client.OpcUaClientConfigBuilder;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateBuilder;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateGenerator;

/** Key and certificate of an invented control-room system. */
public record ClientKeys(KeyPair keys, X509Certificate certificate, String uri) {
    /** Valid for a day either way. */
    public static ClientKeys make() throws Exception {
        return make(Instant.now().plusSeconds(86_400));
    }

    public static ClientKeys make(Instant until) throws Exception {
        String uri = "urn:fenmarch:test-client";
        KeyPair keys = SelfSignedCertificateGenerator.generateRsaKeyPair(2048);
        X509Certificate certificate = new SelfSignedCertificateGenerator()
                .generateSelfSigned(
                        keys,
                        Date.from(until.minusSeconds(30L * 86_400)),
                        Date.from(until),
                        "test client",
                        null,
                        null,
                        null,
                        null,
                        null,
                        uri,
                        List.of("localhost"),
                        List.of(),
                        SelfSignedCertificateBuilder.SA_SHA256_RSA);
        return new ClientKeys(keys, certificate, uri);
    }

    /** As a person does with {@code trust DATA clients accept}. */
    public void trustedBy(Path data) throws IOException {
        Path folder =
                Files.createDirectories(data.resolve(OpcUaServerLink.FOLDER).resolve("trusted"));
        try {
            Files.write(folder.resolve("client.der"), certificate.getEncoded());
        } catch (java.security.cert.CertificateEncodingException e) {
            throw new IllegalStateException(e);
        }
    }

    public void into(OpcUaClientConfigBuilder config) {
        config.setApplicationUri(uri)
                .setKeyPair(keys)
                .setCertificate(certificate)
                .setCertificateChain(new X509Certificate[] {certificate});
    }
}
