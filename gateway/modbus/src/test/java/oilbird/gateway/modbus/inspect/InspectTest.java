package oilbird.gateway.modbus.inspect;

import static org.assertj.core.api.Assertions.assertThat;

import java.io.BufferedReader;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.PrintStream;
import java.io.StringReader;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.PosixFilePermissions;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import oilbird.gateway.modbus.RawDevice;
import oilbird.gateway.modbus.RawUnit;
import oilbird.mapping.map.MapReader;
import oilbird.mapping.map.MappedIndication;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** The command as an integrator gives it, against a device on a real socket that notes every request. */
@Timeout(value = 60, unit = TimeUnit.SECONDS)
class InspectTest {
    private static final String MAP = """
            device_map: 1
            name: drb-6
            text: breather (invented)
            poll_classes: {status: 1 s}
            read_effects:
              - {holding_register: 8, count: 2, text: clears the counters}
            points:
              humidity: {text: humidity of the dried air, holding_register: 1, type: uint16, scale: 0.1, unit: "%", range: [0, 100]}
              time: {text: operating time, holding_register: 2, type: float32, order: ABCD, unit: h, range: [0, 1000000]}
              drops: {text: drops since the last reading, holding_register: 8, type: uint16}
            words:
              state:
                text: status word
                holding_register: 0
                width: 16
                bits:
                  0: heater-failed
                  1: {indication: dry, inverted: true}
                  2-3: {field: mode, values: {0: off, 1: slow}}
                  4: spare
            indications:
              heater-failed: {text: heater failed}
              dry: {text: agent dry}
            """;

    @TempDir
    Path folder;

    private final Map<Integer, Integer> registers = new TreeMap<>();
    /** Function, first address and count of each request for cells. */
    private final List<List<Integer>> asked = new CopyOnWriteArrayList<>();

    private Path map = Path.of("");
    private int status;

    @BeforeEach
    void aMapAndADevice() throws IOException {
        map = folder.resolve("drb-6.yaml");
        Files.writeString(map, MAP);
        // 123 is 12.3 %; 9996.0 is 461C 3000 (IEEE 754), here with the low word first.
        for (int value : new int[] {0x0021, 123, 0x3000, 0x461C, 0, 0, 0, 0, 7, 7, 0, 0}) {
            registers.put(registers.size(), value);
        }
    }

    private void answer(RawDevice.Request request) throws IOException {
        if (request.function() == 0x2B) {
            request.send(request.identification("Coldharbour Instruments (invented)", "DRB-6", "3.1"));
            return;
        }
        asked.add(List.of(request.function(), request.start(), request.count()));
        int[] pdu = new int[2 + 2 * request.count()];
        pdu[0] = request.function();
        pdu[1] = 2 * request.count();
        for (int i = 0; i < request.count(); i++) {
            Integer value = registers.get(request.start() + i);
            if (value == null) {
                request.send(request.framed(request.function() | 0x80, 2));
                return;
            }
            pdu[2 + 2 * i] = value >> 8;
            pdu[3 + 2 * i] = value & 0xFF;
        }
        request.send(request.framed(pdu));
    }

    private String inspect(String answers, String... words) {
        ByteArrayOutputStream told = new ByteArrayOutputStream();
        try (PrintStream out = new PrintStream(told, true, StandardCharsets.UTF_8)) {
            status = Main.run(List.of(words), new BufferedReader(new StringReader(answers)), out);
        }
        return told.toString(StandardCharsets.UTF_8);
    }

    private String inspectDevice(String answers, String... further) {
        try (RawDevice device = new RawDevice(this::answer)) {
            List<String> words = new ArrayList<>(List.of("127.0.0.1:" + device.port(), "--unit", "1"));
            words.addAll(List.of(further));
            return inspect(answers, words.toArray(String[]::new));
        }
    }

    @Test
    void aUnitOnASerialLineIsLookedAtTheSameWayAndTheLineIsCounted() throws Exception {
        try (RawUnit units = RawUnit.overTcp(request -> request.send(request.registers(0x0021)))) {
            String told =
                    inspect("", "127.0.0.1:" + units.port(), "--rtu", "--unit", "7", "--read", "holding_register:0-1");

            assertThat(told).contains("127.0.0.1:" + units.port() + " unit 7").contains("0021");
            assertThat(told).contains("line: 2 requests, 1 answers;");
        }
        assertThat(inspect("", "--serial", "/dev/ttyUSB0")).contains("say how fast the line is: --baud 19200");
        assertThat(inspect("", "--serial", "/dev/no-such-port", "--baud", "19200", "--unit", "7"))
                .contains("does not answer: serial port cannot be opened");
    }

    @Test
    void itTellsWhatTheDeviceSaysOfItself() {
        assertThat(inspectDevice(""))
                .contains("00 VendorName         Coldharbour Instruments (invented)")
                .contains("01 ProductCode        DRB-6")
                .contains("02 MajorMinorRevision 3.1");
        assertThat(status).isZero();
        assertThat(asked).isEmpty();
    }

    @Test
    void anotherProductThanTheMapsIsNotReadFurther() throws IOException {
        Files.writeString(map, MAP + "identification: {product: HBG-8}\n");
        assertThat(inspectDevice("", "--map", map.toString())).contains("The map is for HBG-8, another product");
        assertThat(status).isEqualTo(1);
        assertThat(asked).isEmpty();
    }

    @Test
    void aRangeIsShownInHexadecimalAndTheMapsLongValuesInFourOrders() {
        assertThat(inspectDevice("", "--read", "holding_register:0-3", "--map", map.toString()))
                .contains("        1        2  007B       123      123")
                .contains("time (float32, holding registers 2 to 3) 3000 461C")
                .containsPattern("ABCD 4\\.66\\S+ h +CDAB \\*9996 h +BADC .* DCBA ")
                .contains("the map says ABCD, plausible is CDAB: correct order in the map");
        assertThat(status).isZero();
    }

    @Test
    void withoutAMapEveryTwoNeighboursAreShownAndTheRangeMarksWhatIsPlausible() {
        assertThat(inspectDevice("", "--read", "holding_register:2-3", "--range", "1..100000"))
                .contains("nothing is known of addresses where reading has an effect")
                .containsPattern("3000 461C  float32 +ABCD .* CDAB \\*9996 ");
    }

    @Test
    void aRangeWhoseReadingHasAnEffectIsNeverAskedFor() {
        assertThat(inspectDevice("", "--read", "holding_register:0-11", "--map", map.toString()))
                .contains("holding registers 8 to 9: not read, since reading has an effect: clears the counters");
        assertThat(inspectDevice("y\ny\ny\ny\ny\n", "--map", map.toString()))
                .contains("not read, since reading has an effect (clears the counters): drops");
        inspectDevice("y\ny\ny\ny\ny\n", "--map", map.toString(), "--verify", "--by", "A");
        assertThat(asked)
                .isNotEmpty()
                .allSatisfy(request -> assertThat(request.get(1) + request.get(2) <= 8 || request.get(1) >= 10)
                        .as("%s", request)
                        .isTrue());
    }

    @Test
    void whatTheDeviceRefusesIsNarrowedDown() {
        registers.remove(5);
        assertThat(inspectDevice("", "--read", "holding_register:0-7"))
                .contains("  holding register 5: exception 02, illegal data address")
                .contains("        4        5  0000")
                .contains("        6        7  0000");
    }

    @Test
    void readingsAndIndicationsAreShownBitByBit() {
        assertThat(inspectDevice("", "--map", map.toString()))
                .containsPattern("humidity +12\\.3 % +good +holding register 1  007B  not verified")
                .contains("state = 0021  (holding register 0)")
                .containsPattern("bit  0  1  heater-failed +holds  not verified")
                .containsPattern("bit  1  0  dry +holds \\(inverted\\)")
                .contains("bit  2  0  to 3: mode \"off\"")
                .contains("bit  4  0  spare")
                .contains("bit  5  1  not in the map, and set: ask the maker")
                .contains("bit 15  0  not in the map");
        assertThat(status).isZero();
    }

    @Test
    void whatTheDisplayConfirmsIsMarkedInTheFileAndNothingElseIs() throws IOException {
        if (Files.getFileStore(map).supportsFileAttributeView("posix")) {
            Files.setPosixFilePermissions(map, PosixFilePermissions.fromString("rw-rw-r--"));
        }
        String told = inspectDevice(
                "y\nn\nr\ny\nq\n", "--map", map.toString(), "--verify", "--by", "A. B.", "--on", "2026-03-31");
        assertThat(told)
                .contains("humidity: humidity of the dried air is 12.3 % (good). Does the local display say the same?")
                .contains("heater-failed: \"heater failed\" holds. Does the local display say the same?")
                .contains("2 marked, 2 left.");
        var marked =
                MapReader.read("drb-6.yaml", Files.readString(map)).result().orElseThrow();
        assertThat(marked.point("humidity").orElseThrow().verified()).isNotNull();
        assertThat(marked.point("time").orElseThrow().verified()).isNull();
        assertThat(marked.indications())
                .filteredOn(i -> i.verified() != null)
                .extracting(MappedIndication::name)
                .containsExactly("heater-failed");
        assertThat(Files.readString(map).lines().toList())
                .filteredOn(line -> !MAP.lines().toList().contains(line))
                .hasSize(2);
        if (Files.getFileStore(map).supportsFileAttributeView("posix")) {
            assertThat(PosixFilePermissions.toString(Files.getPosixFilePermissions(map)))
                    .isEqualTo("rw-rw-r--");
        }
        assertThat(folder.toFile().list()).containsExactly("drb-6.yaml");
    }

    @Test
    void pointsCanBeMarkedWithoutADeviceAndAWrongNameChangesNothing() throws IOException {
        inspect("", "--map", map.toString(), "--mark", "humidity,dry", "--by", "A", "--on", "2026-03-31");
        assertThat(status).isZero();
        String marked = Files.readString(map);
        assertThat(marked).contains("humidity: {verified: {by: A, on: 2026-03-31}, text:");
        assertThat(inspect("", "--map", map.toString(), "--mark", "time,hmuidity", "--by", "A"))
                .contains("did you mean humidity?");
        assertThat(status).isEqualTo(2);
        assertThat(Files.readString(map)).isEqualTo(marked);
    }

    @Test
    void aDraftIsWrittenOnceAndNeverOverAFile() throws IOException {
        Path list = folder.resolve("list.csv");
        Files.writeString(list, "address,name,type\n0,flow,u16\n");
        Path drafted = folder.resolve("new.yaml");
        assertThat(inspect("", "--draft", list.toString(), "--name", "new", "--out", drafted.toString()))
                .contains("Drafted " + drafted + ": 1 points, 0 indications, 1 requests");
        assertThat(status).isZero();
        assertThat(MapReader.read("new.yaml", Files.readString(drafted)).value())
                .isNotNull();
        assertThat(inspect("", "--draft", list.toString(), "--name", "new", "--out", drafted.toString()))
                .contains("exists and was left as it is");
        assertThat(status).isEqualTo(1);
    }

    @Test
    void aDeviceThatDoesNotAnswerIsNamed() throws IOException {
        int port;
        try (ServerSocket free = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            port = free.getLocalPort();
        }
        assertThat(inspect("", "127.0.0.1:" + port))
                .contains("127.0.0.1:" + port + " unit 255 does not answer: connection refused");
        assertThat(status).isEqualTo(1);
    }

    @Test
    void browsingIsForOpcUaServers() {
        assertThat(inspect("", "192.0.2.1", "--browse")).contains("inspect opc.tcp://HOST:PORT/PATH");
        assertThat(status).isEqualTo(2);
    }

    @Test
    void aMapWithMistakesIsRefusedWithTheirPlaces() throws IOException {
        Files.writeString(map, MAP.replace("type: uint16, scale", "typ: uint16, scale"));
        assertThat(inspect("", "127.0.0.1:1", "--map", map.toString())).contains("did you mean type?");
        assertThat(status).isEqualTo(2);
    }

    @ParameterizedTest
    @CsvSource(
            delimiter = '|',
            value = {
                "'' | name the device",
                "192.0.2.1:99999 | a port is 1 to 65535",
                "192.0.2.1 --unit 256 | --unit is 0 to 255",
                "192.0.2.1 --read register:0 | --read takes a table and addresses",
                "192.0.2.1 --read coil:9-3 | --read takes a table and addresses",
                "192.0.2.1 --read coil:0 --range 5..1 | --range takes the lowest",
                "192.0.2.1 --verify --map m | say who compares: --by NAME",
                "192.0.2.1 --verify --by A | say which map is to be marked",
                "192.0.2.1 --verify --map m --by A --on March | --on takes a day",
                "192.0.2.1 --for soon | --for takes a time",
                "192.0.2.1 --write 3 | inspect does not know \"--write\"",
                "--draft list.csv | --draft needs --name",
                "--draft list.csv --name New | --name takes small letters",
                "192.0.2.1 --draft list.csv --name new | this needs no device",
            })
    void aWrongCommandIsToldWithItsUsage(String words, String wanted) {
        assertThat(inspect("", words.isEmpty() ? new String[0] : words.split(" ")))
                .contains(wanted)
                .contains("usage:");
        assertThat(status).isEqualTo(2);
    }
}
