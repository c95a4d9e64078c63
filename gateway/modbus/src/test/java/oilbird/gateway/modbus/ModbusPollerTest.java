package oilbird.gateway.modbus;

import static oilbird.gateway.modbus.PollingRig.CLOCK;
import static oilbird.gateway.modbus.PollingRig.FAST;
import static oilbird.gateway.modbus.PollingRig.PATIENT;
import static oilbird.gateway.modbus.PollingRig.SETTINGS;
import static oilbird.gateway.modbus.PollingRig.SHORT;
import static oilbird.gateway.modbus.PollingRig.STATUS;
import static oilbird.gateway.modbus.PollingRig.awaitUntil;
import static oilbird.gateway.modbus.PollingRig.session;
import static org.assertj.core.api.Assertions.assertThat;
import static org.assertj.core.api.Assertions.assertThatIllegalArgumentException;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicInteger;
import java.util.concurrent.atomic.AtomicLong;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.poll.Notice;
import oilbird.gateway.engine.poll.Waits;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.Identification;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;

/** The poller's dealings with several blocks, devices, units and products. */
@Timeout(value = 60, unit = TimeUnit.SECONDS)
final class ModbusPollerTest {
    private static final int RIGHT = 0x1234;
    private static final RawDevice.Manner HEALTHY = request -> request.send(request.registers(RIGHT));
    private static final ReadBlock HOURLY = new ReadBlock("hourly", ModbusTable.INPUT_REGISTERS, 0, 1, "slow");

    @Test
    void aConfigurationFaultIsToldOnceAndNotRetriedAtPollRate() throws Exception {
        for (int code = 1; code <= 3; code++) {
            int exception = code;
            AtomicInteger asked = new AtomicInteger();
            RawDevice.Manner oneBlockRefused = request -> {
                if (request.start() == STATUS.start()) {
                    asked.incrementAndGet();
                    request.send(request.framed(0x83, exception));
                } else {
                    request.send(request.registers(RIGHT));
                }
            };
            try (RawDevice device = new RawDevice(oneBlockRefused);
                    PollingRig rig = new PollingRig(session("gas", device.port(), 11, PATIENT, FAST, STATUS))) {
                StationInput.RequestFailed failed = rig.awaitFailure("gas", "status");
                assertThat(failed.reason()).isEqualTo(QualityReason.REFUSED_BY_DEVICE);
                assertThat(failed.detail()).startsWith("exception 0" + exception + ", illegal");
                for (int i = 0; i < 20; i++) {
                    assertThat(rig.awaitObserved("gas").block()).isEqualTo("fast");
                }
                assertThat(asked).hasValue(1);
                assertThat(rig.notices)
                        .filteredOn(notice -> notice.number() == 2105)
                        .hasSize(1);
                assertThat(rig.status("gas").counts().exceptions()).isEqualTo(Map.of(exception, 1L));
                assertThat(device.connections()).isEqualTo(1);
            }
        }
    }

    @Test
    void aSuspendedRequestIsTriedAgainNowAndThen() throws Exception {
        AtomicInteger asked = new AtomicInteger();
        RawDevice.Manner refusesTwice = request ->
                request.send(asked.incrementAndGet() <= 2 ? request.framed(0x83, 2) : request.registers(RIGHT));
        PollerSettings shortSuspension = new PollerSettings(
                Duration.ofSeconds(5),
                new Waits(
                        Duration.ofMillis(20),
                        Duration.ofMillis(80),
                        Duration.ofMillis(30),
                        Duration.ofMillis(100),
                        5));
        try (RawDevice device = new RawDevice(refusesTwice);
                PollingRig rig =
                        new PollingRig(shortSuspension, CLOCK, session("gas", device.port(), 11, PATIENT, FAST))) {
            rig.awaitFailure("gas", "fast");
            rig.awaitFailure("gas", "fast");
            rig.awaitObserved("gas");
            assertThat(rig.notices)
                    .filteredOn(notice -> notice.number() == 2105)
                    .hasSize(1);
        }
    }

    @Test
    void aBusyDeviceIsLeftAloneForAWhileAndThenReadWithoutANewConnection() throws Exception {
        for (int code : new int[] {5, 6}) {
            AtomicInteger asked = new AtomicInteger();
            RawDevice.Manner busyThrice = request ->
                    request.send(asked.incrementAndGet() <= 3 ? request.framed(0x83, code) : request.registers(RIGHT));
            try (RawDevice device = new RawDevice(busyThrice);
                    PollingRig rig = new PollingRig(session("gas", device.port(), 11, PATIENT, FAST))) {
                RawDevice.Request first = device.awaitRequest();
                long began = System.nanoTime();
                assertThat(first.unit()).isEqualTo(11);
                assertThat(rig.awaitFailure("gas", "fast").reason()).isEqualTo(QualityReason.REFUSED_BY_DEVICE);
                rig.awaitObserved("gas");
                // 20 + 40 + 80 ms of back-off lie between the first request and the fourth.
                assertThat(Duration.ofNanos(System.nanoTime() - began)).isGreaterThan(Duration.ofMillis(130));
                assertThat(rig.status("gas").counts().exceptions()).isEqualTo(Map.of(code, 3L));
                assertThat(device.connections()).isEqualTo(1);
            }
        }
    }

    @Test
    void oneSlowDeviceDelaysNoOther() throws Exception {
        CountDownLatch release = new CountDownLatch(1);
        RawDevice.Manner stuck = request -> {
            try {
                release.await();
            } catch (InterruptedException interrupted) {
                Thread.currentThread().interrupt();
            }
            request.send(request.registers(RIGHT));
        };
        try (RawDevice slow = new RawDevice(stuck);
                RawDevice quick = new RawDevice(HEALTHY);
                PollingRig rig = new PollingRig(
                        session("gas-t1", slow.port(), 11, PATIENT, FAST),
                        session("gas-t2", quick.port(), 12, PATIENT, FAST))) {
            slow.awaitRequest();
            for (int i = 0; i < 20; i++) {
                rig.awaitObserved("gas-t2");
            }
            assertThat(rig.status("gas-t1").counts().answers()).isZero();
            release.countDown();
            rig.awaitObserved("gas-t1");
            awaitUntil(
                    "the periods that it missed are counted",
                    () -> rig.status("gas-t1").counts().missedPeriods() > 5);
        }
    }

    @Test
    void aSilentUnitBehindAModbusGatewayDoesNotStopTheOthers() throws Exception {
        RawDevice.Manner unit13IsSilent = request -> {
            if (request.unit() != 13) {
                request.send(request.registers(0x100 + request.unit()));
            }
        };
        try (RawDevice gateway = new RawDevice(unit13IsSilent);
                PollingRig rig = new PollingRig(
                        session("unit-11", gateway.port(), 11, PATIENT, FAST),
                        session("unit-12", gateway.port(), 12, PATIENT, FAST),
                        session("unit-13", gateway.port(), 13, Duration.ofMillis(100), FAST, STATUS))) {
            assertThat(rig.awaitFailure("unit-13", "fast").reason()).isEqualTo(QualityReason.UNREACHABLE);
            assertThat(rig.awaitFailure("unit-13", "status").reason()).isEqualTo(QualityReason.UNREACHABLE);
            for (int i = 0; i < 10; i++) {
                assertThat(rig.awaitObserved("unit-11").readings())
                        .extracting(Reading::number)
                        .containsOnly((double) (0x100 + 11));
                assertThat(rig.awaitObserved("unit-12").readings())
                        .extracting(Reading::number)
                        .containsOnly((double) (0x100 + 12));
            }
            assertThat(rig.all)
                    .noneMatch(input -> input instanceof StationInput.RequestFailed failed
                            && !failed.device().equals("unit-13"));
            assertThat(rig.status("unit-13").condition()).isEqualTo(DeviceStatus.Condition.FAILING);
            assertThat(rig.status("unit-13").counts().timeouts()).isPositive();
            gateway.behave(request -> request.send(request.registers(0x100 + request.unit())));
            rig.awaitObserved("unit-13");
        }
    }

    @Test
    void exceptions0AAnd0BAreThatUnitsLossOnTheSameConnection() throws Exception {
        for (int code : new int[] {0x0A, 0x0B}) {
            RawDevice.Manner unit13IsAway = request ->
                    request.send(request.unit() == 13 ? request.framed(0x83, code) : request.registers(RIGHT));
            try (RawDevice gateway = new RawDevice(unit13IsAway);
                    PollingRig rig = new PollingRig(
                            session("unit-11", gateway.port(), 11, PATIENT, FAST),
                            session("unit-13", gateway.port(), 13, PATIENT, FAST))) {
                assertThat(rig.awaitFailure("unit-13", "fast").reason()).isEqualTo(QualityReason.UNREACHABLE);
                for (int i = 0; i < 10; i++) {
                    rig.awaitObserved("unit-11");
                }
                assertThat(gateway.connections()).isEqualTo(1);
                gateway.behave(HEALTHY);
                rig.awaitObserved("unit-13");
            }
        }
    }

    @Test
    void aDeviceThatHangsUpBetweenPollsIsReadOnWithoutAnyFailure() throws Exception {
        RawDevice.Manner oneAnswerAConnection = request -> {
            request.send(request.registers(RIGHT));
            request.socket().close();
        };
        try (RawDevice device = new RawDevice(oneAnswerAConnection);
                PollingRig rig = new PollingRig(session("gas", device.port(), 11, PATIENT, FAST))) {
            for (int i = 0; i < 5; i++) {
                rig.awaitObserved("gas");
            }
            assertThat(rig.all).allMatch(StationInput.Observed.class::isInstance);
            assertThat(rig.status("gas").counts().reconnects()).isGreaterThanOrEqualTo(4);
        }
    }

    @Test
    void whenTheConnectionIsLostEveryBlockIsBadAndWhenItReturnsEveryBlockIsReadAtOnce() throws Exception {
        RawDevice device = new RawDevice(HEALTHY);
        int port = device.port();
        try (PollingRig rig = new PollingRig(session("gas", port, 11, PATIENT, FAST, HOURLY))) {
            rig.await(input -> input instanceof StationInput.Observed observed
                    && observed.decoded().block().equals("hourly"));
            device.close();
            assertThat(rig.awaitFailure("gas", "hourly").detail()).isEqualTo(Fault.CONNECTION_REFUSED.words());
            awaitUntil("polls are held back", () -> rig.status("gas").counts().heldBackPeriods() > 0);
            try (RawDevice back = new RawDevice(port, HEALTHY)) {
                rig.await(input -> input instanceof StationInput.Observed observed
                        && observed.decoded().block().equals("hourly"));
                assertThat(back.connections()).isEqualTo(1);
            }
            assertThat(rig.notices)
                    .extracting(Notice::number)
                    .containsSubsequence(2101, 2103, 2101)
                    .endsWith(2101);
        }
    }

    @Test
    void aBlockThatAloneIsNotAnsweredTakesNoOtherDown() throws Exception {
        RawDevice.Manner statusIsIgnored = request -> {
            if (request.start() != STATUS.start()) {
                request.send(request.registers(RIGHT));
            }
        };
        try (RawDevice device = new RawDevice(statusIsIgnored);
                PollingRig rig = new PollingRig(session("gas", device.port(), 11, SHORT, FAST, STATUS))) {
            rig.awaitFailure("gas", "status");
            rig.awaitFailure("gas", "status");
            for (int i = 0; i < 5; i++) {
                assertThat(rig.awaitObserved("gas").block()).isEqualTo("fast");
            }
        }
    }

    private static final Identification EXPECTED =
            new Identification("Harrowbeck Instruments (invented)", "HBG-8", List.of("2.14", "2.15"));

    private static RawDevice.Manner saysItIs(String vendor, String product, String revision) {
        return request -> request.send(
                request.function() == 0x2B
                        ? request.identification(vendor, product, revision)
                        : request.registers(RIGHT));
    }

    @Test
    void theExpectedProductIsAskedOnceAConnectionAndPolled() throws Exception {
        try (RawDevice device = new RawDevice(saysItIs("Harrowbeck Instruments (invented)", "HBG-8 ", "2.14\0"));
                PollingRig rig = new PollingRig(session("gas", device.port(), 11, PATIENT, EXPECTED, FAST))) {
            assertThat(device.awaitRequest().function()).isEqualTo(0x2B);
            for (int i = 0; i < 5; i++) {
                assertThat(rig.awaitObserved("gas").readings())
                        .extracting(Reading::reason)
                        .containsOnly(QualityReason.NONE);
                assertThat(device.awaitRequest().function()).isEqualTo(3);
            }
            assertThat(rig.status("gas").identification())
                    .isEqualTo(new FoundIdentification(
                            Map.of(0, "Harrowbeck Instruments (invented)", 1, "HBG-8", 2, "2.14")));
            assertThat(rig.notices).extracting(Notice::number).containsOnly(2101);
        }
    }

    @Test
    void anotherProductIsBadInAllBlocksAndNotPolled() throws Exception {
        try (RawDevice device = new RawDevice(saysItIs("Tarnside Controls (invented)", "TCC-4", "1.07"));
                RawDevice other = new RawDevice(HEALTHY);
                PollingRig rig = new PollingRig(
                        session("gas", device.port(), 11, PATIENT, EXPECTED, FAST, STATUS),
                        session("pace", other.port(), 1, PATIENT, FAST))) {
            StationInput.RequestFailed fast = rig.awaitFailure("gas", "fast");
            StationInput.RequestFailed status = rig.awaitFailure("gas", "status");
            assertThat(fast.reason()).isEqualTo(QualityReason.OTHER_PRODUCT);
            assertThat(status.reason()).isEqualTo(QualityReason.OTHER_PRODUCT);
            assertThat(fast.detail()).contains("TCC-4").contains("HBG-8");
            for (int i = 0; i < 20; i++) {
                rig.awaitObserved("pace");
            }
            assertThat(device.awaitRequest().function()).isEqualTo(0x2B);
            assertThat(device.requestsWaiting()).as("nothing else was asked").isZero();
            assertThat(rig.status("gas").condition()).isEqualTo(DeviceStatus.Condition.OTHER_PRODUCT);
            assertThat(rig.notices)
                    .filteredOn(notice -> notice.number() == 2106)
                    .hasSize(1);
        }
    }

    @Test
    void underAnotherFirmwareReadingsAreUncertainAndAnIndicationMayHoldButNotBeDenied() throws Exception {
        try (RawDevice device = new RawDevice(saysItIs("Harrowbeck Instruments (invented)", "HBG-8", "3.00"));
                PollingRig rig = new PollingRig(new DeviceSession(
                        "gas",
                        "127.0.0.1",
                        device.port(),
                        11,
                        List.of(FAST),
                        PollingRig.PERIODS,
                        PATIENT,
                        (block, at) -> new Decoded(
                                "gas",
                                "fast",
                                PollingRig.plain("gas", block, at).readings(),
                                List.of(
                                        Indication.of(new SignalId("gas", "oil-flow-low"), true, at),
                                        Indication.of(new SignalId("gas", "detector-fault"), false, at)),
                                List.of(),
                                at),
                        EXPECTED))) {
            Decoded decoded = rig.awaitObserved("gas");
            assertThat(decoded.readings()).extracting(Reading::reason).containsOnly(QualityReason.OTHER_FIRMWARE);
            assertThat(decoded.readings()).extracting(Reading::number).containsOnly((double) RIGHT);
            assertThat(decoded.indications())
                    .extracting(Indication::state)
                    .containsExactly(IndicationState.HOLDS, IndicationState.CANNOT_BE_TOLD);
            rig.awaitObserved("gas");
            assertThat(rig.notices)
                    .filteredOn(notice -> notice.number() == 2107)
                    .hasSize(1);
            assertThat(rig.all)
                    .filteredOn(StationInput.Noticed.class::isInstance)
                    .singleElement()
                    .satisfies(input -> assertThat(((StationInput.Noticed) input).text())
                            .isEqualTo("runs firmware 3.00; the device map was checked against 2.14, 2.15"));
        }
    }

    @Test
    void aDeviceWithoutIdentificationIsPolledAndThatIsTold() throws Exception {
        RawDevice.Manner noFunction43 = request ->
                request.send(request.function() == 0x2B ? request.framed(0xAB, 0x01) : request.registers(RIGHT));
        try (RawDevice device = new RawDevice(noFunction43);
                PollingRig rig = new PollingRig(session("gas", device.port(), 11, PATIENT, EXPECTED, FAST))) {
            assertThat(rig.awaitObserved("gas").readings())
                    .extracting(Reading::reason)
                    .containsOnly(QualityReason.NONE);
            assertThat(rig.notices)
                    .filteredOn(notice -> notice.number() == 2108)
                    .hasSize(1);
        }
    }

    /** As some servers do with a function that they do not know. */
    @Test
    void aDeviceThatHangsUpWhenAskedWhatItIsIsReadWithoutAskingAndThatIsTold() throws Exception {
        RawDevice.Manner hangsUp = request -> {
            if (request.function() == 0x2B) {
                request.socket().close();
            } else {
                request.send(request.registers(RIGHT));
            }
        };
        try (RawDevice device = new RawDevice(hangsUp);
                PollingRig rig = new PollingRig(session("gas", device.port(), 11, PATIENT, EXPECTED, FAST))) {
            assertThat(rig.awaitObserved("gas").readings())
                    .extracting(Reading::reason)
                    .containsOnly(QualityReason.NONE);
            assertThat(rig.notices)
                    .filteredOn(notice -> notice.number() == 2108)
                    .hasSize(1);
        }
    }

    @Test
    void anIdentificationInSeveralPartsIsPutTogether() throws Exception {
        RawDevice.Manner inParts = request -> {
            if (request.function() != 0x2B) {
                request.send(request.registers(RIGHT));
                return;
            }
            int object = request.frame()[10];
            String text = List.of("Harrowbeck Instruments (invented)", "HBG-8", "2.15")
                    .get(object);
            byte[] answer = request.identification(text);
            answer[11] = (byte) (object < 2 ? 0xFF : 0);
            answer[12] = (byte) (object < 2 ? object + 1 : 0);
            answer[14] = (byte) object;
            request.send(answer);
        };
        try (RawDevice device = new RawDevice(inParts);
                PollingRig rig = new PollingRig(session("gas", device.port(), 11, PATIENT, EXPECTED, FAST))) {
            assertThat(rig.awaitObserved("gas").readings())
                    .extracting(Reading::reason)
                    .containsOnly(QualityReason.NONE);
            assertThat(rig.status("gas").counts().requests()).isGreaterThanOrEqualTo(4);
        }
    }

    @Test
    void anIdentificationThatNeverEndsOrCannotBeReadIsInvalid() throws Exception {
        RawDevice.Manner neverEnds = request -> {
            byte[] answer = request.identification("A", "B", "C");
            answer[11] = (byte) 0xFF;
            request.send(answer);
        };
        RawDevice.Manner endsInsideAnObject = request -> {
            byte[] answer = request.identification("A", "B", "C");
            answer[answer.length - 2] = 9;
            request.send(answer);
        };
        for (RawDevice.Manner manner : List.of(neverEnds, endsInsideAnObject)) {
            try (RawDevice device = new RawDevice(manner);
                    PollingRig rig = new PollingRig(session("gas", device.port(), 11, PATIENT, EXPECTED, FAST))) {
                StationInput.RequestFailed failed = rig.awaitFailure("gas", "fast");
                assertThat(failed.reason()).isEqualTo(QualityReason.INVALID_ANSWER);
                assertThat(failed.detail()).startsWith(Fault.MALFORMED_IDENTIFICATION.words());
                device.behave(saysItIs("Harrowbeck Instruments (invented)", "HBG-8", "2.14"));
                rig.awaitObserved("gas");
            }
        }
    }

    @Test
    void theGatewaysClockStampsButDoesNotPace() throws Exception {
        AtomicLong hours = new AtomicLong();
        GatewayClock racing = new GatewayClock() {
            @Override
            public Moment now() {
                return new Moment(hours.incrementAndGet() * 3_600_000_000_000L, 0, false);
            }

            @Override
            public double rate() {
                return 3600;
            }
        };
        try (RawDevice device = new RawDevice(HEALTHY);
                PollingRig rig = new PollingRig(SETTINGS, racing, session("gas", device.port(), 11, PATIENT, FAST))) {
            rig.awaitObserved("gas");
            long began = System.nanoTime();
            Decoded last = rig.awaitObserved("gas");
            for (int i = 1; i < 11; i++) {
                last = rig.awaitObserved("gas");
            }
            // Eleven polls on a grid of 20 ms cannot come closer together than nine whole periods.
            assertThat(Duration.ofNanos(System.nanoTime() - began)).isGreaterThan(Duration.ofMillis(180));
            assertThat(last.at().monotonicNanos()).isGreaterThan(10 * 3_600_000_000_000L);
        }
    }

    @Test
    void aDecoderThatThrowsMakesItsBlockBadAndTheOthersGoOn() throws Exception {
        try (RawDevice device = new RawDevice(HEALTHY);
                PollingRig rig = new PollingRig(new DeviceSession(
                        "gas",
                        "127.0.0.1",
                        device.port(),
                        11,
                        List.of(FAST, STATUS),
                        PollingRig.PERIODS,
                        PATIENT,
                        (block, at) -> {
                            if (block.block().equals(STATUS)) {
                                throw new IllegalStateException("on purpose");
                            }
                            return PollingRig.plain("gas", block, at);
                        },
                        null))) {
            assertThat(rig.awaitFailure("gas", "status").reason()).isEqualTo(QualityReason.INVALID_ANSWER);
            for (int i = 0; i < 5; i++) {
                assertThat(rig.awaitObserved("gas").block()).isEqualTo("fast");
            }
            assertThat(rig.notices).extracting(Notice::number).contains(2199);
        }
    }

    @Test
    void closingEndsEveryThread() throws Exception {
        try (RawDevice silent = new RawDevice(request -> {})) {
            PollingRig rig = new PollingRig(session("gas", silent.port(), 11, PATIENT, FAST));
            silent.awaitRequest();
            String name = "modbus 127.0.0.1:" + silent.port();
            Thread thread = Thread.getAllStackTraces().keySet().stream()
                    .filter(each -> each.getName().equals(name))
                    .findFirst()
                    .orElseThrow();
            assertThat(thread.isDaemon()).isTrue();
            rig.close();
            assertThat(thread.isAlive()).isFalse();
            assertThat(rig.all).as("closing is no failure of the device").isEmpty();
        }
    }

    @Test
    void aSessionThatCannotBePolledIsRefused() {
        assertThatIllegalArgumentException()
                .isThrownBy(() -> session("gas", 502, 256, PATIENT, FAST))
                .withMessage("gas: unit id 256 is not 0 to 255");
        assertThatIllegalArgumentException().isThrownBy(() -> session("gas", 0, 1, PATIENT, FAST));
        assertThatIllegalArgumentException().isThrownBy(() -> session("gas", 502, 1, Duration.ZERO, FAST));
        assertThatIllegalArgumentException().isThrownBy(() -> session("gas", 502, 1, PATIENT, FAST, FAST));
        assertThatIllegalArgumentException()
                .isThrownBy(() ->
                        session("gas", 502, 1, PATIENT, new ReadBlock("x", ModbusTable.COILS, 0, 1, "no such class")));
        assertThatIllegalArgumentException()
                .isThrownBy(() ->
                        new PollingRig(session("gas", 502, 1, PATIENT, FAST), session("gas", 503, 1, PATIENT, FAST)));
    }
}
