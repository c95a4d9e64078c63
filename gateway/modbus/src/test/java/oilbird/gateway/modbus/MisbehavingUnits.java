package oilbird.gateway.modbus;

import static oilbird.gateway.modbus.PollingRig.FAST;
import static oilbird.gateway.modbus.PollingRig.PATIENT;
import static oilbird.gateway.modbus.PollingRig.SHORT;
import static oilbird.gateway.modbus.PollingRig.STATUS;
import static org.assertj.core.api.Assertions.assertThat;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.time.Duration;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicBoolean;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.function.UnaryOperator;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.engine.poll.Notice;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/**
 * Units of a serial line that do wrong, once behind a terminal server and once on a real serial port. Each case ends
 * in a named reason and bad quality, the line recovers by itself once they do right, and no wrong value ever comes
 * through.
 */
@Timeout(value = 60, unit = TimeUnit.SECONDS)
abstract class MisbehavingUnits {
    static final int RIGHT = 0x1234;
    static final int WRONG = 0xDEAD;
    static final int UNIT = 11;
    static final RawUnit.Manner HEALTHY = request -> request.send(request.registers(RIGHT));

    /**
     * Units on the line under test.
     *
     * @param echo whether the adapter gives back what is sent, and the line is known for it.
     */
    abstract RawUnit line(RawUnit.Manner manner, boolean echo) throws Exception;

    final RawUnit line(RawUnit.Manner manner) throws Exception {
        return line(manner, false);
    }

    static DeviceSession session(String device, RawUnit units, int unit, Duration deadline, ReadBlock... blocks) {
        return PollingRig.session(device, units.endpoint(unit, deadline), blocks);
    }

    @Test
    void silenceIsNoAnswer() throws Exception {
        endsBadAndRecovers(SHORT, Fault.NO_ANSWER, request -> {});
    }

    @Test
    void aSlowDribbleIsAnAnswerThatIsTooSlow() throws Exception {
        CountDownLatch never = new CountDownLatch(1);
        endsBadAndRecovers(SHORT, Fault.ANSWER_TOO_SLOW, request -> {
            byte[] answer = request.registers(WRONG);
            try {
                for (int i = 0; i < answer.length - 1; i++) {
                    request.send(Arrays.copyOfRange(answer, i, i + 1));
                    if (never.await(SHORT.toMillis() / 5, TimeUnit.MILLISECONDS)) {
                        return;
                    }
                }
            } catch (InterruptedException interrupted) {
                Thread.currentThread().interrupt();
            }
        });
    }

    @Test
    void halfAFrame() throws Exception {
        endsBadAndRecovers(
                SHORT, Fault.ANSWER_TOO_SLOW, request -> request.send(Arrays.copyOf(request.registers(WRONG), 6)));
    }

    @Test
    void aWrongChecksum() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.BAD_CRC, sendsChanged(8, 1));
    }

    @Test
    void aBitThatFellOver() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.BAD_CRC, sendsChanged(5, 0x10));
    }

    @Test
    void anotherFunction() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_FUNCTION, request -> request.send(request.framed(4, 2, 0xDE, 0xAD)));
    }

    @Test
    void anExceptionToAnotherFunction() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_FUNCTION, request -> request.send(request.framed(0x84, 0x02)));
    }

    @Test
    void oneRegisterFewerThanWasAskedFor() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.WRONG_BYTE_COUNT, request -> request.send(request.framed(3, 2, 0xDE, 0xAD)));
    }

    @Test
    void aByteCountThatLies() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.BAD_CRC, sendsChanged(2, 2));
    }

    @Test
    void noiseInsteadOfAnAnswer() throws Exception {
        Random random = new Random(7);
        endsBadAndRecovers(PATIENT, Fault.NOISE, request -> {
            byte[] noise = new byte[20];
            random.nextBytes(noise);
            noise[0] = (byte) 0xF8;
            request.send(noise);
        });
    }

    @Test
    void noiseBeforeAFrame() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.NOISE, request -> {
            ByteArrayOutputStream bytes = new ByteArrayOutputStream();
            bytes.write(new byte[] {(byte) 0xFF, 0x00, 0x55});
            bytes.write(request.registers(WRONG));
            request.send(bytes.toByteArray());
        });
    }

    @Test
    void noiseBehindAFrame() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.MORE_THAN_ONE_ANSWER, request -> {
            ByteArrayOutputStream bytes = new ByteArrayOutputStream();
            bytes.write(request.registers(WRONG));
            bytes.write(new byte[] {0x55, 0x55});
            request.send(bytes.toByteArray());
        });
    }

    @Test
    void twoRepliesAtOnceAreBothDistrusted() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.MORE_THAN_ONE_ANSWER, request -> {
            ByteArrayOutputStream both = new ByteArrayOutputStream();
            both.write(request.registers(WRONG));
            both.write(request.registers(WRONG));
            request.send(both.toByteArray());
        });
    }

    @Test
    void anAnswerOfAnotherUnit() throws Exception {
        endsBadAndRecovers(
                PATIENT,
                Fault.FOREIGN_TRAFFIC,
                request -> request.send(RawUnit.frameOf(99, request.function(), 4, 0xDE, 0xAD, 0xDE, 0xAD)));
    }

    @Test
    void aRequestOfAnotherMasterToTheSameUnit() throws Exception {
        endsBadAndRecovers(
                PATIENT, Fault.FOREIGN_TRAFFIC, request -> request.send(request.framed(3, 0x02, 0x00, 0x00, 0x10)));
    }

    @Test
    void ourOwnRequestComingBack() throws Exception {
        endsBadAndRecovers(PATIENT, Fault.OWN_ECHO, request -> {
            request.send(request.frame());
            request.send(request.registers(WRONG));
        });
    }

    @Test
    void onALineWithEchoWhatIsSentIsTakenAway() throws Exception {
        try (RawUnit units = line(HEALTHY, true);
                PollingRig rig = new PollingRig(session("gas", units, UNIT, PATIENT, FAST))) {
            for (int i = 0; i < 5; i++) {
                rig.awaitObserved("gas");
            }
            assertThat(rig.everyValue()).containsOnly((double) RIGHT);
            assertThat(rig.status("gas").counts().faults()).isEmpty();
            assertThat(rig.poller.lines().get(0).counts().noiseBytes()).isZero();
        }
    }

    @Test
    void onALineWithEchoAloneThereIsNoAnswer() throws Exception {
        echoEndsBadAndRecovers(SHORT, Fault.NO_ANSWER, request -> {}, UnaryOperator.identity());
    }

    @Test
    void anEchoThatDiffersShowsThatSomethingElseDrivesTheWires() throws Exception {
        echoEndsBadAndRecovers(PATIENT, Fault.ECHO_DIFFERS, answers(WRONG), sent -> {
            sent[3] ^= 0x20;
            return sent;
        });
    }

    @Test
    void anEchoThatIsMissingIsNotMadeUpFromTheAnswer() throws Exception {
        echoEndsBadAndRecovers(PATIENT, Fault.ECHO_DIFFERS, answers(WRONG), sent -> new byte[0]);
    }

    private static RawUnit.Manner answers(int value) {
        return request -> request.send(request.registers(value));
    }

    private void echoEndsBadAndRecovers(
            Duration deadline, Fault expected, RawUnit.Manner wrong, UnaryOperator<byte[]> echo) throws Exception {
        try (RawUnit units = line(wrong, true)) {
            units.echoes(echo);
            try (PollingRig rig = new PollingRig(session("gas", units, UNIT, deadline, FAST))) {
                assertFailed(rig, expected);
                units.echoes(UnaryOperator.identity());
                units.behave(HEALTHY);
                assertRecovered(rig);
            }
        }
    }

    @Test
    void aLineThatNeverFallsSilentIsOpenedAnew() throws Exception {
        try (RawUnit units = line(HEALTHY);
                PollingRig rig = new PollingRig(session("gas", units, UNIT, PATIENT, FAST))) {
            rig.awaitObserved("gas");
            AtomicBoolean babbles = new AtomicBoolean(true);
            Thread babbler = babble(units, babbles);
            assertFailed(rig, Fault.LINE_NEVER_SILENT);
            PollingRig.awaitUntil(
                    "it is opened anew",
                    () -> rig.poller.lines().get(0).counts().reopens() > 0);
            babbles.set(false);
            babbler.join();
            units.behave(HEALTHY);
            assertRecovered(rig);
        }
    }

    /** A driver that hangs on the wires; every byte comes before the line could be taken for silent. */
    private static Thread babble(RawUnit units, AtomicBoolean goesOn) {
        byte[] bytes = new byte[64];
        Arrays.fill(bytes, (byte) 0x55);
        Thread thread = new Thread(() -> {
            while (goesOn.get()) {
                try {
                    units.intrude(bytes);
                } catch (IOException closed) {
                    Thread.onSpinWait();
                }
            }
        });
        thread.setDaemon(true);
        thread.start();
        return thread;
    }

    @Test
    void aReplyThatNeverEnds() throws Exception {
        AtomicInteger handled = new AtomicInteger();
        RawUnit.Manner endless = request -> {
            if (handled.getAndIncrement() == 0) {
                byte[] bytes = new byte[512];
                Arrays.fill(bytes, (byte) 0xA5);
                // More than a line may carry in any answer, and then silence: a pseudo-terminal takes no more.
                for (int i = 0; i < 6; i++) {
                    request.send(bytes);
                }
            } else {
                HEALTHY.handle(request);
            }
        };
        try (RawUnit units = line(endless);
                PollingRig rig = new PollingRig(session("gas", units, UNIT, PATIENT, FAST))) {
            assertFailed(rig, Fault.NOISE);
            assertRecovered(rig);
            assertThat(rig.poller.lines().get(0).counts().noiseBytes()).isPositive();
        }
    }

    @Test
    void oneReplyInManyPiecesIsAnAnswer() throws Exception {
        RawUnit.Manner inPieces = request -> {
            for (byte each : request.registers(RIGHT)) {
                request.send(new byte[] {each});
            }
        };
        try (RawUnit units = line(inPieces);
                PollingRig rig = new PollingRig(session("gas", units, UNIT, PATIENT, FAST))) {
            assertThat(rig.awaitObserved("gas").readings())
                    .extracting(Reading::number)
                    .containsOnly((double) RIGHT);
            assertThat(rig.status("gas").counts().faults()).isEmpty();
        }
    }

    /** MODBUS Application Protocol V1.1b3, 7. */
    @Test
    void everyExceptionCodeIsAnAnswerThatIsBadAndNamedAndLeavesTheLineUsable() throws Exception {
        AtomicInteger code = new AtomicInteger();
        RawUnit.Manner refuses = request -> request.send(request.framed(0x83, code.getAndIncrement()));
        try (RawUnit units = line(refuses);
                PollingRig rig = new PollingRig(
                        PollingRig.AT_ONCE, PollingRig.CLOCK, session("gas", units, UNIT, PATIENT, FAST))) {
            MisbehavingDeviceTest.assertEveryExceptionIsNamed(rig);
            units.behave(HEALTHY);
            assertRecovered(rig);
            assertThat(rig.poller.lines().get(0).counts().reopens()).isZero();
            assertThat(rig.poller.lines().get(0).counts().faults()).isEmpty();
        }
    }

    /** A unit number that a converter on the line stands for, as behind any Modbus gateway. */
    @Test
    void exceptions0AAnd0BAreThatUnitsLossOnly() throws Exception {
        for (int code : new int[] {0x0A, 0x0B}) {
            RawUnit.Manner oneIsAway = request ->
                    request.send(request.unit() == 12 ? request.framed(0x83, code) : request.registers(RIGHT));
            try (RawUnit units = line(oneIsAway);
                    PollingRig rig = new PollingRig(
                            session("gas", units, UNIT, PATIENT, FAST), session("oil", units, 12, PATIENT, FAST))) {
                assertThat(rig.awaitFailure("oil", "fast").reason()).isEqualTo(QualityReason.UNREACHABLE);
                for (int i = 0; i < 5; i++) {
                    rig.awaitObserved("gas");
                }
                assertThat(rig.all)
                        .noneMatch(input -> input instanceof StationInput.RequestFailed failed
                                && failed.device().equals("gas"));
                assertThat(rig.poller.lines().get(0).counts().reopens()).isZero();
                units.behave(HEALTHY);
                rig.awaitObserved("oil");
            }
        }
    }

    /** Address, function, byte count, data and checksum of an answer: each bit wrong once. */
    @Test
    void everySingleBitErrorIsFound() throws Exception {
        AtomicInteger bit = new AtomicInteger();
        RawUnit.Manner flips = request -> {
            byte[] answer = request.registers(WRONG);
            answer[bit.get() / 8] ^= (byte) (1 << bit.get() % 8);
            request.send(answer);
        };
        try (RawUnit units = line(flips)) {
            RtuConnection connection = connect(units);
            for (; bit.get() < 9 * 8; bit.incrementAndGet()) {
                assertThat(connection.exchange(UNIT, new ReadRequest.Cells(FAST), SHORT))
                        .as("bit %d", bit.get())
                        .isInstanceOf(Outcome.Failed.class);
            }
            connection.close();
        }
    }

    static RtuConnection connect(RawUnit units) {
        LineLedger ledger = new LineLedger("line-1", "line", "way", List.of());
        ModbusConnection.Opening opening = RtuConnection.open(units.line(), Map.of(), ledger, Duration.ofSeconds(5));
        return (RtuConnection) ((ModbusConnection.Opening.Opened) opening).connection();
    }

    @Test
    void aSilentUnitHarmsNoOtherOnTheLine() throws Exception {
        RawUnit.Manner onlyOne = request -> {
            if (request.unit() == UNIT) {
                HEALTHY.handle(request);
            }
        };
        try (RawUnit units = line(onlyOne);
                PollingRig rig = new PollingRig(
                        session("gas", units, UNIT, SHORT, FAST), session("oil", units, 12, SHORT, FAST))) {
            rig.awaitFailure("oil", "fast");
            for (int i = 0; i < 5; i++) {
                rig.awaitObserved("gas");
            }
            assertThat(rig.status("gas").counts().faults()).isEmpty();
            assertThat(rig.status("oil").counts().faults()).containsKey(Fault.NO_ANSWER);
            assertThat(rig.everyValue()).containsOnly((double) RIGHT);
        }
    }

    /** Same unit, same function, same length: only the time tells that it answers the request before. */
    @Test
    void anAnswerAfterItsTimeIsNeverTakenForThatOfTheNextRequest() throws Exception {
        AtomicInteger handled = new AtomicInteger();
        RawUnit.Manner late = request -> {
            int number = handled.incrementAndGet();
            if (number == 1) {
                later(SHORT.multipliedBy(3).dividedBy(2), () -> request.send(request.registers(WRONG)));
            } else {
                HEALTHY.handle(request);
            }
        };
        try (RawUnit units = line(late);
                PollingRig rig = new PollingRig(session("gas", units, UNIT, SHORT, FAST))) {
            assertFailed(rig, Fault.NO_ANSWER);
            assertRecovered(rig);
            assertThat(rig.everyValue()).containsOnly((double) RIGHT);
            assertThat(rig.poller.lines().get(0).counts().lateAnswers()).isEqualTo(1);
        }
    }

    /** What no checksum shows: the answer is for another master that asked the same unit for as many registers. */
    @Test
    void aForeignAnswerThatLooksValidIsThrownAwayWhenTheTrueOneFollows() throws Exception {
        AtomicInteger foreign = new AtomicInteger();
        RawUnit.Manner usually = request -> later(Duration.ofMillis(60), () -> request.send(request.registers(RIGHT)));
        RawUnit.Manner with = request -> {
            if (foreign.getAndIncrement() == 0) {
                request.send(request.registers(WRONG));
            }
            usually.handle(request);
        };
        try (RawUnit units = line(usually);
                PollingRig rig = new PollingRig(session("gas", units, UNIT, PATIENT, STATUS))) {
            rig.awaitObserved("gas");
            rig.awaitObserved("gas");
            units.behave(with);
            StationInput.RequestFailed failed = rig.awaitFailure("gas", "status");
            assertThat(failed.reason()).isEqualTo(QualityReason.INVALID_ANSWER);
            units.behave(usually);
            Decoded after = rig.awaitObserved("gas");
            assertThat(after.readings())
                    .as("and from then on nothing is taken at face value for a while")
                    .allSatisfy(reading -> {
                        assertThat(reading.reason()).isEqualTo(QualityReason.FOREIGN_TRAFFIC);
                        assertThat(reading.quality()).isEqualTo(Quality.UNCERTAIN);
                    });
            assertThat(rig.everyValue()).containsOnly((double) RIGHT);
            assertThat(rig.notices).extracting(Notice::number).contains(2111);
        }
    }

    interface Sending {
        void send() throws IOException;
    }

    private static void later(Duration wait, Sending sending) {
        Thread thread = new Thread(() -> {
            try {
                if (!new CountDownLatch(1).await(wait.toMillis(), TimeUnit.MILLISECONDS)) {
                    sending.send();
                }
            } catch (InterruptedException | IOException over) {
                Thread.currentThread().interrupt();
            }
        });
        thread.setDaemon(true);
        thread.start();
    }

    private static RawUnit.Manner sendsChanged(int index, int by) {
        return request -> {
            byte[] answer = request.registers(WRONG);
            answer[index] ^= (byte) by;
            request.send(answer);
        };
    }

    private void endsBadAndRecovers(Duration deadline, Fault expected, RawUnit.Manner wrong) throws Exception {
        try (RawUnit units = line(wrong);
                PollingRig rig = new PollingRig(session("gas", units, UNIT, deadline, FAST))) {
            assertFailed(rig, expected);
            units.behave(HEALTHY);
            assertRecovered(rig);
        }
    }

    static void assertFailed(PollingRig rig, Fault expected) throws InterruptedException {
        StationInput.RequestFailed failed =
                (StationInput.RequestFailed) rig.await(input -> input instanceof StationInput.RequestFailed each
                        && each.detail().startsWith(expected.words()));
        assertThat(failed.device()).isEqualTo("gas");
        assertThat(failed.block()).isEqualTo("fast");
        assertThat(failed.reason()).isEqualTo(expected.quality());
        assertThat(failed.reason().quality()).isEqualTo(Quality.BAD);
        assertThat(rig.status("gas").counts().faults()).containsKey(expected);
        assertThat(rig.poller.lines().get(0).counts().faults()).containsKey(expected);
    }

    static void assertRecovered(PollingRig rig) throws InterruptedException {
        Decoded decoded = rig.awaitObserved("gas");
        assertThat(decoded.readings()).extracting(Reading::number).containsOnly((double) RIGHT);
        assertThat(rig.everyValue()).containsOnly((double) RIGHT);
        assertThat(rig.status("gas").condition()).isEqualTo(DeviceStatus.Condition.ANSWERING);
    }
}
