package oilbird.gateway.station;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.function.UnaryOperator;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What loading rules cannot bring into a running gateway is named. */
class StationDifferenceTest {
    private static final String STATION =
            """
            station: 1
            id: s
            name: S
            owner: Fenmarch Electric (invented)
            gateway: {id: gw, name: Gateway}
            assets:
              - {id: t1, name: Transformer 1, kind: transformer}
              - {id: t2, name: Transformer 2, kind: transformer}
            devices:
              - id: d1
                name: monitor
                asset: t1
                map: m
                modbus_tcp: {host: 192.0.2.1, port: 502, unit: 1}
            links:
              - id: control-room
                mqtt: {host: 192.0.2.50, port: 1883, topic: oilbird/s}
            """;
    private static final String MAP =
            """
            device_map: 1
            name: m
            text: invented monitor
            poll_classes: {status: 1 s}
            words:
              status:
                text: status
                holding_register: 0
                width: 16
                bits:
                  0: fan-stopped
                  1-15: spare
            indications:
              fan-stopped: {text: fan stopped}
            """;

    @TempDir
    Path folder;

    private Station station(UnaryOperator<String> file, UnaryOperator<String> map) throws IOException {
        Files.createDirectories(folder.resolve("maps"));
        Files.createDirectories(folder.resolve("rules"));
        Files.writeString(folder.resolve("station.yaml"), file.apply(STATION));
        Files.writeString(folder.resolve("maps/m.yaml"), map.apply(MAP));
        var loaded = StationFolder.load(folder);
        return loaded.result()
                .orElseThrow(() -> new IllegalStateException(loaded.problems().toString()));
    }

    private List<String> between(UnaryOperator<String> file, UnaryOperator<String> map) throws IOException {
        Station running = station(UnaryOperator.identity(), UnaryOperator.identity());
        return StationDifference.between(running, station(file, map));
    }

    @Test
    void aFolderThatOnlyHasOtherRulesOrVerificationMarksBringsNothingThatMustWait() throws IOException {
        assertThat(between(s -> s, m -> m)).isEmpty();
        assertThat(between(s -> s + "# a remark\n", m -> m + "verified: {by: A. Tester, on: 2026-03-01}\n"))
                .isEmpty();
    }

    @Test
    void eachThingThatMustWaitForAStartIsNamed() throws IOException {
        assertThat(between(s -> s.replace("192.0.2.1,", "192.0.2.9,"), m -> m)).containsExactly("the device d1 differs");
        assertThat(between(s -> s.replace("1883", "1884"), m -> m)).containsExactly("the link control-room differs");
        assertThat(between(s -> s.replace("  - {id: t2, name: Transformer 2, kind: transformer}\n", ""), m -> m))
                .containsExactly("the asset t2 is gone");
        assertThat(between(s -> s, m -> m.replace("holding_register: 0", "holding_register: 7")))
                .containsExactly("the map m differs in more than what is verified");
        assertThat(between(s -> s.replace("id: d1", "id: d9"), m -> m))
                .containsExactly("the device d1 is gone", "the device d9 is new");
        assertThat(between(s -> s.replace("id: gw,", "id: gw2,"), m -> m)).contains("the gateway's id differs");
    }

    /** The whole demo station, read twice, is the same station. */
    @Test
    void aStationReadTwiceDoesNotDiffer() throws IOException {
        Path demo = Path.of("../../deploy/demo-station");
        try (Stream<Path> maps = Files.list(demo.resolve("maps"))) {
            assertThat(maps).isNotEmpty();
        }
        Station one = StationFolder.load(demo).result().orElseThrow();
        Station other = StationFolder.load(demo).result().orElseThrow();
        assertThat(StationDifference.between(one, other)).isEmpty();
    }
}
