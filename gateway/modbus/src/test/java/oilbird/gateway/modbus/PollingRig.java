package oilbird.gateway.modbus;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.function.BooleanSupplier;
import java.util.function.Predicate;
import java.util.stream.IntStream;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.poll.Notice;
import oilbird.gateway.engine.poll.Waits;
import oilbird.gateway.station.Endpoint;
import oilbird.mapping.address.ModbusTable;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.map.Identification;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** A poller with everything it offers kept for a test to wait for. */
final class PollingRig implements AutoCloseable {
    static final ReadBlock FAST = new ReadBlock("fast", ModbusTable.HOLDING_REGISTERS, 100, 2, "fast");
    static final ReadBlock STATUS = new ReadBlock("status", ModbusTable.HOLDING_REGISTERS, 300, 1, "fast");
    static final Map<String, Duration> PERIODS = Map.of("fast", Duration.ofMillis(20), "slow", Duration.ofHours(1));

    /** Back-offs short enough for a test to wait for, suspensions too long for it. */
    static final PollerSettings SETTINGS = new PollerSettings(
            Duration.ofSeconds(5),
            new Waits(
                    Duration.ofMillis(20),
                    Duration.ofMillis(80),
                    Duration.ofHours(1),
                    Duration.ofHours(2),
                    20_261_125));

    /** Waits that only end a storm, for tests that go through many failures. */
    static final PollerSettings AT_ONCE = new PollerSettings(
            Duration.ofSeconds(5),
            new Waits(Duration.ofMillis(1), Duration.ofMillis(1), Duration.ofMillis(1), Duration.ofMillis(1), 7));

    /** Far longer than any answer takes on a busy machine. */
    static final Duration PATIENT = Duration.ofSeconds(20);

    static final Duration SHORT = Duration.ofMillis(250);

    static final GatewayClock CLOCK = () -> new Moment(System.nanoTime(), 0, false);

    private final BlockingQueue<StationInput> inputs = new LinkedBlockingQueue<>();
    final List<StationInput> all = new CopyOnWriteArrayList<>();
    final List<Notice> notices = new CopyOnWriteArrayList<>();
    final ModbusPoller poller;

    PollingRig(PollerSettings settings, GatewayClock clock, DeviceSession... sessions) {
        poller = new ModbusPoller(
                List.of(sessions),
                input -> {
                    all.add(input);
                    return inputs.add(input);
                },
                clock,
                settings,
                notices::add);
        poller.start();
    }

    PollingRig(DeviceSession... sessions) {
        this(SETTINGS, CLOCK, sessions);
    }

    static DeviceSession session(String device, int port, int unit, Duration deadline, ReadBlock... blocks) {
        return session(device, port, unit, deadline, null, blocks);
    }

    static DeviceSession session(
            String device,
            int port,
            int unit,
            Duration deadline,
            @Nullable Identification expected,
            ReadBlock... blocks) {
        return new DeviceSession(
                device,
                "127.0.0.1",
                port,
                unit,
                List.of(blocks),
                PERIODS,
                deadline,
                (block, at) -> plain(device, block, at),
                expected);
    }

    static DeviceSession session(String device, Endpoint endpoint, ReadBlock... blocks) {
        return new DeviceSession(
                device, endpoint, List.of(blocks), PERIODS, (block, at) -> plain(device, block, at), null);
    }

    /** Each cell becomes one reading, named by its address. */
    static Decoded plain(String device, RawBlock block, Moment at) {
        ReadBlock plan = block.block();
        List<Reading> readings = IntStream.range(plan.start(), plan.start() + plan.count())
                .mapToObj(address -> new Reading(
                        new SignalId(device, String.valueOf(address)),
                        (double) block.cell(address),
                        null,
                        QualityReason.NONE,
                        at))
                .toList();
        return new Decoded(device, plan.name(), readings, List.of(), List.of(), at);
    }

    /** The next input that is as asked for; others are passed over. */
    StationInput await(Predicate<StationInput> wanted) throws InterruptedException {
        long deadline = System.nanoTime() + TimeUnit.SECONDS.toNanos(30);
        while (true) {
            StationInput input = inputs.poll(deadline - System.nanoTime(), TimeUnit.NANOSECONDS);
            if (input == null) {
                throw new AssertionError("not within 30 s; last were "
                        + all.subList(Math.max(0, all.size() - 5), all.size()) + ", notices " + notices);
            }
            if (wanted.test(input)) {
                return input;
            }
        }
    }

    Decoded awaitObserved(String device) throws InterruptedException {
        StationInput input = await(each -> each instanceof StationInput.Observed observed
                && observed.decoded().device().equals(device));
        return ((StationInput.Observed) input).decoded();
    }

    StationInput.RequestFailed awaitFailure(String device, String block) throws InterruptedException {
        return (StationInput.RequestFailed) await(each -> each instanceof StationInput.RequestFailed failed
                && failed.device().equals(device)
                && failed.block().equals(block));
    }

    static void awaitUntil(String what, BooleanSupplier condition) throws InterruptedException {
        long deadline = System.nanoTime() + TimeUnit.SECONDS.toNanos(30);
        Object pause = new Object();
        while (!condition.getAsBoolean()) {
            if (System.nanoTime() > deadline) {
                throw new AssertionError("not within 30 s: " + what);
            }
            synchronized (pause) {
                pause.wait(2);
            }
        }
    }

    /** Becomes true once so much time has passed since the first question. */
    static final class Elapsed implements BooleanSupplier {
        private final Duration duration;
        private long began;

        Elapsed(Duration duration) {
            this.duration = duration;
        }

        @Override
        public boolean getAsBoolean() {
            began = began == 0 ? System.nanoTime() : began;
            return System.nanoTime() - began >= duration.toNanos();
        }
    }

    DeviceStatus status(String device) {
        return poller.status().stream()
                .filter(each -> each.device().equals(device))
                .findFirst()
                .orElseThrow();
    }

    /** Every value ever offered as observed. */
    List<Double> everyValue() {
        return all.stream()
                .filter(StationInput.Observed.class::isInstance)
                .flatMap(input -> ((StationInput.Observed) input).decoded().readings().stream())
                .map(Reading::number)
                .toList();
    }

    @Override
    public void close() {
        poller.close();
    }
}
