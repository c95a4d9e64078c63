package oilbird.gateway.modbus;

import static oilbird.gateway.modbus.PollingRig.FAST;
import static oilbird.gateway.modbus.PollingRig.PATIENT;
import static oilbird.gateway.modbus.PollingRig.SHORT;
import static oilbird.gateway.modbus.PollingRig.session;
import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicReference;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.station.ModbusTcpEndpoint;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/**
 * A device that does wrong on a real socket. Each case ends in a named reason and bad quality, the line recovers by
 * itself once the device does right, and no wrong value ever comes through.
 */
@Timeout(value = 60, unit = TimeUnit.SECONDS)
final class MisbehavingDeviceTest {
    private static final int RIGHT = 0x1234;
    private static final int WRONG = 0xDEAD;
    private static final RawDevice.Manner HEALTHY = request -> request.send(request.registers(RIGHT));

    @Test
    void silenceIsNoAnswer() throws Exception {
        endsBadAndRecovers(SHORT, Fault.NO_ANSWER, request -> {});
    }

    @Test
    void aSlowDribbleIsAnAnswerThatIsTooSlow() throws Exception {
        endsBadAndRecovers(SHORT, Fault.ANSWER_TOO_SLOW, dribble(new AtomicInteger()));
    }

    @Test
    void aSlowDribbleEndsAtTheRequestsOneDeadlineAndNotWithItsLastByte() throws Exception {
        AtomicInteger sent = new AtomicInteger();
        try (RawDevice device = new RawDevice(dribble(sent))) {
            ModbusConnection connection = FramesOfTheStandardTest.connect(device);
            Outcome outcome =
                    connection.exchange(1, new ReadRequest.Cells(ModbusTable.HOLDING_REGISTERS, 0, 125), SHORT);
            assertThat(((Outcome.Failed) outcome).fault()).isEqualTo(Fault.ANSWER_TOO_SLOW);
            assertThat(sent.get()).as("of 259 bytes").isLessThan(100);
        }
    }

    /** Each byte comes well within the deadline; a time-out for each read would see the last of them. */
    private static RawDevice.Manner dribble(AtomicInteger sent) {
        CountDownLatch never = new CountDownLatch(1);
        return request -> {
            byte[] answer = request.registers(WRONG);
            try {
                for (int i = 0; i < answer.length - 1; i++) {
                    request.send(Arrays.copyOfRange(answer, i, i + 1));
                    sent.incrementAndGet();
                    if (never.await(SHORT.toMillis() / 5, TimeUnit.MILLISECONDS)) {
                        return;
                    }
                }
            } catch (InterruptedException interrupted) {
                Thread.currentThread().interrupt();
            }
        };
    }

    @Test
    void halfAFrameAndThenAClose() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.CLOSED_INSIDE_ANSWER, request -> {
            request.send(Arrays.copyOf(request.registers(WRONG), 10));
            request.socket().close();
        });
    }

    @Test
    void aCloseInsteadOfAnAnswer() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.CLOSED, request -> request.socket().close());
    }

    @Test
    void anotherTransactionId() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_TRANSACTION, sendsChanged(1, 1));
    }

    @Test
    void anotherProtocolId() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_PROTOCOL, sendsChanged(3, 1));
    }

    @Test
    void anotherUnitId() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_UNIT, sendsChanged(6, 1));
    }

    @Test
    void anotherFunctionCode() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_FUNCTION, sendsChanged(7, 1));
    }

    @Test
    void anExceptionToAnotherFunction() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_FUNCTION, request -> request.send(request.framed(0x84, 0x02)));
    }

    @Test
    void aByteCountThatLies() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_BYTE_COUNT, sendsChanged(8, 2));
    }

    @Test
    void oneRegisterFewerThanWasAskedFor() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_BYTE_COUNT, request -> request.send(request.framed(3, 2, 0xDE, 0xAD)));
    }

    @Test
    void aLengthFieldThatSaysMore() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_LENGTH, sendsChanged(5, 2));
    }

    @Test
    void aLengthFieldThatSaysLess() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_LENGTH, sendsChanged(5, -2));
    }

    @Test
    void aLengthFieldBeyondEveryFrame() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.LENGTH_OUT_OF_BOUNDS, sendsChanged(4, 0x7F));
    }

    @Test
    void aLengthFieldOfZero() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.LENGTH_OUT_OF_BOUNDS, request -> {
            byte[] answer = request.registers(WRONG);
            answer[5] = 0;
            request.send(answer);
        });
    }

    @Test
    void anExceptionThatIsTooLong() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_LENGTH, request -> request.send(request.framed(0x83, 0x02, 0x00)));
    }

    @Test
    void twoRepliesInOneSegmentAreBothDistrusted() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.MORE_THAN_ONE_ANSWER, request -> {
            ByteArrayOutputStream both = new ByteArrayOutputStream();
            both.write(request.registers(WRONG));
            both.write(request.registers(WRONG));
            request.send(both.toByteArray());
        });
    }

    @Test
    void aSecondReplyThatComesLaterIsNeverTakenForTheNext() throws Exception {
        AtomicInteger handled = new AtomicInteger();
        RawDevice.Manner twice = request -> {
            request.send(request.registers(RIGHT));
            if (handled.incrementAndGet() == 1) {
                request.send(request.registers(WRONG));
            }
        };
        try (RawDevice device = new RawDevice(twice);
                PollingRig rig = new PollingRig(session("gas", device.port(), 11, PATIENT, FAST))) {
            // Whether the second reply is seen with the first or before the next request depends on the network.
            StationInput.RequestFailed failed = rig.awaitFailure("gas", "fast");
            assertThat(failed.reason()).isEqualTo(QualityReason.INVALID_ANSWER);
            assertThat(failed.detail())
                    .matches(text -> text.startsWith(Fault.UNASKED_BYTES.words())
                            || text.startsWith(Fault.MORE_THAN_ONE_ANSWER.words()));
            rig.awaitObserved("gas");
            assertThat(rig.everyValue()).containsOnly((double) RIGHT);
        }
    }

    @Test
    void oneReplyInManySegmentsIsAnAnswer() throws Exception {
        RawDevice.Manner inPieces = request -> {
            for (byte each : request.registers(RIGHT)) {
                request.send(new byte[] {each});
            }
        };
        try (RawDevice device = new RawDevice(inPieces);
                PollingRig rig = new PollingRig(session("gas", device.port(), 11, PATIENT, FAST))) {
            assertThat(rig.awaitObserved("gas").readings())
                    .extracting(Reading::number)
                    .containsOnly((double) RIGHT);
            assertThat(rig.status("gas").counts().faults()).isEmpty();
        }
    }

    @Test
    void garbageBeforeAFrame() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_PROTOCOL, request -> {
            ByteArrayOutputStream bytes = new ByteArrayOutputStream();
            // Even with the right transaction id by chance, what follows is no header.
            bytes.write(request.frame(), 0, 2);
            bytes.write(new byte[] {0x55, 0x55, 0x55});
            bytes.write(request.registers(WRONG));
            request.send(bytes.toByteArray());
        });
    }

    @Test
    void aReset() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.CONNECTION_RESET, request -> {
            request.socket().setSoLinger(true, 0);
            request.socket().close();
        });
    }

    @Test
    void anAnswerThatNeverEnds() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.MORE_THAN_ONE_ANSWER, request -> {
            byte[] endless = Arrays.copyOf(request.registers(WRONG), 8192);
            while (true) {
                request.send(endless);
            }
        });
    }

    @Test
    void zerosThatNeverEnd() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.LENGTH_OUT_OF_BOUNDS, request -> {
            byte[] zeros = new byte[8192];
            System.arraycopy(request.frame(), 0, zeros, 0, 2);
            while (true) {
                request.send(zeros);
            }
        });
    }

    @Test
    void aConnectionThatIsTakenAndLeftAlone() throws Exception {
        try (ServerSocket deaf = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
                PollingRig rig = new PollingRig(session("gas", deaf.getLocalPort(), 11, SHORT, FAST))) {
            assertFailed(rig, Fault.NO_ANSWER);
            int port = deaf.getLocalPort();
            deaf.close();
            assertFailed(rig, Fault.CONNECTION_REFUSED);
            try (RawDevice device = new RawDevice(port, HEALTHY)) {
                assertRecovered(rig);
                assertThat(device.connections()).isPositive();
            }
        }
    }

    @Test
    void aRefusedConnection() throws Exception {
        int port;
        try (ServerSocket soonGone = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            port = soonGone.getLocalPort();
        }
        try (PollingRig rig = new PollingRig(session("gas", port, 11, PATIENT, FAST))) {
            assertFailed(rig, Fault.CONNECTION_REFUSED);
            try (RawDevice device = new RawDevice(port, HEALTHY)) {
                assertRecovered(rig);
                assertThat(device.connections()).isPositive();
            }
        }
    }

    @Test
    void aHostThatSwallowsConnections() throws Exception {
        // With a full backlog Linux leaves a further SYN unanswered.
        try (ServerSocket full = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
            List<Socket> fillers = new ArrayList<>();
            try {
                for (int i = 0; i < 2; i++) {
                    fillers.add(new Socket(full.getInetAddress(), full.getLocalPort()));
                }
                ModbusTcpConnection.Opening opening = ModbusTcpConnection.open("127.0.0.1", full.getLocalPort(), SHORT);
                assertThat(opening).isInstanceOf(ModbusTcpConnection.Opening.NotOpened.class);
                assertThat(((ModbusTcpConnection.Opening.NotOpened) opening)
                                .failure()
                                .fault())
                        .isEqualTo(Fault.CONNECT_TIMEOUT);
            } finally {
                for (Socket filler : fillers) {
                    filler.close();
                }
            }
        }
    }

    /** RFC 919: no connection can be made to all hosts at once, so the kernel refuses without sending anything. */
    @Test
    void anAddressThatNoConnectionCanBeMadeTo() throws Exception {
        DeviceSession nowhere =
                PollingRig.session("gas", new ModbusTcpEndpoint("255.255.255.255", 502, 11, SHORT, 1), FAST);
        try (PollingRig rig = new PollingRig(nowhere)) {
            assertFailed(rig, Fault.CONNECT_FAILED);
        }
    }

    @Test
    void aHostNameThatNobodyKnows() {
        // RFC 2606 keeps "invalid" free of names for ever.
        ModbusTcpConnection.Opening opening = ModbusTcpConnection.open("monitor.invalid", 502, SHORT);
        assertThat(((ModbusTcpConnection.Opening.NotOpened) opening).failure().fault())
                .isEqualTo(Fault.HOST_UNKNOWN);
    }

    @Test
    void aReplyAfterItsTimeOutIsNeverTakenForTheNextRequest() throws Exception {
        AtomicReference<byte[]> late = new AtomicReference<>();
        AtomicInteger handled = new AtomicInteger();
        RawDevice.Manner lateReply = request -> {
            if (handled.incrementAndGet() == 1) {
                late.set(request.registers(WRONG));
            } else {
                // As a Modbus gateway does that kept the serial answer: it comes on the new connection, where a
                // client that did not compare transaction ids, or began them anew, would take it.
                request.send(Objects.requireNonNull(late.get()));
            }
        };
        try (RawDevice device = new RawDevice(lateReply);
                PollingRig rig = new PollingRig(session("gas", device.port(), 11, SHORT, FAST))) {
            RawDevice.Request unanswered = device.awaitRequest();
            assertFailed(rig, Fault.NO_ANSWER);
            RawDevice.Request next = device.awaitRequest();
            assertThat(next.connection())
                    .as("the old connection is not used again")
                    .isEqualTo(2);
            assertThat(next.transaction()).isNotEqualTo(unanswered.transaction());
            assertFailed(rig, Fault.WRONG_TRANSACTION);
            device.behave(HEALTHY);
            assertRecovered(rig);
        }
    }

    @Test
    void afterATimeOutTheConnectionIsClosedForGood() throws Exception {
        try (RawDevice device = new RawDevice(request -> {})) {
            ModbusConnection connection = FramesOfTheStandardTest.connect(device);
            Outcome outcome = connection.exchange(1, new ReadRequest.Cells(FAST), Duration.ofMillis(50));
            assertThat(outcome).isInstanceOf(Outcome.Failed.class);
            assertThat(connection.isClosed()).isTrue();
        }
    }

    /** MBAP header, function code and byte count: 72 bits, each wrong once. */
    @Test
    void everySingleBitErrorBeforeTheDataIsFound() throws Exception {
        AtomicInteger bit = new AtomicInteger();
        RawDevice.Manner flips = request -> {
            byte[] answer = request.registers(WRONG);
            answer[bit.get() / 8] ^= (byte) (1 << bit.get() % 8);
            request.send(answer);
        };
        try (RawDevice device = new RawDevice(flips)) {
            for (; bit.get() < 72; bit.incrementAndGet()) {
                try (ModbusConnection connection = FramesOfTheStandardTest.connect(device)) {
                    assertThat(connection.exchange(11, new ReadRequest.Cells(FAST), PATIENT))
                            .as("bit %d", bit.get())
                            .isInstanceOf(Outcome.Failed.class);
                    assertThat(connection.isClosed()).isTrue();
                }
            }
        }
    }

    /** An exception is an answer, so the connection goes on. */
    @Test
    void everyExceptionCodeIsBadAndNamedAndLeavesTheConnectionUsable() throws Exception {
        AtomicInteger code = new AtomicInteger();
        RawDevice.Manner refuses = request -> request.send(request.framed(0x83, code.getAndIncrement()));
        try (RawDevice device = new RawDevice(refuses);
                PollingRig rig = new PollingRig(
                        PollingRig.AT_ONCE, PollingRig.CLOCK, session("gas", device.port(), 11, PATIENT, FAST))) {
            assertEveryExceptionIsNamed(rig);
            device.behave(HEALTHY);
            assertRecovered(rig);
            assertThat(device.connections()).isEqualTo(1);
            assertThat(rig.status("gas").counts().faults()).isEmpty();
        }
    }

    /** Of a unit whose exceptions count from 0 to 255. */
    static void assertEveryExceptionIsNamed(PollingRig rig) throws InterruptedException {
        for (int expected = 0; expected <= 255; expected++) {
            String detail = String.format("exception %02X, %s", expected, named(expected));
            StationInput.RequestFailed failed =
                    (StationInput.RequestFailed) rig.await(input -> input instanceof StationInput.RequestFailed each
                            && each.detail().equals(detail));
            assertThat(failed.reason())
                    .isEqualTo(
                            expected == 0x0A || expected == 0x0B
                                    ? QualityReason.UNREACHABLE
                                    : QualityReason.REFUSED_BY_DEVICE);
            assertThat(failed.reason().quality()).isEqualTo(Quality.BAD);
            assertThat(rig.status("gas").counts().exceptions()).containsKey(expected);
        }
        assertThat(rig.everyValue()).isEmpty();
    }

    /** MODBUS Application Protocol V1.1b3, 7, in the standard's own words where it has any. */
    private static String named(int code) {
        return switch (code) {
            case 1 -> "illegal function";
            case 2 -> "illegal data address";
            case 3 -> "illegal data value";
            case 4 -> "server device failure";
            case 5 -> "acknowledge, still working on it";
            case 6 -> "server device busy";
            case 7 -> "negative acknowledge";
            case 8 -> "memory parity error";
            case 10 -> "gateway path unavailable";
            case 11 -> "gateway target device failed to respond";
            default -> "not defined by the standard";
        };
    }

    private static RawDevice.Manner sendsChanged(int index, int by) {
        return request -> {
            byte[] answer = request.registers(WRONG);
            answer[index] += (byte) by;
            request.send(answer);
        };
    }

    private static void endsBadAndRecovers(Duration deadline, Fault expected, RawDevice.Manner wrong)
            throws IOException, InterruptedException {
        try (RawDevice device = new RawDevice(wrong);
                PollingRig rig = new PollingRig(session("gas", device.port(), 11, deadline, FAST))) {
            assertFailed(rig, expected);
            device.behave(HEALTHY);
            assertRecovered(rig);
        }
    }

    private static void assertFailed(PollingRig rig, Fault expected) throws InterruptedException {
        StationInput.RequestFailed failed =
                (StationInput.RequestFailed) rig.await(input -> input instanceof StationInput.RequestFailed each
                        && each.detail().startsWith(expected.words()));
        assertThat(failed.device()).isEqualTo("gas");
        assertThat(failed.block()).isEqualTo("fast");
        assertThat(failed.reason()).isEqualTo(expected.quality());
        assertThat(failed.reason().quality()).isEqualTo(Quality.BAD);
        assertThat(rig.status("gas").counts().faults()).containsKey(expected);
    }

    private static void assertRecovered(PollingRig rig) throws InterruptedException {
        Decoded decoded = rig.awaitObserved("gas");
        assertThat(decoded.readings()).extracting(Reading::number).containsOnly((double) RIGHT);
        assertThat(rig.everyValue()).containsOnly((double) RIGHT);
        assertThat(rig.status("gas").condition()).isEqualTo(DeviceStatus.Condition.ANSWERING);
    }
}
