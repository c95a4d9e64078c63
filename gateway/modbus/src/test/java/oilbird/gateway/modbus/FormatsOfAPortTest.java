package oilbird.gateway.modbus;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import oilbird.gateway.station.SerialLine;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/**
 * What a port is really set to, seen from outside this program: what the kernel is asked for ({@code strace} of
 * {@code termios}), and what it then keeps ({@code stty} on the open port). A pseudo-terminal keeps rate, stop bits and
 * raw mode, but throws parity away; on a machine without a port that keeps it, characters with parity on wires are not
 * tested, and the test prints so.
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
            SerialLine line = line(words[0], Integer.parseInt(words[1]), SerialLine.Format.valueOf(words[2]));
            try (SerialWire wire = SerialWire.open(line, words[0])) {
                System.out.println("open");
                if (System.in.read() < 0) {
                    wire.write(new byte[] {0x55}, 1);
                }
            } catch (IOException refused) {
                System.out.println("refused: " + refused.getMessage());
            }
        }
    }

    private static SerialLine line(String path, int baud, SerialLine.Format format) {
        return new SerialLine("line", "line", new SerialLine.Way.Port(path), baud, format, false);
    }

    private static Process start(List<String> command, String what) throws IOException {
        try {
            return new ProcessBuilder(command).redirectErrorStream(true).start();
        } catch (IOException missing) {
            Assumptions.abort("formats cannot be looked at: " + what + " is missing (" + missing.getMessage()
                    + "); install Debian's package " + what);
            throw missing;
        }
    }

    private static String said(Process process) throws IOException {
        return new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    }

    /** Flags of the last settings that the kernel was asked for, as {@code strace} names them. */
    private static TreeSet<String> asked(String trace) {
        Matcher call = Pattern.compile("ioctl\\(\\d+, (?:TCSETS\\w*|SNDCTL_TMR_\\w+ or TCSETS\\w*), \\{(.*?)\\}\\)")
                .matcher(trace);
        TreeSet<String> flags = new TreeSet<>();
        while (call.find()) {
            flags.clear();
            Matcher control = Pattern.compile("c_cflag=([A-Z0-9|x]+)").matcher(call.group(1));
            if (control.find()) {
                flags.addAll(Arrays.asList(control.group(1).split("\\|")));
            }
        }
        return flags;
    }
}
