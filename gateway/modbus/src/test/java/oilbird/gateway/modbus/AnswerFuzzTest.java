package oilbird.gateway.modbus;

import com.code_intelligence.jazzer.junit.FuzzTest;
import java.io.BufferedReader;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.stream.Stream;
import oilbird.gateway.station.SerialLine;
import oilbird.mapping.address.ModbusTable;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;

/**
 * Any bytes as an answer, over Modbus TCP and on a serial line: a named reason, or the cells that the bytes really
 * carry by a reading of our own; never an exception, and never a value that the bytes do not hold.
 *
 * <p>As an ordinary test it goes over its seeds; with {@code JAZZER_FUZZ=1} in the environment Jazzer searches from them
 * on, guided by coverage.
 */
class AnswerFuzzTest {
    private static final int UNIT = 11;
    private static final Duration WITHIN = Duration.ofMillis(500);

    private static SerialLine line(boolean echo) {
        return new SerialLine(
                "line", "line", new SerialLine.Way.Port("/dev/null"), 115_200, SerialLine.Format.EVEN_1, echo);
    }

    private static ReadRequest request(int which) {
        return switch (which & 7) {
            case 0 -> new ReadRequest.Cells(ModbusTable.COILS, 0, 19);
            case 1 -> new ReadRequest.Cells(ModbusTable.DISCRETE_INPUTS, 196, 8);
            case 2 -> new ReadRequest.Cells(ModbusTable.HOLDING_REGISTERS, 107, 3);
            case 3 -> new ReadRequest.Cells(ModbusTable.INPUT_REGISTERS, 8, 1);
            case 4 -> new ReadRequest.Cells(ModbusTable.HOLDING_REGISTERS, 0, 125);
            default -> new ReadRequest.DeviceIdentification(0);
        };
    }

    /** On a line with echo what was sent comes first. */
    private static boolean echo(int which) {
        return (which & 8) != 0;
    }

    /** The first byte chooses request and line, the rest is the answer; examples of MODBUS Application Protocol V1.1b3, 6.1 to 6.4, 6.21. */
    static Stream<Arguments> seeds() {
        int[][] pdus = {
            {0, 0x01, 0x03, 0xCD, 0x6B, 0x05},
            {1, 0x02, 0x01, 0xAC},
            {2, 0x03, 0x06, 0x02, 0x2B, 0x00, 0x00, 0x00, 0x64},
            {3, 0x04, 0x02, 0x00, 0x0A},
            {2, 0x83, 0x02},
            {5, 0x2B, 0x0E, 0x01, 0x01, 0x00, 0x00, 0x01, 0x00, 0x03, 0x41, 0x42, 0x43},
            {5, 0x2B, 0x0E, 0x01, 0x01, 0xFF, 0x02, 0x02, 0x00, 0x00, 0x01, 0x01, 0x41},
            {2, 0x03, 0x08, 0x02, 0x2B},
            {2}
        };
        Stream<Arguments> examples = Arrays.stream(pdus).flatMap(pdu -> {
            int[] answer = Arrays.copyOfRange(pdu, 1, pdu.length);
            byte[] rtu = RawUnit.frameOf(UNIT, answer);
            byte[] tcp = new byte[7 + answer.length];
            tcp[1] = 1;
            tcp[5] = (byte) (answer.length + 1);
            tcp[6] = UNIT;
            for (int i = 0; i < answer.length; i++) {
                tcp[7 + i] = (byte) answer[i];
            }
            return Stream.of(with(pdu[0], rtu), with(pdu[0] | 8, rtu), with(pdu[0], tcp));
        });
        return Stream.concat(examples, found());
    }

    /** Inputs that an earlier search kept, each for a way through the code that no other takes. */
    private static Stream<Arguments> found() {
        try (BufferedReader reader = new BufferedReader(new InputStreamReader(
                Objects.requireNonNull(AnswerFuzzTest.class.getResourceAsStream("answers-found.txt")),
                StandardCharsets.US_ASCII))) {
            return reader
                    .lines()
                    .filter(line -> !line.startsWith("#"))
                    .map(line -> Arguments.of((Object) HexFormat.of().parseHex(line)))
                    .toList()
                    .stream();
        } catch (IOException failure) {
            throw new UncheckedIOException(failure);
        }
    }

    private static Arguments with(int first, byte[] answer) {
        byte[] all = new byte[answer.length + 1];
        all[0] = (byte) first;
        System.arraycopy(answer, 0, all, 1, answer.length);
        return Arguments.of((Object) all);
    }

    @MethodSource("seeds")
    @FuzzTest(maxDuration = "5m")
    void anyBytesAreAnAnswerOrARefusalWithAReason(byte[] bytes) throws IOException {
        if (bytes.length == 0) {
            return;
        }
        ReadRequest request = request(bytes[0]);
        byte[] answer = Arrays.copyOfRange(bytes, 1, bytes.length);
        LineLedger ledger = new LineLedger("line", "line", "line", List.of());
        boolean echo = echo(bytes[0]);
        RtuConnection rtu = new RtuConnection(new Given(answer, echo), line(echo), Map.of(), ledger);
        judge(rtu.exchange(UNIT, request, WITHIN), answer, 1, request);
        try (ModbusTcpConnection tcp = new ModbusTcpConnection(new GivenSocket(answer), new TransactionIds(1))) {
            judge(tcp.exchange(UNIT, request, WITHIN), answer, 7, request);
        }
    }

    /** @param pdu where the answer's PDU begins, if it is one. */
    private static void judge(Outcome outcome, byte[] answer, int pdu, ReadRequest request) {
        if (outcome instanceof Outcome.Failed failed) {
            if (failed.detail().isBlank()) {
                throw new AssertionError("refused without a reason");
            }
            return;
        }
        if ((answer[pdu - 1] & 0xFF) != UNIT) {
            throw new AssertionError("taken from another unit");
        }
        if (pdu == 1) {
            int length = answer.length - 2;
            int crc = RawUnit.crc(answer, length);
            if ((byte) crc != answer[length] || (byte) (crc >> 8) != answer[length + 1]) {
                throw new AssertionError("taken with a wrong checksum");
            }
        }
        int function = answer[pdu] & 0xFF;
        if (outcome instanceof Outcome.Cells cells) {
            boolean bits = function < 3;
            for (int i = 0; i < cells.values().length; i++) {
                int at = pdu + 2 + (bits ? i / 8 : 2 * i);
                int value = bits ? answer[at] >> (i % 8) & 1 : (answer[at] & 0xFF) << 8 | answer[at + 1] & 0xFF;
                if (value != cells.values()[i] || function != request.functionCode()) {
                    throw new AssertionError("cell " + i + " is not what the bytes say");
                }
            }
        } else if (outcome instanceof Outcome.Refused refused
                && (function != (request.functionCode() | 0x80) || refused.code() != (answer[pdu + 1] & 0xFF))) {
            throw new AssertionError("an exception that the bytes do not say");
        }
    }

    /** A line that gives these bytes as soon as something was sent, behind its echo if it has one, and then is silent. */
    private static final class Given implements Wire {
        private final byte[] answer;
        private final boolean echo;
        private byte[] coming = new byte[0];
        private int at;

        Given(byte[] answer, boolean echo) {
            this.answer = answer;
            this.echo = echo;
        }

        @Override
        public int read(byte[] to, int offset, int length, long until) {
            int count = Math.min(length, coming.length - at);
            System.arraycopy(coming, at, to, offset, count);
            at += count;
            return count;
        }

        @Override
        public void write(byte[] from, int length) {
            int before = echo ? length : 0;
            coming = Arrays.copyOf(from, before + answer.length);
            System.arraycopy(answer, 0, coming, before, answer.length);
        }

        @Override
        public void close() {
            // Nothing is open.
        }
    }

    /** A socket without a network, whose far end gives these bytes and hangs up. */
    private static final class GivenSocket extends Socket {
        private final InputStream in;

        GivenSocket(byte[] answer) {
            in = new ByteArrayInputStream(answer) {
                @Override
                public synchronized int available() {
                    return 0;
                }
            };
        }

        @Override
        public void setTcpNoDelay(boolean on) {}

        @Override
        public void setKeepAlive(boolean on) {}

        @Override
        public void setSoTimeout(int millis) {}

        @Override
        public InputStream getInputStream() {
            return in;
        }

        @Override
        public OutputStream getOutputStream() {
            return new ByteArrayOutputStream();
        }
    }
}
