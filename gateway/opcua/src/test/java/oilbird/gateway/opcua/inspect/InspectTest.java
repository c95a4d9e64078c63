package oilbird.gateway.opcua.inspect;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.BufferedReader;
import java.io.ByteArrayOutputStream;
import java.io.PrintStream;
import java.io.StringReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import oilbird.gateway.command.inspect.ExitStatus;
import oilbird.gateway.opcua.MonitorServer;
import oilbird.gateway.opcua.MonitorServer.Setup;
import oilbird.gateway.opcua.trust.OwnCertificate;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.MapReader;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.security.SecurityPolicy;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.DateTime;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The integrator's tool against a server of the test's own. */
class InspectTest {
    private static final String MAP = """
            device_map: 1
            name: mtm-2
            text: moisture monitor (invented)
            identification: {product: MTM-2, firmware: ["3.*"]}
            opc_ua: {namespaces: {m: "urn:windlow:test-monitor"}}
            poll_classes: {status: 1 s}
            points:
              water: {text: water activity, node: m:s=Water}
              temperature: {text: oil temperature, node: m:s=Temperature, unit: degC}
            words:
              status: {text: status, node: m:s=Status, width: 16, bits: {0: probe-fault}}
            indications:
              probe-fault: {text: probe fault}
            """;

    @TempDir
    Path folder;

    private int status;

    private String inspect(String answers, String... words) {
        ByteArrayOutputStream out = new ByteArrayOutputStream();
        status = Main.run(
                List.of(words),
                new BufferedReader(new StringReader(answers)),
                new PrintStream(out, true, StandardCharsets.UTF_8));
        return out.toString(StandardCharsets.UTF_8);
    }

    @Test
    void theSecurityThatAServerOffersIsShownWithoutASession() throws Exception {
        try (MonitorServer server =
                new MonitorServer(Setup.secured(SecurityPolicy.Basic256Sha256, SecurityPolicy.Aes256_Sha256_RsaPss))) {
            assertThat(inspect("", server.url()))
                    .contains("Basic256Sha256 with SignAndEncrypt", "Aes256_Sha256_RsaPss with SignAndEncrypt");
            assertThat(status).isZero();
        }
    }

    @Test
    void theCertificateMadeInAFreshDataFolderIsTheGatewaysOwn() throws Exception {
        Path data = folder.resolve("data");
        try (MonitorServer server = new MonitorServer(Setup.secured(SecurityPolicy.Basic256Sha256))) {
            String refused = inspect("", server.url(), "--security", "Basic256Sha256", "--data", data.toString());
            assertThat(status).isEqualTo(ExitStatus.REFUSED);
            assertThat(refused).contains("no certificate of the gateway yet").contains("--gateway ID");
            assertThat(OwnCertificate.isIn(data.resolve("opc-ua"))).isFalse();

            inspect(
                    "",
                    server.url(),
                    "--security",
                    "Basic256Sha256",
                    "--data",
                    data.toString(),
                    "--gateway",
                    "windlow-gw1");
            OwnCertificate ofTheGateway = OwnCertificate.of(data.resolve("opc-ua"), "windlow-gw1", Instant.now());
            assertThat(ofTheGateway.uri()).isEqualTo("urn:oilbird:gateway:windlow-gw1");
        }
        Path fresh = folder.resolve("fresh");
        try (MonitorServer server = new MonitorServer(Setup.plain())) {
            inspect("", server.url(), "--security", "none", "--data", fresh.toString());
            assertThat(status).isZero();
            assertThat(OwnCertificate.isIn(fresh.resolve("opc-ua")))
                    .as("nothing is kept of a session without security")
                    .isFalse();
        }
    }

    @Test
    void aWalkDraftsAMapThatTheGatewayReads() throws Exception {
        try (MonitorServer server = new MonitorServer(Setup.plain())) {
            Path draft = folder.resolve("mtm-2.yaml");
            String shown = inspect(
                    "", server.url(), "--security", "none", "--browse", "--name", "mtm-2", "--out", draft.toString());
            assertThat(status).as(shown).isZero();
            assertThat(shown)
                    .contains("product   MTM-2")
                    .contains("Oil/Water has no unit; add it where there is one")
                    .contains("Oil/Water has no range")
                    .contains("Oil/Status may be a word of bits; if so, describe it under words")
                    .contains("Drafted " + draft + ": 4 points, 0 words");
            DeviceMap map = MapReader.read("mtm-2.yaml", Files.readString(draft))
                    .result()
                    .orElseThrow();
            assertThat(map.points())
                    .extracting(p -> p.name() + " " + p.type())
                    .containsExactlyInAnyOrder("water NUMBER", "temperature NUMBER", "status NUMBER", "serial TEXT");
            assertThat(map.points()).allSatisfy(p -> assertThat(p.verified()).isNull());
            assertThat(map.nodePlan().get(0).items())
                    .extracting(i -> i.node().name().toString())
                    .contains("nsu=urn:windlow:test-monitor;s=Water");
        }
    }

    @Test
    void readingsAndIndicationsAreShownLiveWithTheServersStatus() throws Exception {
        Path map = folder.resolve("mtm-2.yaml");
        Files.writeString(map, MAP);
        try (MonitorServer server = new MonitorServer(Setup.plain())) {
            server.set("Status", UShort.valueOf(5));
            server.set(
                    "Water",
                    new DataValue(
                            new Variant(0.5), new StatusCode(StatusCodes.Uncertain_SensorNotAccurate), DateTime.now()));
            String shown = inspect("", server.url(), "--security", "none", "--map", map.toString());
            assertThat(status).as(shown).isZero();
            assertThat(shown.replaceAll(" +", " "))
                    .contains("The map is for it.")
                    .contains("water 0.5 uncertain: declared uncertain nsu=urn:windlow:test-monitor;s=Water 0.5"
                            + " Uncertain_SensorNotAccurate not verified")
                    .contains("temperature 40.5 degC good")
                    .contains("status = 0005")
                    .contains("bit 0 1 probe-fault holds not verified")
                    .contains("bit 2 1 not in the map, and set: ask the maker");
        }
    }

    @Test
    void pointsAreMarkedAsTheLocalDisplayShowsThem() throws Exception {
        Path map = folder.resolve("mtm-2.yaml");
        Files.writeString(map, MAP);
        try (MonitorServer server = new MonitorServer(Setup.plain())) {
            String shown = inspect(
                    "y\ns\ny\n",
                    server.url(),
                    "--security",
                    "none",
                    "--map",
                    map.toString(),
                    "--verify",
                    "--by",
                    "A. Tester (invented)",
                    "--on",
                    "2026-03-31");
            assertThat(status).as(shown).isZero();
            assertThat(shown).contains("2 marked, 1 left.");
            DeviceMap marked =
                    MapReader.read("mtm-2.yaml", Files.readString(map)).result().orElseThrow();
            assertThat(marked.points().stream()
                            .filter(p -> p.verified() != null)
                            .map(p -> p.name()))
                    .containsExactly("water");
            assertThat(marked.indications().get(0).verified()).isNotNull();
        }
    }

    @Test
    void aServerThatIsNotThereOrAnotherProductIsNamed() throws Exception {
        String nowhere = "opc.tcp://127.0.0.1:" + MonitorServer.freePort() + "/x";
        assertThat(inspect("", nowhere)).contains(nowhere + " does not answer");
        assertThat(status).isEqualTo(1);
        Path map = folder.resolve("mtm-2.yaml");
        Files.writeString(map, MAP.replace("product: MTM-2", "product: BMX-9"));
        try (MonitorServer server = new MonitorServer(Setup.plain())) {
            assertThat(inspect("", server.url(), "--security", "none", "--map", map.toString()))
                    .contains("The map is for BMX-9, another product");
            assertThat(status).isEqualTo(1);
        }
    }

    @Test
    void aWrongCommandIsToldWithItsUsage() {
        assertThat(inspect("", "opc.tcp://192.0.2.1:4840", "--browse", "--name", "x"))
                .contains("say how the way to the server is secured", "usage:");
        assertThat(status).isEqualTo(2);
        assertThat(inspect("", "opc.tcp://192.0.2.1:4840", "--security", "Basic256Sha256"))
                .contains("needs the gateway's certificate");
        assertThat(inspect("", "opc.tcp://192.0.2.1:4840", "--security", "Basic128Rsa15"))
                .contains("does not know");
    }
}
