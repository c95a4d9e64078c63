package oilbird.gateway.modbus;

import static org.assertj.core.api.Assertions.assertThat;

import com.fazecast.jSerialComm.SerialPort;
import java.io.BufferedReader;
import java.io.File;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import oilbird.gateway.station.SerialLine;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * What a port is really set to, seen from outside this program: what the kernel is asked for ({@code strace}), and what
 * it then keeps while the port is open ({@code stty}). Names of settings are those of POSIX.1-2017, termios.h.
 *
 * <p>A pseudo-terminal keeps rate, stop bits and raw mode but throws parity away, so that characters with parity on
 * wires are not tested; the test prints so.
 */
@Timeout(value = 120, unit = TimeUnit.SECONDS)
final class FormatsOfAPortTest {
    @TempDir
    @SuppressWarnings("NullAway") // set before each test
    Path folder;

    /** Opens the port as the poller does and holds it until its input ends; run in a process of its own. */
    static final class Opener {
        private Opener() {}

        @SuppressWarnings("SystemOut") // what it has to say goes to the test that started it
        public static void main(String[] words) throws IOException {
            SerialLine line = new SerialLine(
                    "line",
                    "line",
                    new SerialLine.Way.Port(words[0]),
                    Integer.parseInt(words[1]),
                    SerialLine.Format.valueOf(words[2]),
                    false);
            try (SerialWire wire = SerialWire.open(line, words[0])) {
                System.out.println("open");
                while (System.in.read() >= 0) {
                    wire.write(new byte[0], 0);
                }
            }
        }
    }

    /** MODBUS over Serial Line V1.02, 2.5.1: 8E1 is the default, 8N2 where there is no parity, 8O1 may be had too. */
    @ParameterizedTest
    @CsvSource({
        "9600, EVEN_1, PARENB, -cstopb",
        "19200, EVEN_1, PARENB, -cstopb",
        "19200, ODD_1, PARENB PARODD, -cstopb",
        "38400, NONE_2, CSTOPB, cstopb",
        "115200, NONE_1, '', -cstopb"
    })
    @SuppressWarnings("SystemOut") // what could not be tested is printed
    void theKernelIsAskedForTheFormatOfTheLine(int baud, SerialLine.Format format, String flags, String stopBits)
            throws Exception {
        Path trace = folder.resolve("trace");
        try (RawUnit units = RawUnit.onPort(request -> {}, folder)) {
            String port = ((SerialLine.Way.Port) units.line().way()).path();
            Process opener = start(
                    "strace",
                    List.of(
                            "strace",
                            "-f",
                            "-e",
                            "trace=ioctl",
                            "-o",
                            trace.toString(),
                            Path.of(System.getProperty("java.home"), "bin", "java")
                                    .toString(),
                            "-cp",
                            classPath(),
                            Opener.class.getName(),
                            port,
                            Integer.toString(baud),
                            format.name()));
            BufferedReader says = opener.inputReader(StandardCharsets.UTF_8);
            assertThat(says.readLine()).isEqualTo("open");
            String kept = settings(port);
            opener.getOutputStream().close();
            assertThat(opener.waitFor()).isZero();

            Set<String> asked = asked(Files.readString(trace));
            Set<String> expected = new TreeSet<>(List.of("B" + baud, "CS8", "CREAD", "CLOCAL"));
            Arrays.stream(flags.split(" ")).filter(flag -> !flag.isEmpty()).forEach(expected::add);
            assertThat(asked).isEqualTo(expected);
            assertThat(kept).startsWith("speed " + baud + " baud;");
            assertThat(Arrays.asList(kept.split("[\\s;]+")))
                    .as("eight bits, raw, no flow control that a frame's bytes could set off")
                    .contains(stopBits, "cs8", "-icanon", "-echo", "-isig", "-opost", "-ixon", "-ixoff", "-crtscts")
                    .contains("-istrip", "-icrnl", "-inlcr", "-igncr", "-parmrk");
            if (asked.contains("PARENB") && kept.contains("-parenb")) {
                System.out.println("not tested: characters with parity on wires (" + format.written() + " at " + baud
                        + "): a pseudo-terminal drops the parity that the kernel was asked for");
            }
        }
    }

    /** Only what the opener needs; a test runner may keep its own class path to itself. */
    private static String classPath() {
        return Stream.of(Opener.class, SerialWire.class, SerialLine.class, SerialPort.class)
                .map(each -> each.getProtectionDomain().getCodeSource().getLocation())
                .map(place -> Path.of(place.getPath()).toString())
                .distinct()
                .collect(Collectors.joining(File.pathSeparator));
    }

    private static Process start(String what, List<String> command) throws IOException {
        try {
            return new ProcessBuilder(command)
                    .redirectError(ProcessBuilder.Redirect.DISCARD)
                    .start();
        } catch (IOException missing) {
            Assumptions.abort("what a port is set to cannot be looked at: " + what + " is missing ("
                    + missing.getMessage() + "); install Debian's package " + what);
            throw missing;
        }
    }

    private static String settings(String port) throws IOException, InterruptedException {
        Process stty = start("coreutils", List.of("stty", "-F", port, "-a"));
        try (BufferedReader out =
                new BufferedReader(new InputStreamReader(stty.getInputStream(), StandardCharsets.UTF_8))) {
            String settings = String.join(" ", out.lines().toList());
            assertThat(stty.waitFor()).isZero();
            return settings;
        }
    }

    /** Control flags of the first settings that the kernel was asked for. */
    private static Set<String> asked(String trace) {
        Matcher call =
                Pattern.compile("\\bTCSETS\\w*, \\{.*?c_cflag=([A-Z0-9|]+)").matcher(trace);
        assertThat(call.find()).as(trace).isTrue();
        return new TreeSet<>(Arrays.asList(call.group(1).split("\\|")));
    }
}
