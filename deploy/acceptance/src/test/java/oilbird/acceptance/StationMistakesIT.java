package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** A station folder with mistakes: the check and the start both refuse it, listing every mistake. */
class StationMistakesIT {
    @TempDir
    Path folder;

    private Path station = Path.of("");

    @BeforeEach
    void aStationWithFourMistakesInThreeFiles() throws Exception {
        station = TestStation.write(folder.resolve("station"), 1883, List.of(1502));
        replace("station.yaml", "acknowledgement: here", "acknowledgement: no");
        replace("station.yaml", "port: 1502,", "port: 01502,");
        replace("maps/hbg-8.yaml", "type: float32", "typ: float32");
        Path rules = station.resolve("rules/gas-monitors.yaml");
        Files.writeString(rules, Files.readString(rules) + "\nalarm_rules: 1\n");
    }

    private void replace(String file, String from, String to) throws Exception {
        Path path = station.resolve(file);
        String text = Files.readString(path);
        assertThat(text).contains(from);
        int at = text.indexOf(from);
        Files.writeString(path, text.substring(0, at) + to + text.substring(at + from.length()));
    }

    private static void assertListsEveryMistake(String output) {
        assertThat(output)
                .containsPattern("station\\.yaml:\\d+:\\d+: error: .*no.*; .*here.*control-room")
                .containsPattern("station\\.yaml:\\d+:\\d+: error: .*01502.*; .*1502")
                .containsPattern("maps/hbg-8\\.yaml:\\d+:\\d+: error: .*typ.*; .*type")
                .containsPattern("rules/gas-monitors\\.yaml:\\d+:\\d+: error: .*alarm_rules.*");
    }

    @Test
    void theCheckListsEveryMistakeAndEndsWithStatusTwo() throws Exception {
        Process check = new ProcessBuilder(
                        GatewayProcess.root().resolve("deploy/oilbird").toString(), "check", station.toString())
                .redirectErrorStream(true)
                .start();
        String output = new String(check.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(check.waitFor(120, TimeUnit.SECONDS)).isTrue();

        assertThat(check.exitValue()).as(output).isEqualTo(2);
        assertListsEveryMistake(output);
    }

    @Test
    void theStartRefusesTheSameStationWithStatusTwo() throws Exception {
        try (GatewayProcess gateway = GatewayProcess.start(station, folder.resolve("data"))) {
            assertThat(gateway.awaitExit(Duration.ofSeconds(60))).isEqualTo(2);
            assertListsEveryMistake(gateway.output());
        }
    }

    @Test
    void theDemoStationItselfHasNoMistake() throws Exception {
        List<String> command = new ArrayList<>(List.of(
                GatewayProcess.root().resolve("deploy/oilbird").toString(),
                "check",
                GatewayProcess.root().resolve("deploy/demo-station").toString()));
        Process check = new ProcessBuilder(command).redirectErrorStream(true).start();
        String output = new String(check.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(check.waitFor(120, TimeUnit.SECONDS)).isTrue();

        assertThat(check.exitValue()).as(output).isZero();
    }
}
