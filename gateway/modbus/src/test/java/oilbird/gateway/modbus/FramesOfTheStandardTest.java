package oilbird.gateway.modbus;

import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.TreeSet;
import java.util.stream.IntStream;
import oilbird.mapping.address.ModbusTable;
import org.junit.jupiter.api.Test;

/**
 * Frames byte for byte from MODBUS Application Protocol V1.1b3, through a real socket: what we send is what the
 * standard prints, and what it prints as the answer gives the values that its text names.
 */
final class FramesOfTheStandardTest {
    private static final int UNIT = 0xFF;
    private static final Duration PATIENT = Duration.ofSeconds(20);
    static final Map<String, Map<String, String>> ROWS = rows();

    @Test
    void coils20To38() throws Exception {
        // MAP 6.1: "27-20 is CD hex, or binary 1100 1101, with coil 27 the MSB"; then 6B and 05.
        assertThat(cells("FC01 read coils 20-38", ModbusTable.COILS, 19, 19))
                .containsExactly(1, 0, 1, 1, 0, 0, 1, 1, 1, 1, 0, 1, 0, 1, 1, 0, 1, 0, 1);
    }

    @Test
    void discreteInputs197To218() throws Exception {
        // MAP 6.2: 204-197 is AC hex, 1010 1100; then DB and 35.
        assertThat(cells("FC02 read inputs 197-218", ModbusTable.DISCRETE_INPUTS, 196, 22))
                .containsExactly(0, 0, 1, 1, 0, 1, 0, 1, 1, 1, 0, 1, 1, 0, 1, 1, 1, 0, 1, 0, 1, 1);
    }

    @Test
    void holdingRegisters108To110() throws Exception {
        // MAP 6.3: "the contents of register 108 are ... 02 2B hex, or 555 decimal", 109 and 110 are 0 and 100.
        assertThat(cells("FC03 read holding 108-110", ModbusTable.HOLDING_REGISTERS, 107, 3))
                .containsExactly(555, 0, 100);
    }

    @Test
    void inputRegister9() throws Exception {
        // MAP 6.4: "00 0A hex, or 10 decimal".
        assertThat(cells("FC04 read input reg 9", ModbusTable.INPUT_REGISTERS, 8, 1))
                .containsExactly(10);
    }

    @Test
    void basicDeviceIdentification() throws Exception {
        // MAP 6.21, the example of one transaction. The reference marks this row as read from the standard's text.
        Outcome outcome = exchange("FC2B/0E basic id", new ReadRequest.DeviceIdentification(0));
        assertThat(outcome)
                .isEqualTo(new Outcome.Objects(
                        Map.of(0, "Company identification", 1, "Product code XX", 2, "V2.11"), false, 0));
    }

    @Test
    void anAddressThatIsNotThere() throws Exception {
        assertThat(exchange("exception: FC01 address not there", new ReadRequest.Cells(ModbusTable.COILS, 0x04A1, 1)))
                .isEqualTo(new Outcome.Refused(2));
    }

    @Test
    void theLargestQuantityOfRegistersIs125() throws Exception {
        int[] registers = IntStream.range(0, 125).map(i -> 0x8000 + i).toArray();
        List<String> pdu = new ArrayList<>(List.of("03", "FA"));
        for (int register : registers) {
            pdu.add(String.format("%02X", register >> 8));
            pdu.add(String.format("%02X", register & 0xFF));
        }
        String row = "limit ok: FC03 125";
        assertThat(field(row, "response_pdu")).isEqualTo("03 FA + 250 bytes");
        assertThat(pdu).hasSize(2 + 250);
        Outcome outcome = exchange(
                field(row, "request_tcp_tid1_unitFF"),
                String.join(" ", pdu),
                new ReadRequest.Cells(ModbusTable.HOLDING_REGISTERS, 0, 125));
        assertThat(((Outcome.Cells) outcome).values()).containsExactly(registers);
    }

    @Test
    void whatTheStandardRefusesOurOwnTypeRefusesBeforeTheWire() throws Exception {
        refuses("exception: FC03 quantity 126", ModbusTable.HOLDING_REGISTERS, 0, 126);
        refuses("exception: FC03 quantity 0", ModbusTable.HOLDING_REGISTERS, 0, 0);
        refuses("exception: FC03 wrap 65535+2", ModbusTable.HOLDING_REGISTERS, 65535, 2);
        assertThatIllegalArgumentException().isThrownBy(() -> new ReadRequest.Cells(ModbusTable.COILS, 0, 2001));
        assertThatIllegalArgumentException()
                .isThrownBy(() -> new ReadRequest.Cells(ModbusTable.INPUT_REGISTERS, 0, 126));
    }

    /** The request cannot be made; the exception that it would have brought is still understood. */
    private static void refuses(String row, ModbusTable table, int start, int count) throws Exception {
        assertThat(field(row, "request_pdu"))
                .isEqualTo(String.format(
                        "%02X %02X %02X %02X %02X", table.functionCode(), start >> 8, start & 0xFF, count >> 8, count));
        assertThatIllegalArgumentException().isThrownBy(() -> new ReadRequest.Cells(table, start, count));
        Outcome outcome = exchange(
                "00 01 00 00 00 06 FF 03 00 00 00 01",
                field(row, "response_pdu"),
                new ReadRequest.Cells(ModbusTable.HOLDING_REGISTERS, 0, 1));
        int code = Integer.parseInt(field(row, "response_pdu").substring(3), 16);
        assertThat(outcome).isEqualTo(new Outcome.Refused(code));
    }

    /** Every other frame of the file is one that this module has no type for. */
    @Test
    void noFrameOfTheFileIsLeftOut() {
        TreeSet<String> sendable = new TreeSet<>(List.of("01", "02", "03", "04", "2B"));
        List<String> unsendable = ROWS.values().stream()
                .map(row -> Objects.requireNonNull(row.get("request_pdu")).substring(0, 2))
                .filter(function -> !sendable.contains(function))
                .distinct()
                .toList();
        assertThat(ROWS).hasSize(23);
        assertThat(unsendable)
                .containsExactly("05", "06", "07", "08", "0B", "0F", "10", "14", "15", "16", "17", "18", "65");
    }

    private static int[] cells(String row, ModbusTable table, int start, int count) throws Exception {
        return ((Outcome.Cells) exchange(row, new ReadRequest.Cells(table, start, count))).values();
    }

    private static Outcome exchange(String row, ReadRequest request) throws Exception {
        assertThat(RawDevice.HEX.formatHex(request.pdu())).isEqualTo(field(row, "request_pdu"));
        return exchange(field(row, "request_tcp_tid1_unitFF"), field(row, "response_pdu"), request);
    }

    private static Outcome exchange(String expectedFrame, String answerPdu, ReadRequest request) throws Exception {
        int[] pdu = IntStream.range(0, (answerPdu.length() + 1) / 3)
                .map(i -> Integer.parseInt(answerPdu.substring(3 * i, 3 * i + 2), 16))
                .toArray();
        try (RawDevice device = new RawDevice(received -> received.send(received.framed(pdu)));
                ModbusConnection connection = connect(device)) {
            Outcome outcome = connection.exchange(UNIT, request, PATIENT);
            assertThat(RawDevice.HEX.formatHex(device.awaitRequest().frame())).isEqualTo(expectedFrame);
            return outcome;
        }
    }

    static ModbusConnection connect(RawDevice device) {
        ModbusTcpConnection.Opening opening = ModbusTcpConnection.open("127.0.0.1", device.port(), PATIENT);
        assertThat(opening).isInstanceOf(ModbusTcpConnection.Opening.Opened.class);
        return ((ModbusTcpConnection.Opening.Opened) opening).connection();
    }

    static String field(String row, String column) {
        return Objects.requireNonNull(Objects.requireNonNull(ROWS.get(row), row).get(column), column);
    }

    private static Map<String, Map<String, String>> rows() {
        Map<String, Map<String, String>> rows = new LinkedHashMap<>();
        try (BufferedReader reader = new BufferedReader(new InputStreamReader(
                Objects.requireNonNull(FramesOfTheStandardTest.class.getResourceAsStream("modbus_frames.csv")),
                StandardCharsets.UTF_8))) {
            List<String> lines =
                    reader.lines().filter(line -> !line.startsWith("#")).toList();
            List<String> columns = List.of(lines.get(0).split(",", -1));
            for (String line : lines.subList(1, lines.size())) {
                String[] fields = line.split(",", -1);
                Map<String, String> row = new LinkedHashMap<>();
                for (int i = 0; i < fields.length; i++) {
                    row.put(columns.get(i), fields[i]);
                }
                rows.put(fields[0], row);
            }
        } catch (IOException failure) {
            throw new UncheckedIOException(failure);
        }
        return rows;
    }
}
