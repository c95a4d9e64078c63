package oilbird.gateway.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Stream;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What the station file may say of a link that is an OPC UA server. */
class OpcUaServerLinkFileTest {
    private static final Path DEMO = Path.of("../../deploy/demo-station");

    @TempDir
    Path folder;

    @BeforeEach
    void aCopyOfTheDemoStation() throws IOException {
        try (Stream<Path> paths = Files.walk(DEMO)) {
            for (Path path : paths.filter(Files::isRegularFile).toList()) {
                Path target = folder.resolve(DEMO.relativize(path).toString());
                Files.createDirectories(target.getParent());
                Files.copy(path, target);
            }
        }
    }

    /** A further link, its lines each indented as the link's keys are. */
    private Loaded<Station> with(String link) throws IOException {
        Path file = folder.resolve("station.yaml");
        String text = Files.readString(file) + "  - id: another\n    opc_ua_server:\n"
                + link.stripTrailing().indent(6);
        Files.writeString(file, text);
        return StationFolder.load(folder);
    }

    private List<String> problems(String link) throws IOException {
        return with(link).problems().stream()
                .map(Problem::toString)
                .filter(p -> p.contains("station.yaml"))
                .toList();
    }

    private static OpcUaServerLinkSettings another(Loaded<Station> loaded) {
        return (OpcUaServerLinkSettings) loaded.result().orElseThrow().links().stream()
                .filter(l -> l.id().equals("another"))
                .findFirst()
                .orElseThrow();
    }

    @Test
    void whatIsLeftOutIsTheSafeWay() throws IOException {
        OpcUaServerLinkSettings settings = another(with("hosts: [windlow-gw1.fenmarch.example, 192.0.2.10]"));
        assertThat(settings.port()).as("registered with IANA for OPC UA").isEqualTo(4840);
        assertThat(settings.hosts()).containsExactly("windlow-gw1.fenmarch.example", "192.0.2.10");
        assertThat(settings.policies())
                .containsExactly(
                        OpcUaEndpoint.Security.BASIC256SHA256,
                        OpcUaEndpoint.Security.AES128_SHA256_RSAOAEP,
                        OpcUaEndpoint.Security.AES256_SHA256_RSAPSS);
        assertThat(settings.signed()).isFalse();
        assertThat(settings.unsecured()).isNull();
        assertThat(settings.anonymous()).isFalse();
        assertThat(settings.limits()).isEqualTo(OpcUaServerLinkSettings.Limits.DEFAULT);
    }

    @Test
    void mistakesAreToldWithTheirPlaceAndWhatToWrite() throws IOException {
        assertThat(problems("""
                        port: 99999
                        bind: everywhere
                        hosts: ["windlow gw"]
                        security: [None, Basic256]
                        modes: [sign]
                        unsecured: yes
                        anonymous: everything
                        """))
                .anyMatch(p -> p.matches("station.yaml:\\d+:\\d+: error: .*65535.*"))
                .anyMatch(p -> p.contains("write an address of this machine in numbers"))
                .anyMatch(p -> p.contains("write a host name or an address in numbers, without port"))
                .anyMatch(p -> p.contains("`None`") && p.contains("error"))
                .anyMatch(p -> p.contains("`Basic256`") && p.contains("error"))
                .anyMatch(p -> p.contains("messages that are only signed can be read on the way"))
                .anyMatch(p -> p.contains("say in a few words why nobody can listen"))
                .anyMatch(p -> p.contains("`everything`"));
    }

    @Test
    void aServerThatNobodyCanReachByNameIsRefused() throws IOException {
        assertThat(problems("port: 4840")).anyMatch(p -> p.contains("hosts") && p.contains("error"));
    }

    @Test
    void whoOpensItToEverybodyIsWarnedUnlessItListensOnThisMachineAlone() throws IOException {
        assertThat(problems("""
                        hosts: [192.0.2.10]
                        unsecured: closed network of the station
                        anonymous: view
                        """))
                .anyMatch(p -> p.contains("warning") && p.contains("can read and change what is sent"))
                .anyMatch(p -> p.contains("warning") && p.contains("whoever reaches the gateway can look"));
    }

    @Test
    void onThisMachineAloneNobodyIsWarned() throws IOException {
        assertThat(problems("""
                        bind: 127.0.0.1
                        hosts: [127.0.0.1]
                        unsecured: this machine alone
                        anonymous: view
                        """)).isEmpty();
    }
}
