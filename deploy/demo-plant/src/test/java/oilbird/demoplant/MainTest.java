package oilbird.demoplant;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.Writer;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;

/** The plant as a process of its own. */
@Timeout(60)
class MainTest {
    private final Path folder;

    MainTest(@TempDir Path folder) {
        this.folder = folder;
    }

    @Test
    void itTellsItsPortsServesTakesCommandsAndEndsAsTold() throws Exception {
        Process plant = start("--ports", "0", "--no-day");
        try (BufferedReader out = plant.inputReader(StandardCharsets.UTF_8);
                Writer in = plant.outputWriter(StandardCharsets.UTF_8)) {
            Map<String, Integer> ports = ports(line(out));
            assertThat(ports)
                    .containsOnlyKeys(
                            "gas-t1",
                            "cooling-t1",
                            "gas-t2",
                            "cooling-t2",
                            "gateway-t3",
                            "moisture-t1",
                            "bushing-t2",
                            "mqtt",
                            "http");
            in.write("behave gas-t1 exception 4\n");
            in.flush();
            assertThat(line(out)).isEqualTo("ok: gas-t1 is now exception 4");
            try (RawClient client = new RawClient(Objects.requireNonNull(ports.get("gas-t1")))) {
                assertThat(client.ask("00 01 00 00 00 06 0B 04 00 00 00 01")).isEqualTo("00 01 00 00 00 03 0B 84 04");
            }
            in.write("nonsense\nquit\n");
            in.flush();
            assertThat(line(out)).isEqualTo("error: unknown command \"nonsense\"; say help");
            assertThat(line(out)).isEqualTo("ok: the plant ends");
            assertThat(line(out)).startsWith("control room: 0 alarms explained");
            assertThat(line(out))
                    .isEqualTo("plant-summary explained=0 unexplained=0 others=0 unreadable=0 met=0 missed=0");
            assertThat(plant.waitFor(20, TimeUnit.SECONDS)).isTrue();
            assertThat(plant.exitValue()).isZero();
        } finally {
            plant.destroyForcibly();
        }
    }

    @Test
    void itEndsByItselfWhenItsTimeIsUpAlsoWithoutInput() throws Exception {
        Process plant = start("--ports", "0", "--no-day", "--no-control-room", "--for", "1s");
        try {
            plant.getOutputStream().close();
            assertThat(plant.waitFor(30, TimeUnit.SECONDS)).isTrue();
            assertThat(plant.exitValue()).isZero();
        } finally {
            plant.destroyForcibly();
        }
    }

    @Test
    void aTakenPortEndsItWithStatus3AndAWrongOptionWithStatus2() throws Exception {
        try (ServerSocket other = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            int taken = other.getLocalPort();
            String others = "cooling-t1=0,gas-t2=0,cooling-t2=0,gateway-t3=0,moisture-t1=0,bushing-t2=0,mqtt=0,http=0";
            Process plant = start("--ports", "gas-t1=" + taken + "," + others);
            try {
                assertThat(plant.waitFor()).isEqualTo(3);
                assertThat(complaints())
                        .contains("cannot listen on port " + taken)
                        .contains("gas-t1");
            } finally {
                plant.destroyForcibly();
            }
        }
        Process wrong = start("--frob");
        assertThat(wrong.waitFor()).isEqualTo(2);
    }

    /** The next line, or a failure that tells what the plant complained of. */
    private String line(BufferedReader out) throws IOException {
        String line = out.readLine();
        assertThat(line).as("the plant complained: %s", complaints()).isNotNull();
        return line;
    }

    private String complaints() throws IOException {
        return Files.readString(folder.resolve("complaints"));
    }

    private Process start(String... options) throws Exception {
        List<String> command = new ArrayList<>(List.of(
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                "-cp",
                System.getProperty("java.class.path"),
                "oilbird.demoplant.Main"));
        command.addAll(List.of(options));
        return new ProcessBuilder(command)
                .redirectError(folder.resolve("complaints").toFile())
                .start();
    }

    private static Map<String, Integer> ports(String line) {
        assertThat(line).startsWith("plant-ports ");
        Map<String, Integer> ports = new LinkedHashMap<>();
        for (String port : line.substring("plant-ports ".length()).split(" ")) {
            ports.put(port.substring(0, port.indexOf('=')), Integer.valueOf(port.substring(port.indexOf('=') + 1)));
        }
        return ports;
    }
}
