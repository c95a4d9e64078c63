package oilbird.gateway.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import oilbird.gateway.station.OpcUaEndpoint.Security;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Devices over OPC UA in a station folder. */
class OpcUaStationTest {
    @TempDir
    Path folder;

    @BeforeEach
    void aMapOfNodesAndNoRules() throws IOException {
        Files.createDirectories(folder.resolve("maps"));
        Files.createDirectories(folder.resolve("rules"));
        Files.writeString(folder.resolve("maps/mtm-2.yaml"), """
                device_map: 1
                name: mtm-2
                text: moisture monitor (invented)
                opc_ua: {namespaces: {m: "urn:someone:mtm-2"}}
                poll_classes: {readings: 1 s}
                points: {water: {text: water, node: m:s=Water, by: read}, heat: {text: heat, node: m:i=7, unit: degC}}
                """);
    }

    private Loaded<Station> station(String address) throws IOException {
        Files.writeString(folder.resolve("station.yaml"), """
                station: 1
                id: windlow
                name: Windlow substation
                gateway: {id: windlow-gw1}
                assets: [{id: t1, name: Transformer 1, kind: transformer}]
                devices:
                  - {id: moisture-t1, name: moisture monitor, asset: t1, map: mtm-2, %s}
                """.formatted(address));
        return StationFolder.load(folder);
    }

    private OpcUaEndpoint endpoint(String opcUa) throws IOException {
        Loaded<Station> loaded = station("opc_ua: {endpoint: opc.tcp://192.0.2.31:4840/m, " + opcUa + "}");
        assertThat(loaded.problems()).isEmpty();
        return (OpcUaEndpoint) loaded.result().orElseThrow().devices().get(0).endpoint();
    }

    private List<String> mistakes(String address) throws IOException {
        return station(address).problems().stream().map(Problem::toString).toList();
    }

    private static String with(String more) {
        return "opc_ua: {endpoint: opc.tcp://192.0.2.31:4840/m, security: Basic256Sha256" + more + "}";
    }

    @ParameterizedTest
    @CsvSource({
        "Basic256Sha256, BASIC256SHA256",
        "Aes128_Sha256_RsaOaep, AES128_SHA256_RSAOAEP",
        "Aes256_Sha256_RsaPss, AES256_SHA256_RSAPSS",
        "none, NONE"
    })
    void eachSecurityPolicyIsWrittenAsTheStandardWritesIt(String written, Security security) throws IOException {
        OpcUaEndpoint endpoint = endpoint("security: " + written);
        assertThat(endpoint.security()).isEqualTo(security);
        assertThat(endpoint.encrypted()).isTrue();
        assertThat(endpoint.identity()).isEqualTo(new OpcUaEndpoint.Anonymous());
        assertThat(endpoint.deadline()).isEqualTo(Duration.ofSeconds(2));
    }

    @Test
    void theStationKnowsEverySignalOfTheMapByItsBlock() throws IOException {
        Station station = station(with("")).result().orElseThrow();
        assertThat(station.model()
                        .facts()
                        .device("moisture-t1")
                        .orElseThrow()
                        .kind()
                        .blocks())
                .extracting(block -> block.name() + " " + block.signals())
                .containsExactly("readings.subscribed [heat]", "readings.read [water]");
        assertThat(LineLoad.of(station.devices())).isEmpty();
    }

    @Test
    void aUserHasAPasswordOrACertificateKeptElsewhere() throws IOException {
        assertThat(endpoint("security: Basic256Sha256, mode: sign, user: {name: bird, password: {file: m}}"))
                .isEqualTo(new OpcUaEndpoint(
                        "opc.tcp://192.0.2.31:4840/m",
                        Security.BASIC256SHA256,
                        false,
                        new OpcUaEndpoint.UserName("bird", new SecretSource("m", null)),
                        Duration.ofSeconds(2)));
        assertThat(endpoint("security: Basic256Sha256, user: {certificate: {file: u.p12, password: {environment: P}}}")
                        .identity())
                .isEqualTo(new OpcUaEndpoint.UserCertificate("u.p12", new SecretSource(null, "P")));
    }

    @Test
    void aPasswordInTheStationFolderIsRefused() throws IOException {
        assertThat(mistakes(with(", user: {name: bird, password: north-gate}")))
                .anySatisfy(m -> assertThat(m).contains("station.yaml:7:").contains("{file: NAME}"));
        assertThat(mistakes(with(", user: {name: bird, password: {file: " + folder.resolve("p") + "}}")))
                .anySatisfy(m -> assertThat(m).contains("would be kept with the station folder"));
        assertThat(mistakes(with(", user: {certificate: {file: ../u.p12}}")))
                .anySatisfy(m -> assertThat(m).contains("would be kept with the station folder"));
    }

    @Test
    void whatDoesNotGoTogetherIsToldWithWhatToWrite() throws IOException {
        assertThat(mistakes("opc_ua: {endpoint: http://192.0.2.31/m, security: Basic256Sha256}"))
                .anySatisfy(m -> assertThat(m).contains("write opc.tcp://host:port/path"));
        assertThat(mistakes("opc_ua: {endpoint: opc.tcp://192.0.2.31:4840/m}"))
                .anySatisfy(m -> assertThat(m).contains("security"));
        assertThat(mistakes("opc_ua: {endpoint: opc.tcp://192.0.2.31:4840/m, security: Basic128Rsa15}"))
                .anySatisfy(m -> assertThat(m).contains("Aes256_Sha256_RsaPss"));
        assertThat(mistakes("opc_ua: {endpoint: opc.tcp://192.0.2.31:4840/m, security: none, mode: sign}"))
                .anySatisfy(m -> assertThat(m).contains("without security nothing is signed"));
        assertThat(mistakes(with(", user: {name: bird, certificate: {file: u.p12}}")))
                .anySatisfy(m -> assertThat(m).contains("not both"));
        assertThat(mistakes(with(", user: {name: bird}")))
                .anySatisfy(m -> assertThat(m).contains("nothing says where the password is kept"));
    }

    @Test
    void aPasswordOverAnUnsecuredWayIsWarnedOf() throws IOException {
        Loaded<Station> loaded = station(
                "opc_ua: {endpoint: opc.tcp://192.0.2.31:4840/m, security: none, user: {name: b, password: {file: m}}}");
        assertThat(loaded.value()).isNotNull();
        assertThat(loaded.problems())
                .singleElement()
                .satisfies(p -> assertThat(p.toString()).contains("warning", "for all to read"));
    }

    @Test
    void aMapOfNodesNeedsAServerAndOneOfRegistersDoesNot() throws IOException {
        assertThat(mistakes("modbus_tcp: {host: 192.0.2.31}"))
                .containsExactly(
                        "station.yaml:7:75: error: the map mtm-2 is for OPC UA; give the device an address in opc_ua:,"
                                + " or another map");
    }
}
