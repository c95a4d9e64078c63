package oilbird.gateway.station;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.within;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import oilbird.alarm.rule.Shared;
import oilbird.mapping.text.Loaded;
import oilbird.mapping.text.Problem;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The sections {@code lines} and {@code modbus_rtu} of a station file: what is read, and what is refused. */
class SerialLinesTest {
    private static final String BEGINNING = """
            station: 1
            id: thornbeck
            name: Thornbeck substation
            owner: Fenmarch Electric (invented)
            gateway: {id: thornbeck-gw1}
            assets:
              - {id: t1, name: Transformer 1, kind: transformer}
            """;

    private static final String LINE = """
            lines:
              - id: line-1
                name: serial line of bay T1
                serial: {port: /dev/serial/by-id/usb-adapter-0001-if00}
                baud: 9600
            """;

    @TempDir
    Path folder;

    /** A map of 60 registers, read in one request every ten seconds. */
    @BeforeEach
    void aMapAndARule() throws IOException {
        Files.createDirectories(folder.resolve("maps"));
        Files.createDirectories(folder.resolve("rules"));
        Files.writeString(folder.resolve("maps/drb-6.yaml"), """
                device_map: 1
                name: drb-6
                text: breather (invented)
                poll_classes: {status: 10 s}
                points:
                  first: {text: first, holding_register: 0, type: uint16}
                  last: {text: last, holding_register: 59, type: uint16}
                requests: {by_hand: {all: {holding_register: 0, count: 60, poll: status}}}
                """);
        Files.writeString(folder.resolve("rules/breathers.yaml"), """
                alarm_rules: 1
                text: Breathers (invented)
                owner: Substation asset engineer (invented)
                rationalized: {by: Alarm review group (invented), on: 2026-09-14, revision: "1"}
                rules:
                  no-answer:
                    for: {map: drb-6}
                    when: {communication: lost}
                    says: "the {device} does not answer"
                    class: communications
                    priority: warning
                    causes: [supply, cable]
                    confirm: other devices answer
                    consequence: The breather is not seen.
                    response: Call the communications technician.
                    respond_within: 8 h
                    call: communications technician
                """);
    }

    private Loaded<Station> load(String lines, String... places) throws IOException {
        StringBuilder text = new StringBuilder(BEGINNING).append(lines).append("devices:\n");
        for (int i = 0; i < places.length; i++) {
            text.append("  - {id: breather-").append(i + 1).append(", name: breather, asset: t1, map: drb-6, ");
            text.append(places[i]).append("}\n");
        }
        Files.writeString(folder.resolve("station.yaml"), text);
        return StationFolder.load(folder);
    }

    private static List<String> told(Loaded<Station> loaded) {
        return loaded.problems().stream().map(Problem::toString).toList();
    }

    private static ModbusRtuEndpoint place(Station station, int device) {
        return (ModbusRtuEndpoint) station.devices().get(device).endpoint();
    }

    @Test
    void everythingThatIsWrittenIsRead() throws IOException {
        Loaded<Station> loaded = load("""
                lines:
                  - id: line-1
                    name: serial line of bay T1
                    asset: t1
                    serial: {port: /dev/serial/by-path/pci-0000}
                    baud: 38400
                    format: 8N2
                    echo: true
                  - id: line-2
                    name: serial line of bay T2
                    rtu_over_tcp: {host: 192.0.2.30, port: 4001}
                    baud: 19200
                    format: 8O1
                """, """
                modbus_rtu: {line: line-1, unit: 11, deadline: 800 ms, gap: 20 ms, turnaround: 5 ms, answers_after: 30 ms}\
                """, "modbus_rtu: {line: line-2, unit: 247}");

        assertThat(told(loaded)).isEmpty();
        Station station = loaded.result().orElseThrow();
        SerialLine first = new SerialLine(
                "line-1",
                "serial line of bay T1",
                new SerialLine.Way.Port("/dev/serial/by-path/pci-0000"),
                38_400,
                SerialLine.Format.NONE_2,
                true);
        assertThat(place(station, 0))
                .isEqualTo(new ModbusRtuEndpoint(
                        first,
                        11,
                        Duration.ofMillis(800),
                        Duration.ofMillis(20),
                        Duration.ofMillis(5),
                        Duration.ofMillis(30)));
        assertThat(place(station, 1).line().way()).isEqualTo(new SerialLine.Way.Tcp("192.0.2.30", 4001));
        assertThat(place(station, 1).line().format()).isEqualTo(SerialLine.Format.ODD_1);
    }

    /** MODBUS over Serial Line V1.02, 2.5.1: even parity where nothing else is said, 3.5 characters of silence. */
    @Test
    void whatIsLeftOutIsAsTheSpecificationSays() throws IOException {
        ModbusRtuEndpoint place =
                place(load(LINE, "modbus_rtu: {line: line-1, unit: 1}").result().orElseThrow(), 0);

        assertThat(place.line().format()).isEqualTo(SerialLine.Format.EVEN_1);
        assertThat(place.line().echo()).isFalse();
        assertThat(place.gap()).isCloseTo(Duration.ofNanos(4_010_417), Duration.ofNanos(2));
        assertThat(place.turnaround()).isZero();
        assertThat(place.deadline()).isEqualTo(Duration.ofSeconds(1));
    }

    @Test
    void theUnitsOfALineShareItAndOneAloneDoesNot() throws IOException {
        Station two = load(LINE, "modbus_rtu: {line: line-1, unit: 1}", "modbus_rtu: {line: line-1, unit: 2}")
                .result()
                .orElseThrow();
        assertThat(two.model().facts().shared()).singleElement().satisfies(shared -> {
            assertThat(shared.kind()).isEqualTo(Shared.Kind.SERIAL_LINE);
            assertThat(shared.name()).isEqualTo("serial line of bay T1");
            assertThat(shared.devices()).containsExactly("breather-1", "breather-2");
        });
        assertThat(two.model().rules())
                .extracting(rule -> rule.id().toString())
                .contains("gateway/line-1.serial-line-lost");

        Station one = load(LINE, "modbus_rtu: {line: line-1, unit: 1}").result().orElseThrow();
        assertThat(one.model().facts().shared()).isEmpty();
    }

    /**
     * 8 bytes of request, 5 and 120 of answer (MODBUS Application Protocol V1.1b3, 6.3; MODBUS over Serial Line V1.02,
     * 2.5.1), 11 bits each, 9600 bits a second: 152.4 ms; 3.5 characters of silence 4.01 ms; 20 ms until it answers.
     */
    @Test
    void theLineIsWorkedOutFromCharactersAndSilences() throws IOException {
        Station station = load(LINE, "modbus_rtu: {line: line-1, unit: 1}", "modbus_rtu: {line: line-1, unit: 2}")
                .result()
                .orElseThrow();

        assertThat(LineLoad.of(station.devices())).singleElement().satisfies(line -> {
            double request = (8 + 5 + 120) * 11 / 9600.0 + 3.5 * 11 / 9600.0 + 0.020;
            assertThat(line.requests()).isEqualTo(2);
            assertThat(line.cycle()).isCloseTo(Duration.ofNanos((long) (2 * request * 1e9)), Duration.ofNanos(9));
            assertThat(line.busy()).isCloseTo(2 * request / 10, within(1e-6));
            assertThat(line.estimate()).isEqualTo("9600 bits a second, 8E1");
        });
    }

    /** 1200 bits a second: 1.219 s on the wires, 0.032 s of silence, 0.020 s until it answers: 1.271 s a unit. */
    @Test
    void periodsThatDoNotFitTheLineAreRefusedAndOnesThatHardlyFitAreNamed() throws IOException {
        String slow = LINE.replace("9600", "1200");
        String unit = "modbus_rtu: {line: line-1, unit: %d, deadline: 3 s}";
        String[] eight = new String[8];
        for (int i = 0; i < eight.length; i++) {
            eight[i] = unit.formatted(i + 1);
        }
        assertThat(told(load(slow, eight)))
                .singleElement()
                .isEqualTo(
                        "station.yaml:14:54: error: the line line-1 is busy for 102 % of the time with 8 requests (1200"
                                + " bits a second, 8E1, estimated): the periods do not fit; make the periods under poll: at least"
                                + " 1.5 times as long, or read less");

        Loaded<Station> six = load(slow, List.of(eight).subList(0, 6).toArray(String[]::new));
        assertThat(six.value()).isNotNull();
        assertThat(told(six))
                .singleElement()
                .isEqualTo(
                        "station.yaml:14:54: warning: the line line-1 is busy for 77 % of the time with 6 requests (1200"
                                + " bits a second, 8E1, estimated); leave room for a device that is slow to answer: make the"
                                + " periods longer");

        assertThat(told(load(slow, List.of(eight).subList(0, 5).toArray(String[]::new))))
                .isEmpty();
    }

    /** The same units behind a terminal server: TCP is fast, the wires behind it are not. */
    @Test
    void aTerminalServerMakesTheWiresNoFaster() throws IOException {
        String behind = LINE.replace(
                        "serial: {port: /dev/serial/by-id/usb-adapter-0001-if00}",
                        "rtu_over_tcp: {host: 192.0.2.30, port: 4001}")
                .replace("9600", "1200");
        String[] eight = new String[8];
        for (int i = 0; i < eight.length; i++) {
            eight[i] = "modbus_rtu: {line: line-1, unit: " + (i + 1) + ", deadline: 3 s}";
        }
        assertThat(told(load(behind, eight)))
                .singleElement()
                .asString()
                .contains("error: the line line-1 is busy for 102 % of the time");
    }

    @Test
    void aDeadlineThatTheAnswerCannotKeepOnTheseWiresIsRefused() throws IOException {
        assertThat(told(load(LINE.replace("9600", "1200"), "modbus_rtu: {line: line-1, unit: 1}")))
                .singleElement()
                .isEqualTo(
                        "station.yaml:14:54: error: the request all and its answer take 1239 ms of the line line-1, and"
                                + " the deadline is 1000 ms; write a longer deadline: under modbus_rtu, or let the map read less at"
                                + " once (requests: max_registers)");
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            quoteCharacter = '~',
            value = {
                // a line
                "serial: {port: /dev/serial/by-id/usb-adapter-0001-if00} | rtu_over_tcp: {host: 192.0.2.30} | 11:19: error: the key `port` is missing",
                "serial: {port: /dev/serial/by-id/usb-adapter-0001-if00} | serial: {port: COM3} | 11:20: error: ",
                "serial: {port: /dev/serial/by-id/usb-adapter-0001-if00} | asset: t1 | 9:5: error: the line does not say where it is; write serial: {port: /dev/serial/by-id/...}, or rtu_over_tcp:",
                "baud: 9600 | baud: 9601 | 12:11: error: ",
                "baud: 9600 | parity: even | 9:5: error: the key `baud` is missing",
                "baud: 9600 | baud: 0 | 12:11: error: ",
                "baud: 9600 | baud: fast | 12:11: error: ",
                "baud: 9600 | baud: -9600 | 12:11: error: ",
                "id: line-1 | id: breather-1 | error: the device id `breather-1` is already given in line 9",
                "name: serial line of bay T1 | rtu_over_tcp: {host: h, port: 1} | 9:5: error: the line is both serial and rtu_over_tcp",
                // a unit
                "line: line-1 | line: line-9 | 14:80: error: there is no line `line-9`; did you mean line-1?",
                "unit: 1} | unit: 0} | 14:94: error: `",
                "unit: 1} | unit: 248} | 14:94: error: `",
                "unit: 1} | unit: 1, deadline: soon} | 14:107: error: ",
                "unit: 1} | unit: 1}, modbus_tcp: {host: 192.0.2.1} | error: the device answers in several places: modbus_tcp, modbus_rtu; write one of",
            })
    void aMistakeIsToldWithItsPlaceAndRemedy(String from, String to, String expected) throws IOException {
        String text = LINE + "devices:\n  - {id: breather-1, name: breather, asset: t1, map: drb-6,"
                + " modbus_rtu: {line: line-1, unit: 1}}\n";
        assertThat(text).contains(from);
        Files.writeString(folder.resolve("station.yaml"), BEGINNING + text.replace(from, to));

        Loaded<Station> loaded = StationFolder.load(folder);
        assertThat(loaded.value()).isNull();
        assertThat(told(loaded))
                .anySatisfy(problem -> assertThat(problem)
                        .startsWith("station.yaml:")
                        .contains(expected)
                        .contains("; "));
    }

    @Test
    void oneUnitNumberTwiceOnALineIsRefusedAndOnTwoLinesIsNot() throws IOException {
        assertThat(told(load(LINE, "modbus_rtu: {line: line-1, unit: 7}", "modbus_rtu: {line: line-1, unit: 7}")))
                .singleElement()
                .isEqualTo(
                        "station.yaml:15:94: error: unit 7 of line-1 is given in line 14 already; two units on a line"
                                + " that answer at once destroy each other's answers; give each its own");

        String second = LINE.replace("lines:\n", "").replace("line-1", "line-2").replace("0001", "0002");
        assertThat(told(load(
                        LINE + second, "modbus_rtu: {line: line-1, unit: 7}", "modbus_rtu: {line: line-2, unit: 7}")))
                .isEmpty();
    }

    @Test
    void oneWayToTwoLinesIsRefusedSinceItsUnitsAreOneLine() throws IOException {
        String second = LINE.replace("lines:\n", "").replace("line-1", "line-2");
        assertThat(told(load(
                        LINE + second, "modbus_rtu: {line: line-1, unit: 7}", "modbus_rtu: {line: line-2, unit: 8}")))
                .containsExactly("station.yaml:15:13: error: the line of line 11 is at"
                        + " /dev/serial/by-id/usb-adapter-0001-if00 too; put the units of both on one line");
    }

    @Test
    void aNameThatTheNextStartMayGiveToAnotherAdapterIsNamed() throws IOException {
        for (String unstable : List.of("/dev/ttyUSB0", "/dev/ttyACM12")) {
            Loaded<Station> loaded = load(
                    LINE.replace("/dev/serial/by-id/usb-adapter-0001-if00", unstable),
                    "modbus_rtu: {line: line-1, unit: 1}");
            assertThat(loaded.value()).isNotNull();
            assertThat(told(loaded))
                    .containsExactly(
                            "station.yaml:11:20: warning: `" + unstable + "` may name another adapter after the"
                                    + " next start; write its name under /dev/serial/by-id or /dev/serial/by-path (ls -l"
                                    + " /dev/serial/by-id)");
        }
        assertThat(told(load(
                        LINE.replace("/dev/serial/by-id/usb-adapter-0001-if00", "/dev/ttyS0"),
                        "modbus_rtu: {line: line-1, unit: 1}")))
                .isEmpty();
    }

    @Test
    void aLineWithoutDevicesIsNamed() throws IOException {
        assertThat(told(load(LINE, "modbus_tcp: {host: 192.0.2.1}")))
                .containsExactly(
                        "station.yaml:9:5: warning: no device is on the line line-1; put devices on it, or leave it"
                                + " out");
    }
}
