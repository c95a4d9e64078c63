package oilbird.gateway.modbus;

import static oilbird.gateway.modbus.FramesOfTheStandardTest.ROWS;
import static oilbird.gateway.modbus.FramesOfTheStandardTest.field;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Map;
import java.util.stream.Stream;
import oilbird.gateway.station.SerialLine;
import oilbird.mapping.address.ModbusTable;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * Serial frames byte for byte: examples of MODBUS Application Protocol V1.1b3 in the frames of MODBUS over Serial Line
 * V1.02, 2.5.1, to unit 17. The file's checksums were worked out apart from this project, by the rule of V1.02, 6.2.2.
 */
final class SerialFramesOfTheStandardTest {
    private static final int UNIT = 17;
    private static final Duration PATIENT = Duration.ofSeconds(20);

    /** The worked example that V1.02 prints (6.2.2): bytes 02 07, register 1241, on the wires low byte first. */
    @Test
    void theChecksumThatTheSerialLineSpecificationWorksOut() {
        assertThat(ReadRequest.checksum(new byte[] {0x02, 0x07}, 0, 2)).containsExactly(0x41, 0x12);
        assertThat(RawUnit.crc(new byte[] {0x02, 0x07}, 2)).isEqualTo(0x1241);
        assertThat(ReadRequest.checksum(new byte[] {0x55, 0x55, 0x02, 0x07, 0x55}, 2, 2))
                .as("wherever it stands among other bytes")
                .containsExactly(0x41, 0x12);
    }

    /** The check value under which catalogues of checksums list this one (CRC-16/MODBUS): 4B37. */
    @Test
    void theCheckValueOfThisChecksum() {
        byte[] digits = "123456789".getBytes(StandardCharsets.US_ASCII);
        assertThat(ReadRequest.checksum(digits, 0, 9)).containsExactly(0x37, 0x4B);
    }

    static Stream<String> everyFrame() {
        return ROWS.entrySet().stream()
                .flatMap(row -> Stream.of("request_rtu_unit17", "response_rtu_unit17")
                        .map(column -> String.valueOf(row.getValue().get(column))))
                .filter(frame -> !frame.isBlank());
    }

    @Test
    void theFileHasFramesOfAllItsRows() {
        assertThat(everyFrame()).hasSize(2 * ROWS.size() - 1);
    }

    @ParameterizedTest
    @MethodSource("everyFrame")
    void everyFrameOfTheFileEndsInTheChecksumOfTheRest(String frame) {
        byte[] bytes = RawDevice.HEX.parseHex(frame);
        assertThat(ReadRequest.checksum(bytes, 0, bytes.length - 2))
                .containsExactly(bytes[bytes.length - 2] & 0xFF, bytes[bytes.length - 1] & 0xFF);
    }

    static Stream<Arguments> readable() {
        return Stream.of(
                Arguments.of("FC01 read coils 20-38", new ReadRequest.Cells(ModbusTable.COILS, 19, 19), new int[] {
                    1, 0, 1, 1, 0, 0, 1, 1, 1, 1, 0, 1, 0, 1, 1, 0, 1, 0, 1
                }),
                Arguments.of(
                        "FC02 read inputs 197-218",
                        new ReadRequest.Cells(ModbusTable.DISCRETE_INPUTS, 196, 22),
                        new int[] {0, 0, 1, 1, 0, 1, 0, 1, 1, 1, 0, 1, 1, 0, 1, 1, 1, 0, 1, 0, 1, 1}),
                Arguments.of(
                        "FC03 read holding 108-110",
                        new ReadRequest.Cells(ModbusTable.HOLDING_REGISTERS, 107, 3),
                        new int[] {555, 0, 100}),
                Arguments.of(
                        "FC04 read input reg 9", new ReadRequest.Cells(ModbusTable.INPUT_REGISTERS, 8, 1), new int[] {10
                        }));
    }

    @ParameterizedTest(name = "{0}")
    @MethodSource("readable")
    void whatGoesOutAndWhatIsMadeOfTheAnswer(String row, ReadRequest request, int[] values) throws Exception {
        assertThat(((Outcome.Cells) exchange(row, request)).values()).containsExactly(values);
    }

    @Test
    void basicDeviceIdentification() throws Exception {
        // The reference marks this row as read from the standard's text.
        assertThat(exchange("FC2B/0E basic id", new ReadRequest.DeviceIdentification(0)))
                .isEqualTo(new Outcome.Objects(
                        Map.of(0, "Company identification", 1, "Product code XX", 2, "V2.11"), false, 0));
    }

    @Test
    void anAddressThatIsNotThere() throws Exception {
        assertThat(exchange("exception: FC01 address not there", new ReadRequest.Cells(ModbusTable.COILS, 0x04A1, 1)))
                .isEqualTo(new Outcome.Refused(2));
    }

    private static Outcome exchange(String row, ReadRequest request) throws Exception {
        byte[] answer = RawDevice.HEX.parseHex(field(row, "response_rtu_unit17"));
        try (RawUnit units = RawUnit.overTcp(received -> received.send(answer))) {
            RtuConnection connection = MisbehavingUnits.connect(units);
            Outcome outcome = connection.exchange(UNIT, request, PATIENT);
            assertThat(RawDevice.HEX.formatHex(units.awaitRequest().frame()))
                    .isEqualTo(field(row, "request_rtu_unit17"));
            connection.close();
            return outcome;
        }
    }

    /** V1.02, 2.2: single units are 1 to 247, 0 is broadcast, 248 to 255 are reserved. */
    @Test
    void nothingIsBroadcastAndNoReservedNumberIsAsked() throws Exception {
        try (RawUnit units = RawUnit.overTcp(received -> {})) {
            RtuConnection connection = MisbehavingUnits.connect(units);
            ReadRequest request = new ReadRequest.Cells(ModbusTable.COILS, 0, 1);
            for (int unit : new int[] {0, 248, 255}) {
                assertThatIllegalArgumentException().isThrownBy(() -> connection.exchange(unit, request, PATIENT));
            }
            connection.close();
            assertThat(units.waiting()).isEmpty();
        }
    }

    /**
     * V1.02, 2.5.1.1: 3.5 characters of 11 bits up to 19200 bits a second, above it 1.750 ms (the reference marks this
     * text as from memory, and the figure as widely repeated). 8N1 has 10 bits: against V1.02, common practice.
     */
    @ParameterizedTest
    @CsvSource({
        "1200, EVEN_1, 32083333",
        "9600, EVEN_1, 4010416",
        "19200, EVEN_1, 2005208",
        "19200, NONE_2, 2005208",
        "19200, NONE_1, 1822916",
        "38400, EVEN_1, 1750000",
        "115200, NONE_1, 1750000"
    })
    void theSilenceBetweenFrames(int baud, SerialLine.Format format, long nanos) {
        SerialLine line = new SerialLine("line", "line", new SerialLine.Way.Port("/dev/null"), baud, format, false);
        assertThat(line.frameGap()).isEqualTo(Duration.ofNanos(nanos));
    }
}
