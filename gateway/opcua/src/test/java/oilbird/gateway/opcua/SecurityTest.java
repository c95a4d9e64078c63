package oilbird.gateway.opcua;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.OutputStream;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermission;
import java.security.KeyPair;
import java.security.KeyStore;
import java.security.cert.Certificate;
import java.security.cert.X509Certificate;
import java.time.Instant;
import java.util.Set;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.opcua.MonitorServer.Setup;
import oilbird.gateway.opcua.trust.TrustFolder;
import oilbird.gateway.station.OpcUaEndpoint;
import oilbird.gateway.station.OpcUaEndpoint.Identity;
import oilbird.gateway.station.OpcUaEndpoint.Security;
import oilbird.gateway.station.SecretSource;
import oilbird.mapping.signal.QualityReason;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.enumerated.MessageSecurityMode;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * Who is trusted by whom, and what becomes of the values where nobody is. The server is one of the test's own; policies
 * by OPC UA Part 7, 6.6, certificates by Part 4, 6.1.3.
 */
class SecurityTest {
    private static final Identity NOBODY = new OpcUaEndpoint.Anonymous();
    private static final Identity USER =
            new OpcUaEndpoint.UserName(MonitorServer.USER, new SecretSource("moisture-t1", null));

    @TempDir
    Path data;

    private void password(String password) throws Exception {
        Files.createDirectories(data.resolve("secrets"));
        Files.writeString(data.resolve("secrets/moisture-t1"), password + "\n");
    }

    private void trust(X509Certificate certificate) throws Exception {
        Files.createDirectories(data.resolve("opc-ua/trusted"));
        Files.write(data.resolve("opc-ua/trusted/monitor.der"), certificate.getEncoded());
    }

    private FollowingRig follow(MonitorServer server, Identity identity) throws Exception {
        return new FollowingRig(FollowingRig.endpoint(server.url(), Security.BASIC256SHA256, true, identity), data);
    }

    @ParameterizedTest
    @CsvSource({
        "BASIC256SHA256, true",
        "AES128_SHA256_RSAOAEP, true",
        "AES256_SHA256_RSAPSS, true",
        "BASIC256SHA256, false",
        "NONE, false"
    })
    void valuesComeUnderEachSecurityPolicy(Security security, boolean encrypted) throws Exception {
        SecurityPolicy policy =
                SecurityPolicy.fromUri("http://opcfoundation.org/UA/SecurityPolicy#" + security.policy());
        Setup setup = Setup.plain()
                .with(Set.of(policy), encrypted ? MessageSecurityMode.SignAndEncrypt : MessageSecurityMode.Sign);
        password(MonitorServer.PASSWORD);
        try (MonitorServer server = new MonitorServer(setup)) {
            server.trust(FollowingRig.own(data).certificate());
            trust(server.certificate());
            try (FollowingRig rig =
                    new FollowingRig(FollowingRig.endpoint(server.url(), security, encrypted, USER), data)) {
                rig.awaitWater(0.25);
                server.set("Water", 0.5);
                rig.awaitWater(0.5);
                assertThat(rig.numbers("water")).containsOnly(0.25, 0.5);
            }
        }
    }

    @Test
    void aPolicyThatTheServerDoesNotOfferIsNeverReplacedByAnother() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.secured(SecurityPolicy.Basic256Sha256));
                FollowingRig rig = new FollowingRig(
                        FollowingRig.endpoint(server.url(), Security.AES256_SHA256_RSAPSS, true, NOBODY), data)) {
            StationInput.RequestFailed failed = rig.awaitFailure(QualityReason.REFUSED_BY_DEVICE);
            assertThat(failed.detail())
                    .contains("does not offer Aes256_Sha256_RsaPss", "Basic256Sha256 with SignAndEncrypt");
            rig.awaitNotice(2202);
            assertThat(rig.numbers("water")).isEmpty();
        }
    }

    @Test
    void anUnknownServerIsSetAsideUntilAPersonTrustsIt() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.secured(SecurityPolicy.Basic256Sha256))) {
            server.trust(FollowingRig.own(data).certificate());
            try (FollowingRig rig = follow(server, NOBODY)) {
                StationInput.RequestFailed failed = rig.awaitFailure(QualityReason.UNREACHABLE);
                String thumbprint = TrustFolder.thumbprint(server.certificate());
                assertThat(failed.detail()).contains("not trusted", thumbprint);
                rig.awaitNotice(2210);
                assertThat(rig.numbers("water")).isEmpty();
                TrustFolder folder = new TrustFolder(data.resolve("opc-ua"));
                assertThat(folder.held(TrustFolder.Kind.REJECTED))
                        .extracting(TrustFolder.Held::certificate)
                        .containsExactly(server.certificate());

                assertThat(folder.accept(thumbprint.substring(0, 8))).isPresent();
                rig.awaitWater(0.25);
                assertThat(folder.held(TrustFolder.Kind.REJECTED)).isEmpty();
            }
        }
    }

    @Test
    void anotherServerInThePlaceOfATrustedOneGetsNoPasswordAndGivesNoValue() throws Exception {
        try (MonitorServer real = new MonitorServer(Setup.secured(SecurityPolicy.Basic256Sha256))) {
            trust(real.certificate());
        }
        password(MonitorServer.PASSWORD);
        Setup other = Setup.secured(SecurityPolicy.Basic256Sha256)
                .withCertificate(Setup.URI, MonitorServer.keys(), Instant.now().plusSeconds(3_600));
        try (MonitorServer impostor = new MonitorServer(other)) {
            impostor.trust(FollowingRig.own(data).certificate());
            try (FollowingRig rig = follow(impostor, USER)) {
                assertThat(rig.awaitFailure(QualityReason.UNREACHABLE).detail()).contains("not trusted");
                rig.awaitFailure(QualityReason.UNREACHABLE);
                assertThat(rig.numbers("water")).isEmpty();
                assertThat(impostor.sessions()).isZero();
            }
        }
    }

    @ParameterizedTest
    @CsvSource({
        "urn:another:application, 3600, Bad_CertificateUriInvalid",
        "urn:windlow:test-monitor:server, -3600, Bad_CertificateTimeInvalid"
    })
    void aTrustedCertificateThatIsWrongIsRefusedAllTheSame(String uri, long seconds, String why) throws Exception {
        Setup wrong = Setup.secured(SecurityPolicy.Basic256Sha256)
                .withCertificate(uri, MonitorServer.KEYS, Instant.now().plusSeconds(seconds));
        try (MonitorServer server = new MonitorServer(wrong)) {
            server.trust(FollowingRig.own(data).certificate());
            trust(server.certificate());
            try (FollowingRig rig = follow(server, NOBODY)) {
                assertThat(rig.awaitFailure(QualityReason.UNREACHABLE).detail()).contains(why);
                assertThat(rig.numbers("water")).isEmpty();
            }
        }
    }

    @Test
    void withoutAClockTheTimeOfACertificateIsNotJudged() throws Exception {
        Setup over = Setup.secured(SecurityPolicy.Basic256Sha256)
                .withCertificate(Setup.URI, MonitorServer.KEYS, Instant.now().minusSeconds(3_600));
        try (MonitorServer server = new MonitorServer(over)) {
            server.trust(FollowingRig.own(data).certificate());
            trust(server.certificate());
            try (FollowingRig rig = new FollowingRig(
                    FollowingRig.endpoint(server.url(), Security.BASIC256SHA256, true, NOBODY),
                    FollowingRig.MAP,
                    data,
                    false)) {
                rig.awaitWater(0.25);
            }
        }
    }

    @Test
    void aServerThatDoesNotTrustTheGatewayIsToldOfAndTriedAgain() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.secured(SecurityPolicy.Basic256Sha256))) {
            trust(server.certificate());
            try (FollowingRig rig = follow(server, NOBODY)) {
                rig.awaitFailure(QualityReason.REFUSED_BY_DEVICE);
                rig.awaitNotice(2211);
                assertThat(rig.notices.toString()).contains("own.der");
                assertThat(rig.numbers("water")).isEmpty();

                server.trust(FollowingRig.own(data).certificate());
                rig.awaitWater(0.25);
            }
        }
    }

    @Test
    void aWrongPasswordIsToldAndTheRightOneIsTakenFromTheFileLater() throws Exception {
        password("south gate 8");
        try (MonitorServer server = new MonitorServer(Setup.secured(SecurityPolicy.Basic256Sha256))) {
            server.trust(FollowingRig.own(data).certificate());
            trust(server.certificate());
            try (FollowingRig rig = follow(server, USER)) {
                StationInput.RequestFailed failed = rig.awaitFailure(QualityReason.REFUSED_BY_DEVICE);
                assertThat(failed.detail()).contains("refuses the user");
                rig.awaitNotice(2204);
                assertThat(rig.numbers("water")).isEmpty();
                assertThat(rig.all.toString() + rig.notices).doesNotContain("south gate");

                password(MonitorServer.PASSWORD);
                rig.awaitWater(0.25);
            }
        }
    }

    @Test
    void aSecretThatIsNotThereIsToldWithItsPlace() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain());
                FollowingRig rig = new FollowingRig(
                        FollowingRig.endpoint(
                                server.url(),
                                Security.NONE,
                                false,
                                new OpcUaEndpoint.UserName("oilbird", new SecretSource("nowhere", null))),
                        data)) {
            assertThat(rig.awaitFailure(QualityReason.UNREACHABLE).detail())
                    .contains(data.resolve("secrets/nowhere").toString());
        }
    }

    @Test
    void aUserIsKnownByACertificateOfTheirOwn() throws Exception {
        KeyPair keys = MonitorServer.KEYS;
        X509Certificate user = MonitorServer.certificate(
                keys, "urn:windlow:user", Instant.now().plusSeconds(3_600));
        KeyStore store = KeyStore.getInstance("PKCS12");
        store.load(null, null);
        store.setKeyEntry("user", keys.getPrivate(), "store".toCharArray(), new Certificate[] {user});
        Files.createDirectories(data.resolve("secrets"));
        try (OutputStream out = Files.newOutputStream(data.resolve("secrets/user.p12"))) {
            store.store(out, "store".toCharArray());
        }
        Files.writeString(data.resolve("secrets/user.password"), "store");
        try (MonitorServer server =
                new MonitorServer(Setup.secured(SecurityPolicy.Basic256Sha256).withUser(user))) {
            server.trust(FollowingRig.own(data).certificate());
            trust(server.certificate());
            Identity byCertificate =
                    new OpcUaEndpoint.UserCertificate("user.p12", new SecretSource("user.password", null));
            try (FollowingRig rig = follow(server, byCertificate)) {
                rig.awaitWater(0.25);
            }
        }
    }

    @Test
    void theGatewaysCertificateIsMadeOnceAndReadableByNobodyElse() throws Exception {
        var first = FollowingRig.own(data);
        var again = FollowingRig.own(data);
        assertThat(again.certificate()).isEqualTo(first.certificate());
        assertThat(again.keys().getPrivate()).isEqualTo(first.keys().getPrivate());
        assertThat(first.uri()).isEqualTo("urn:oilbird:gateway:windlow-gw1");
        assertThat(Files.getPosixFilePermissions(data.resolve("opc-ua/own.p12")))
                .containsExactlyInAnyOrder(PosixFilePermission.OWNER_READ, PosixFilePermission.OWNER_WRITE);
        assertThat(Files.readAllBytes(data.resolve("opc-ua/own.der")))
                .isEqualTo(first.certificate().getEncoded());
    }
}
