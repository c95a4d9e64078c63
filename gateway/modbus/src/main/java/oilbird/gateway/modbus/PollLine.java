package oilbird.gateway.modbus;

import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Random;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.locks.LockSupport;
import java.util.function.Consumer;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.poll.BackOff;
import oilbird.gateway.engine.poll.Notice;
import oilbird.gateway.engine.queue.InputSink;
import oilbird.gateway.modbus.DeviceStatus.Condition;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.map.Identification;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** One connection with its thread and the devices behind it: one, or the units behind a Modbus gateway or on a line. */
final class PollLine implements Runnable {
    private static final int STACK_BYTES = 256 * 1024;
    private static final int MOST_IDENTIFICATION_REQUESTS = 16;
    private static final long LONGEST_PARK = TimeUnit.HOURS.toNanos(1);

    private final LineWay way;
    private final List<LineDevice> devices = new ArrayList<>();
    private final InputSink sink;
    private final GatewayClock clock;
    private final PollerSettings settings;
    private final Consumer<Notice> notices;
    private final BackOff connectBackOff;
    private final Thread thread;
    private volatile @Nullable ModbusConnection connection;
    private volatile boolean stopped;
    private volatile boolean released;
    private boolean rests;
    private final ArrayDeque<Doubted> doubted = new ArrayDeque<>();
    private boolean toldOfForeign;
    private long origin;

    /**
     * An answer that came whole and valid, while another to the same request may still come and show that it was
     * somebody else's.
     *
     * @param foreignBefore foreign frames heard before its request.
     * @param until {@link System#nanoTime} from which it is taken as the device's own.
     */
    private record Doubted(
            LineDevice device, LineBlock block, Decoded decoded, ModbusConnection on, long foreignBefore, long until) {}

    PollLine(
            String name,
            List<DeviceSession> sessions,
            InputSink sink,
            GatewayClock clock,
            PollerSettings settings,
            Consumer<Notice> notices) {
        this.sink = sink;
        this.clock = clock;
        this.settings = settings;
        this.notices = notices;
        // Each line has its own sequence: which thread is first to fail must not matter to the others' waits.
        Random random = new Random(settings.waits().seed() ^ name.hashCode());
        way = LineWay.to(sessions, random);
        connectBackOff = settings.waits().backOff(random);
        sessions.forEach(session -> devices.add(new LineDevice(session, settings.waits(), random)));
        thread = new Thread(null, this, "modbus " + name, STACK_BYTES);
        thread.setDaemon(true);
    }

    List<LineDevice> devices() {
        return devices;
    }

    void start() {
        origin = System.nanoTime();
        thread.start();
    }

    void stop() {
        stopped = true;
        ModbusConnection open = connection;
        if (open != null) {
            open.close();
        }
        LockSupport.unpark(thread);
    }

    /** Lets go of the connection, so that somebody else can have it, or takes it again. */
    void release(boolean away) {
        if (away == released) {
            return;
        }
        released = away;
        ModbusConnection open = connection;
        if (away && open != null) {
            open.close();
        }
        LockSupport.unpark(thread);
    }

    private boolean interrupted() {
        return stopped || released;
    }

    @Nullable
    LineLedger ledger() {
        return way.ledger();
    }

    void join(long millis) throws InterruptedException {
        thread.join(millis);
    }

    private long now() {
        return System.nanoTime() - origin;
    }

    @Override
    public void run() {
        while (!stopped) {
            if (released) {
                rest();
                continue;
            }
            LineDevice dueDevice = null;
            LineBlock dueBlock = null;
            long dueAt = Long.MAX_VALUE;
            for (LineDevice device : devices) {
                for (LineBlock block : device.blocks) {
                    long at = device.dueAt(block);
                    if (at < dueAt) {
                        dueAt = at;
                        dueDevice = device;
                        dueBlock = block;
                    }
                }
            }
            long settled = settleDoubted(null);
            long wait = dueAt - now();
            if (dueDevice == null || dueBlock == null || wait > 0) {
                LockSupport.parkNanos(this, Math.min(Math.min(wait, settled), LONGEST_PARK));
            } else {
                pollGuarded(dueDevice, dueBlock);
            }
        }
        closeConnection();
    }

    private void rest() {
        if (!rests) {
            rests = true;
            doubted.clear();
            closeConnection();
            for (LineDevice device : devices) {
                device.ledger.condition(Condition.RELEASED, null);
                tell(2112, device.name(), "its connection is released; it is not polled");
            }
        }
        LockSupport.parkNanos(this, LONGEST_PARK);
        if (!released && rests) {
            rests = false;
            for (LineDevice device : devices) {
                device.ledger.condition(Condition.NOT_YET_ASKED, null);
                device.goOn(now());
            }
        }
    }

    /**
     * Offers the answers that have stood their time, and throws away those after which another master was heard.
     *
     * @param only a block that is to be asked again, so that it cannot wait any longer; null for none.
     * @return nanoseconds until the next one's time.
     */
    private long settleDoubted(@Nullable LineBlock only) {
        while (true) {
            Doubted next = doubted.peek();
            if (next == null) {
                return LONGEST_PARK;
            }
            long left = next.until() - System.nanoTime();
            boolean asked = only != null && doubted.stream().anyMatch(d -> d.block() == only);
            if (left > 0 && !asked) {
                return left;
            }
            next.on().listen();
            doubted.remove();
            if (next.on().foreignFrames() == next.foreignBefore()) {
                sink.offer(new StationInput.Observed(next.decoded()));
            } else {
                Fault fault = Fault.FOREIGN_TRAFFIC;
                next.device().ledger.failed(fault);
                failBlock(next.device(), next.block(), fault.quality(), fault.words());
            }
        }
    }

    private void pollGuarded(LineDevice device, LineBlock block) {
        try {
            device.take(block, now());
            settleDoubted(block);
            poll(device, block);
            tellOfForeign();
        } catch (RuntimeException bug) {
            // A line whose thread dies would leave its devices' last values standing as good.
            tell(2199, device.name(), "internal error while polling " + block.block.name() + ": " + bug);
            failBlock(device, block, QualityReason.INVALID_ANSWER, "internal error: " + bug);
            block.holdForBackOff(now());
        }
    }

    private void poll(LineDevice device, LineBlock block) {
        ModbusConnection open = connected();
        if (open == null || !identified(device, open)) {
            return;
        }
        Outcome outcome = ask(device, open, block.request);
        if (closedWhileIdle(outcome, open)) {
            // Many devices close a connection that rests between two polls. Reading again takes nothing more from
            // the device than the lost answer did.
            open = connected();
            if (open == null || !identified(device, open)) {
                return;
            }
            outcome = ask(device, open, block.request);
        }
        if (interrupted()) {
            return;
        }
        if (device.identity == LineDevice.Identity.UNKNOWN) {
            if (outcome instanceof Outcome.Failed) {
                device.askAgain();
            } else {
                acceptUnidentified(device, "no answer to function 43/14, but to others");
            }
        }
        if (outcome instanceof Outcome.Cells cells) {
            answered(device, block, cells.values(), open);
        } else if (outcome instanceof Outcome.Refused refused) {
            refused(device, block, refused);
        } else if (outcome instanceof Outcome.Failed failed) {
            block.holdForBackOff(now());
            deviceFailed(device, block, failed.fault().quality(), failed.detail(), quarantine(device, open, failed));
        } else {
            throw new IllegalStateException("cells were asked for, not " + outcome);
        }
    }

    private static boolean closedWhileIdle(Outcome outcome, ModbusConnection connection) {
        return outcome instanceof Outcome.Failed failed
                && (failed.fault() == Fault.CLOSED || failed.fault() == Fault.CONNECTION_RESET)
                && connection.answers() > 0;
    }

    private Outcome ask(LineDevice device, ModbusConnection open, ReadRequest request) {
        long began = System.nanoTime();
        device.askedAt = began;
        device.foreignBefore = open.foreignFrames();
        device.ledger.sent();
        Outcome outcome = open.exchange(device.session.unit(), request, device.session.requestDeadline());
        if (outcome instanceof Outcome.Refused refused) {
            device.ledger.refused(refused.code());
        } else if (outcome instanceof Outcome.Failed failed) {
            if (!interrupted()) {
                device.ledger.failed(failed.fault());
            }
        } else {
            device.ledger.answered(System.nanoTime() - began);
        }
        return outcome;
    }

    /** The open connection, made anew if need be; null when there is none, which has then been told. */
    private @Nullable ModbusConnection connected() {
        ModbusConnection open = connection;
        if (open != null && !open.isClosed()) {
            return open;
        }
        ModbusConnection.Opening opening = way.opener().open(settings.connectDeadline());
        if (opening instanceof ModbusConnection.Opening.Opened opened) {
            connection = opened.connection();
            if (interrupted()) {
                closeConnection();
                return null;
            }
            for (LineDevice device : devices) {
                device.identity =
                        device.session.expected() == null ? LineDevice.Identity.ACCEPTED : LineDevice.Identity.UNKNOWN;
                device.ledger.connected();
            }
            return opened.connection();
        }
        if (opening instanceof ModbusConnection.Opening.NotOpened notOpened && !interrupted()) {
            long until = now() + connectBackOff.take();
            for (LineDevice device : devices) {
                device.ledger.failed(notOpened.failure().fault());
                allBlocksFailed(
                        device,
                        notOpened.failure().fault().quality(),
                        notOpened.failure().detail());
                device.holdUntil(until);
            }
        }
        return null;
    }

    /** False when the device must not be polled now, which has then been told. */
    private boolean identified(LineDevice device, ModbusConnection open) {
        Identification expected = device.session.expected();
        if (expected == null || device.identity != LineDevice.Identity.UNKNOWN || device.keepsSilentOnItself()) {
            return true;
        }
        Map<Integer, String> objects = new TreeMap<>();
        int next = 0;
        for (int i = 0; i < MOST_IDENTIFICATION_REQUESTS; i++) {
            Outcome outcome = ask(device, open, new ReadRequest.DeviceIdentification(next));
            if (interrupted()) {
                return false;
            }
            if (outcome instanceof Outcome.Refused refused) {
                return identificationRefused(device, refused);
            }
            if (outcome instanceof Outcome.Failed failed) {
                device.identificationLost();
                return identificationFailed(
                        device, failed.fault().quality(), failed.detail(), quarantine(device, open, failed));
            }
            if (!(outcome instanceof Outcome.Objects part)) {
                throw new IllegalStateException("an identification was asked for, not " + outcome);
            }
            objects.putAll(part.objects());
            if (!part.moreFollows()) {
                return accept(device, expected, new FoundIdentification(objects));
            }
            if (part.nextObject() <= next) {
                break;
            }
            next = part.nextObject();
        }
        device.ledger.failed(Fault.MALFORMED_IDENTIFICATION);
        closeConnection();
        return identificationFailed(
                device,
                Fault.MALFORMED_IDENTIFICATION.quality(),
                Fault.MALFORMED_IDENTIFICATION.words() + " (its parts never end)",
                0);
    }

    private boolean identificationRefused(LineDevice device, Outcome.Refused refused) {
        if (refused.exception().reaction() != ExceptionCode.Reaction.SUSPEND) {
            return identificationFailed(device, refused.exception().quality(), refused.detail(), 0);
        }
        acceptUnidentified(device, refused.detail() + " to function 43/14");
        return true;
    }

    private void acceptUnidentified(LineDevice device, String detail) {
        device.identity = LineDevice.Identity.ACCEPTED;
        if (device.tellOfIdentity("none")) {
            tell(
                    2108,
                    device.name(),
                    "does not say what it is (" + detail
                            + "); it is polled, and whether the device map fits is not checked");
        }
    }

    private boolean identificationFailed(LineDevice device, QualityReason quality, String detail, long atLeast) {
        device.failed();
        device.holdUntil(now() + Math.max(atLeast, device.backOff.take()));
        allBlocksFailed(device, quality, detail + ", asked for identification");
        return false;
    }

    private boolean accept(LineDevice device, Identification expected, FoundIdentification found) {
        device.identified();
        device.ledger.identified(found);
        boolean news = device.tellOfIdentity(found.toString());
        switch (expected.judge(found.vendor(), found.product(), found.revision())) {
            case AS_MAPPED -> device.identity = LineDevice.Identity.ACCEPTED;
            case OTHER_FIRMWARE -> {
                device.identity = LineDevice.Identity.OTHER_FIRMWARE;
                if (news) {
                    String text = "runs firmware " + found.revision() + "; the device map was checked against "
                            + String.join(", ", expected.firmware());
                    tell(2107, device.name(), text + "; its readings are uncertain");
                    sink.offer(new StationInput.Noticed(
                            StationEvent.Notice.Kind.OTHER_FIRMWARE,
                            new SignalId(device.name(), "identification"),
                            text,
                            clock.now()));
                }
            }
            case OTHER_PRODUCT -> {
                String detail = "the device says it is " + found + "; the device map is for " + expected.shown();
                device.ledger.condition(Condition.OTHER_PRODUCT, detail);
                offerAllFailed(device, QualityReason.OTHER_PRODUCT, detail);
                device.holdUntil(now() + device.suspension.take());
                if (news) {
                    tell(2106, device.name(), detail + "; it is not polled");
                }
                return false;
            }
        }
        device.suspension.reset();
        return true;
    }

    private void answered(LineDevice device, LineBlock block, int[] cells, ModbusConnection open) {
        block.answered();
        alive(device);
        Decoded decoded = device.session.decoder().decode(new RawBlock(block.block, cells), clock.now());
        if (device.identity == LineDevice.Identity.OTHER_FIRMWARE) {
            decoded = uncertain(decoded, QualityReason.OTHER_FIRMWARE);
        }
        if (open.isDistrusted()) {
            decoded = uncertain(decoded, QualityReason.FOREIGN_TRAFFIC);
        }
        long doubt = open.doubtNanos();
        if (open.cameEarly()) {
            // The true answer may be under way, and must not be taken for that of the next request.
            device.pauseUntil(now() + device.askedAt + doubt - System.nanoTime());
        }
        if (doubt == 0) {
            sink.offer(new StationInput.Observed(decoded));
        } else {
            doubted.add(new Doubted(device, block, decoded, open, device.foreignBefore, device.askedAt + doubt));
        }
    }

    private void tellOfForeign() {
        ModbusConnection open = connection;
        boolean now = open != null && open.isDistrusted();
        if (now && !toldOfForeign) {
            String text = "another master, or a second unit of the same number, speaks on the line; readings are"
                    + " uncertain until it has been quiet for a minute";
            tell(2111, way.name(), text);
            sink.offer(new StationInput.Noticed(
                    StationEvent.Notice.Kind.FOREIGN_TRAFFIC, new SignalId(way.name(), "line"), text, clock.now()));
        }
        toldOfForeign = now;
    }

    /** How long a unit must be left alone, so that an answer that comes late cannot be taken for the next one. */
    private static long quarantine(LineDevice device, ModbusConnection open, Outcome.Failed failed) {
        return open.needsQuarantine(failed.fault())
                ? device.session.requestDeadline().toNanos()
                : 0;
    }

    /** What cannot be taken at face value may raise an alarm, but never clears one. */
    private static Decoded uncertain(Decoded decoded, QualityReason why) {
        return new Decoded(
                decoded.device(),
                decoded.block(),
                decoded.readings().stream()
                        .map(reading -> reading.degraded(why))
                        .toList(),
                decoded.indications().stream()
                        .map(indication -> indication.state() == IndicationState.DOES_NOT_HOLD
                                ? Indication.cannotBeTold(indication.id(), why, indication.at())
                                : indication)
                        .toList(),
                decoded.words(),
                decoded.at(),
                decoded.raw());
    }

    private void refused(LineDevice device, LineBlock block, Outcome.Refused refused) {
        ExceptionCode exception = refused.exception();
        QualityReason quality = exception.quality();
        switch (exception.reaction()) {
            case SUSPEND -> {
                block.holdForSuspension(now());
                alive(device);
                failBlock(device, block, quality, refused.detail());
                if (block.tell(refused.code())) {
                    tell(
                            2105,
                            device.name(),
                            refused.detail() + " to block " + block.block.name()
                                    + "; check the device map; it is asked again only now and then");
                }
            }
            case RETRY_BLOCK -> {
                alive(device);
                block.holdForBackOff(now());
                failBlock(device, block, quality, refused.detail());
                if (block.tell(refused.code())) {
                    tell(2110, device.name(), refused.detail() + " to block " + block.block.name());
                }
            }
            case BACK_OFF, UNIT_LOST -> deviceFailed(device, block, quality, refused.detail(), 0);
        }
    }

    /** The device gave a valid answer of some kind. */
    private void alive(LineDevice device) {
        connectBackOff.reset();
        device.answered(now());
        Condition before = device.ledger.condition();
        if (before != Condition.ANSWERING) {
            device.ledger.condition(Condition.ANSWERING, null);
            tell(2101, device.name(), before == Condition.NOT_YET_ASKED ? "answers" : "answers again");
        }
    }

    /** One lost answer speaks for its own block; a second in a row speaks for the device. */
    private void deviceFailed(LineDevice device, LineBlock block, QualityReason quality, String detail, long atLeast) {
        device.holdUntil(now() + Math.max(atLeast, device.backOff.take()));
        if (device.failed() > 1) {
            allBlocksFailed(device, quality, detail);
        } else {
            failing(device, detail);
            failBlock(device, block, quality, detail);
        }
    }

    private void allBlocksFailed(LineDevice device, QualityReason quality, String detail) {
        failing(device, detail);
        offerAllFailed(device, quality, detail);
    }

    private void failing(LineDevice device, String detail) {
        boolean before = device.ledger.condition() == Condition.FAILING;
        device.ledger.condition(Condition.FAILING, detail);
        if (!before) {
            tell(2103, device.name(), "cannot be read: " + detail);
        }
    }

    private void offerAllFailed(LineDevice device, QualityReason quality, String detail) {
        for (LineBlock block : device.blocks) {
            failBlock(device, block, quality, detail);
        }
    }

    private void failBlock(LineDevice device, LineBlock block, QualityReason quality, String detail) {
        block.failed();
        sink.offer(new StationInput.RequestFailed(device.name(), block.block.name(), quality, detail, clock.now()));
    }

    private void tell(int number, String about, String text) {
        notices.accept(new Notice(number, about, text));
    }

    private void closeConnection() {
        ModbusConnection open = connection;
        if (open != null) {
            open.close();
        }
    }
}
