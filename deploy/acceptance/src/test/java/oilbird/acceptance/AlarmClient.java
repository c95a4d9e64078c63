package oilbird.acceptance;

import java.nio.file.Files;
import java.nio.file.Path;
import java.security.KeyPair;
import java.security.Security;
import java.security.cert.X509Certificate;
import java.time.Instant;
import java.util.Date;
import java.util.List;
import org.bouncycastle.jce.provider.BouncyCastleProvider;
import org.eclipse.milo.opcua.sdk.client.OpcUaClient;
import org.eclipse.milo.opcua.sdk.client.identity.UsernameProvider;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MessageSecurityMode;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateBuilder;
import org.eclipse.milo.opcua.stack.core.util.SelfSignedCertificateGenerator;

/**
 * A control room that connects to the gateway's OPC UA server, with an independent library and the strictest policy.
 *
 * @param certificate its own, valid for a day.
 */
record AlarmClient(KeyPair keys, X509Certificate certificate) {
    static final String NAME = "test control room";
    private static final String URI = "urn:fenmarch:control-room";

    static AlarmClient make() throws Exception {
        // Aes256_Sha256_RsaPss is not to be had otherwise.
        Security.addProvider(new BouncyCastleProvider());
        KeyPair keys = SelfSignedCertificateGenerator.generateRsaKeyPair(2048);
        Instant until = Instant.now().plusSeconds(86_400);
        X509Certificate certificate = new SelfSignedCertificateGenerator()
                .generateSelfSigned(
                        keys,
                        Date.from(until.minusSeconds(172_800)),
                        Date.from(until),
                        NAME,
                        null,
                        null,
                        null,
                        null,
                        null,
                        URI,
                        List.of(),
                        List.of("127.0.0.1"),
                        SelfSignedCertificateBuilder.SA_SHA256_RSA);
        return new AlarmClient(keys, certificate);
    }

    /** As a person does with {@code trust DATA clients accept}. */
    void trustedBy(Path data) throws Exception {
        Path trusted = Files.createDirectories(data.resolve("opc-ua-server/trusted"));
        Files.write(trusted.resolve("control-room.der"), certificate.getEncoded());
    }

    OpcUaClient connect(int port) throws Exception {
        return connect(port, GatewayProcess.password());
    }

    OpcUaClient connect(int port, String password) throws Exception {
        OpcUaClient client = OpcUaClient.create(
                "opc.tcp://127.0.0.1:" + port + "/oilbird",
                offered -> offered.stream()
                        .filter(e ->
                                SecurityPolicy.Aes256_Sha256_RsaPss.getUri().equals(e.getSecurityPolicyUri())
                                        && e.getSecurityMode() == MessageSecurityMode.SignAndEncrypt)
                        .findFirst(),
                transport -> {},
                config -> config.setApplicationUri(URI)
                        .setKeyPair(keys)
                        .setCertificate(certificate)
                        .setCertificateChain(new X509Certificate[] {certificate})
                        .setIdentityProvider(new UsernameProvider(GatewayProcess.USER, password)));
        boolean connected = false;
        try {
            client.connect();
            connected = true;
            return client;
        } finally {
            if (!connected) {
                client.disconnectAsync();
            }
        }
    }
}
