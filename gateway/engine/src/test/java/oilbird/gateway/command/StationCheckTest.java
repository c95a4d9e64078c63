package oilbird.gateway.command;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** What {@code check} prints of the lines of a station: two gas monitors on TCP, both cooling controls on one serial line. */
class StationCheckTest {
    private static final Path STATION = Path.of("src/test/resources/oilbird/gateway/engine/simulation/windlow");

    @TempDir
    Path folder;

    private int status;

    @BeforeEach
    void aStationWithASerialLine() throws IOException {
        try (Stream<Path> paths = Files.walk(STATION)) {
            for (Path path : paths.filter(Files::isRegularFile).toList()) {
                Path target = folder.resolve(STATION.relativize(path).toString());
                Files.createDirectories(target.getParent());
                Files.copy(path, target);
            }
        }
        Path station = folder.resolve("station.yaml");
        Files.writeString(
                station,
                Files.readString(station)
                        .replaceAll("modbus_tcp: \\{.*unit: (2\\d).*}", "modbus_rtu: {line: line-1, unit: $1}")
                        .replace("devices:\n", """
                                lines:
                                  - id: line-1
                                    name: serial line of the cooling controls
                                    serial: {port: /dev/serial/by-id/usb-adapter-0001-if00}
                                    baud: 19200
                                devices:
                                """));
    }

    private String check() {
        ByteArrayOutputStream told = new ByteArrayOutputStream();
        try (PrintStream out = new PrintStream(told, true, StandardCharsets.UTF_8)) {
            status = StationCheck.run(folder, out);
        }
        return told.toString(StandardCharsets.UTF_8);
    }

    /**
     * A cooling control is asked for 16 discrete inputs, 6 registers and 1 register: 15, 25 and 15 characters of 11 bits
     * (MODBUS over Serial Line V1.02, 2.5.1) at 19200 bits a second are 31.5 ms, three silences of 3.5 characters 6.0 ms,
     * three times 20 ms until it answers; twice 97.5 ms for both.
     */
    @Test
    void eachLineHasItsPlanItsCycleAndHowBusyItIs() {
        assertThat(check())
                .contains("line 127.0.0.1:15021: 3 requests in a cycle of 60 ms (20 ms each, estimated), busy ")
                .contains("  gas-t1 reads 16 input registers from 0 every ")
                .contains("line line-1: 6 requests in a cycle of 195 ms (19200 bits a second, 8E1, estimated), busy ")
                .contains("  cooling-t1 reads 16 discrete inputs from 0 every ")
                .contains("  cooling-t2 reads 1 holding register from 6 every ");
        assertThat(status).isZero();
    }

    @Test
    void aLineOnWhichThePeriodsDoNotFitIsRefusedAndNoPlanIsPrinted() throws IOException {
        Path station = folder.resolve("station.yaml");
        Files.writeString(station, Files.readString(station).replace("baud: 19200", "baud: 1200"));
        assertThat(check())
                .containsPattern(
                        "station.yaml:\\d+:\\d+: error: the line line-1 is busy for \\d{3} % of the time with 6"
                                + " requests \\(1200 bits a second, 8E1, estimated\\): the periods do not fit; make the periods")
                .contains("1 error, 0 warnings")
                .doesNotContain("in a cycle of");
        assertThat(status).isEqualTo(StationCheck.REFUSED);
    }
}
