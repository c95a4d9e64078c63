package oilbird.acceptance;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/**
 * Follows the chapter "describe a new monitor in an hour" block by block, as a reader would: files are written,
 * replaced and added to as it says, its commands are given, and their output is what it shows. The monitor is an
 * independent Modbus server, the control room a real broker; only addresses differ from the printed ones.
 */
class NewMonitorChapterIT {
    private static final Pattern BLOCK = Pattern.compile("(?ms)^```([^\\n]*)\\n(.*?)^```$");
    private static final Pattern SET = Pattern.compile("alarm set input_register ([0-9]+) to ([0-9]+)");

    @TempDir
    Path folder;

    private Path data = Path.of("");
    private String monitorAt = "";
    private String output = "";

    /** What the invented monitor's registers hold: 12.3 %, 18.4 degC, 0.35 A, 9996 h with the low word first. */
    private static Monitor breather() throws Exception {
        Monitor monitor = new Monitor();
        monitor.setInputRegister(0, 0);
        monitor.setInputRegister(1, 123);
        monitor.setInputRegister(2, 184);
        monitor.setInputRegister(3, 35);
        monitor.setInputFloatLowWordFirst(4, 9996.0f);
        return monitor;
    }

    @Test
    void theChapterLeadsFromAMakersListToALiveAlarm() throws Exception {
        String chapter = Files.readString(GatewayProcess.root().resolve("deploy/docs/describe-a-new-monitor.md"));
        Process gateway = null;
        int commands = 0;
        int outputs = 0;
        int alarms = 0;
        try (Monitor gasMonitor = TestStation.healthyGasMonitor();
                Monitor breather = breather();
                ControlRoom room = new ControlRoom()) {
            monitorAt = "127.0.0.1:" + breather.port();
            data = folder.resolve("data");
            TestStation.write(folder.resolve("windlow"), room.port(), List.of(gasMonitor.port()));
            String toReplace = "";
            Path replaceIn = folder;
            Matcher block = BLOCK.matcher(chapter);
            while (block.find()) {
                List<String> heading = Arrays.asList(block.group(1).split(" ", 2));
                String of = heading.size() > 1 ? heading.get(1) : "";
                String text = block.group(2);
                switch (heading.get(0)) {
                    case "csv", "yaml" -> Files.writeString(folder.resolve(of), here(text));
                    case "sh" -> {
                        run(text.strip(), of);
                        commands++;
                    }
                    case "output" -> {
                        assertShows(text);
                        outputs++;
                    }
                    case "replace" -> {
                        toReplace = text;
                        replaceIn = folder.resolve(of);
                    }
                    case "by" -> replace(replaceIn, toReplace, here(text));
                    case "add" -> Files.writeString(folder.resolve(of), Files.readString(folder.resolve(of)) + text);
                    case "run" -> gateway = start(text.strip());
                    case "alarm" -> {
                        Matcher set = SET.matcher(block.group(1));
                        assertThat(set.matches()).as(block.group(1)).isTrue();
                        breather.setInputRegister(Integer.parseInt(set.group(1)), Integer.parseInt(set.group(2)));
                        ControlRoom.Arrival raised = room.awaitEvent(
                                text.strip(),
                                Duration.ofSeconds(90),
                                a -> a.text("kind").equals("raised")
                                        && a.text("alarm").contains("heater-failed"));
                        assertThat(raised.text("sentence"))
                                .contains("Transformer 1")
                                .contains(text.strip());
                        assertThat(raised.json().path("firstChecks")).hasSize(2);
                        alarms++;
                    }
                    default -> throw new AssertionError("a block that is nothing to do: " + block.group(1));
                }
            }
        } finally {
            if (gateway != null) {
                gateway.destroyForcibly()
                        .onExit()
                        .orTimeout(20, TimeUnit.SECONDS)
                        .join();
            }
        }
        assertThat(commands).isGreaterThanOrEqualTo(6);
        assertThat(outputs).isGreaterThanOrEqualTo(6);
        assertThat(alarms).isOne();
    }

    /** The text with the address that the monitor has here. */
    private String here(String text) {
        return text.replace(
                        "host: 192.0.2.21, port: 502",
                        "host: 127.0.0.1, port: " + monitorAt.split(":")[1])
                .replace("192.0.2.21:502", monitorAt)
                .replace("192.0.2.21", monitorAt);
    }

    private ProcessBuilder shell(String command) {
        String launcher = GatewayProcess.root().resolve("deploy/oilbird").toString();
        assertThat(command).startsWith("deploy/oilbird ");
        return new ProcessBuilder("bash", "-c", here(command).replace("deploy/oilbird ", "exec " + launcher + " "))
                .directory(folder.toFile())
                .redirectErrorStream(true);
    }

    /**
     * @param how {@code answers=y,y} for what is typed at the questions; empty for nothing.
     */
    private void run(String command, String how) throws Exception {
        Process process = shell(command).start();
        try (OutputStream in = process.getOutputStream()) {
            in.write(how.replace("answers=", "").replace(",", "\n").concat("\n").getBytes(StandardCharsets.UTF_8));
        } catch (IOException ended) {
            // A command that asks nothing may be over before it is answered.
        }
        output = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertThat(process.waitFor(300, TimeUnit.SECONDS)).isTrue();
        assertThat(process.exitValue()).as(command + "\n" + output).isZero();
    }

    private Process start(String command) throws IOException {
        return shell(command + " --data " + data + " --port " + Monitor.freePort())
                .redirectOutput(folder.resolve("gateway.log").toFile())
                .start();
    }

    private void assertShows(String shown) {
        List<String> missing = new ArrayList<>();
        String plain = output.replaceAll(" +", " ");
        shown.lines()
                .map(line -> here(line).replaceAll(" +", " ").strip())
                .filter(line -> !line.equals("...") && !plain.contains(line))
                .forEach(missing::add);
        assertThat(missing)
                .as("lines of the chapter that the command did not show; it showed\n" + output)
                .isEmpty();
    }

    private static void replace(Path file, String from, String to) throws IOException {
        String text = Files.readString(file);
        assertThat(text.split(Pattern.quote(from), -1))
                .as("%s has exactly once:%n%s", file, from)
                .hasSize(2);
        Files.writeString(file, text.replace(from, to));
    }
}
