package oilbird.gateway.access;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatThrownBy;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.security.cert.X509Certificate;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** Certificates are read by the JDK's own classes and tools, which share nothing with the library that makes them. */
class ServerCertificateTest {
    private static final Instant NOW = Instant.parse("2026-11-30T06:00:00Z");

    @TempDir
    Path data;

    @Test
    void aCertificateForThisMachineAndTheNamedHostsIsMadeOnceAndItsKeyIsTheOwnersOnly() throws Exception {
        ServerCertificate files = new ServerCertificate(data);
        assertThat(files.makeIfMissing("windlow-gw1", List.of("gw1.example", "192.0.2.5"), NOW))
                .isTrue();
        X509Certificate made = files.certificate();
        assertThat(files.makeIfMissing("windlow-gw1", List.of(), NOW)).isFalse();
        assertThat(files.certificate()).isEqualTo(made);
        made.verify(made.getPublicKey());
        assertThat(made.getSubjectX500Principal().getName()).isEqualTo("CN=windlow-gw1");
        assertThat(made.getSubjectAlternativeNames().toString())
                .contains("[2, localhost]", "[7, 127.0.0.1]", "[2, gw1.example]", "[7, 192.0.2.5]");
        assertThat(made.getExtendedKeyUsage())
                .as("RFC 5280, 4.2.1.12: serverAuth")
                .containsExactly("1.3.6.1.5.5.7.3.1");
        assertThat(made.getBasicConstraints()).as("no certification authority").isEqualTo(-1);
        assertThat(PosixFilePermissions.toString(Files.getPosixFilePermissions(files.keyFile())))
                .isEqualTo("rw-------");
        assertThat(ServerCertificate.thumbprint(made)).matches("([0-9A-F]{2}:){31}[0-9A-F]{2}");
        assertThat(ServerCertificate.expiring(made, NOW)).isFalse();
        assertThat(ServerCertificate.expiring(made, NOW.plus(Duration.ofDays(800))))
                .isTrue();
    }

    @Test
    void oneFileWithoutTheOtherIsAMistakeAndNothingIsWrittenOver() throws IOException {
        ServerCertificate files = new ServerCertificate(data);
        files.makeIfMissing("windlow-gw1", List.of(), NOW);
        String key = Files.readString(files.keyFile());
        Files.delete(files.certificateFile());
        assertThatThrownBy(() -> files.makeIfMissing("windlow-gw1", List.of(), NOW))
                .isInstanceOf(IOException.class)
                .hasMessageContaining("only one is there");
        assertThat(Files.readString(files.keyFile())).isEqualTo(key);
    }

    @Test
    void aRequestForTheOwnersAuthorityIsReadByTheToolOfTheJdk() throws Exception {
        ServerCertificate files = new ServerCertificate(data);
        files.makeIfMissing("windlow-gw1", List.of(), NOW);
        Path request = Files.writeString(data.resolve("gw.csr"), files.request("windlow-gw1", List.of("gw1.example")));
        Process keytool = new ProcessBuilder(
                        Path.of(System.getProperty("java.home"), "bin", "keytool")
                                .toString(),
                        "-printcertreq",
                        "-file",
                        request.toString())
                .redirectErrorStream(true)
                .start();
        String printed = new String(keytool.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(keytool.waitFor()).as(printed).isZero();
        assertThat(printed).contains("CN=windlow-gw1", "gw1.example", "256-bit EC");
    }

    @Test
    void aCertificateOfAnotherKeyOrOneThatIsOverIsNotTaken() throws IOException {
        ServerCertificate files = new ServerCertificate(data.resolve("a"));
        files.makeIfMissing("windlow-gw1", List.of(), NOW);
        ServerCertificate other = new ServerCertificate(data.resolve("b"));
        other.makeIfMissing("windlow-gw2", List.of(), NOW);
        String own = Files.readString(files.certificateFile());
        assertThatThrownBy(() -> files.take(Files.readString(other.certificateFile()), NOW))
                .hasMessageContaining("not for the key");
        assertThatThrownBy(() -> files.take("no certificate", NOW)).isInstanceOf(IOException.class);
        assertThatThrownBy(() -> files.take(own, NOW.plus(Duration.ofDays(1_000))))
                .hasMessageContaining("not valid now");
        assertThat(files.take(own, NOW)).isEqualTo(files.certificate());
    }
}
