package oilbird.gateway.modbus;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import oilbird.gateway.engine.poll.BackOff;
import oilbird.gateway.engine.poll.Waits;
import org.jspecify.annotations.Nullable;

/** One device of a line on its way through the schedule; used by the line's thread, but for its ledger. */
final class LineDevice {
    private static final long NONE = Long.MAX_VALUE;
    private static final int IDENTIFICATIONS_LOST = 2;
    private static final long FIRST_POLLS_WITHIN = TimeUnit.SECONDS.toNanos(1);

    /** How a device's identification stands on the present connection. */
    enum Identity {
        UNKNOWN,
        ACCEPTED,
        OTHER_FIRMWARE
    }

    final DeviceSession session;
    final DeviceLedger ledger;
    final List<LineBlock> blocks = new ArrayList<>();
    final BackOff backOff;
    final BackOff suspension;
    Identity identity = Identity.UNKNOWN;
    /** {@link System#nanoTime} of the last request. */
    long askedAt;
    /** Foreign frames heard on the line before the last request. */
    long foreignBefore;

    private boolean identifiesItself;
    private int identificationsLostInARow;
    private int failuresInARow;
    private long heldUntil = NONE;
    private long pausedUntil;
    private @Nullable String toldOfIdentity;

    LineDevice(DeviceSession session, Waits waits, Random random) {
        this.session = session;
        ledger = new DeviceLedger(session.device());
        backOff = waits.backOff(random);
        suspension = waits.suspension(random);
        double phase = FixedRate.phase(session.device());
        session.blocks().forEach(block -> {
            Duration period = session.period(block);
            long nanos = period.toNanos();
            blocks.add(new LineBlock(
                    block,
                    new FixedRate((long) (phase * nanos), nanos),
                    (long) (phase * Math.min(nanos, FIRST_POLLS_WITHIN)),
                    waits.backOff(random),
                    waits.suspension(random)));
        });
    }

    String name() {
        return session.device();
    }

    boolean held() {
        return heldUntil != NONE;
    }

    long dueAt(LineBlock block) {
        long due = !held() ? block.dueAt() : block.held() ? Math.max(heldUntil, block.dueAt()) : heldUntil;
        return Math.max(due, pausedUntil);
    }

    /** Nothing of it is asked before; it takes no poll back and is no failure. */
    void pauseUntil(long then) {
        pausedUntil = then;
    }

    void holdUntil(long then) {
        heldUntil = then;
    }

    /** Takes the poll of one block; every poll that it comes too late for is counted. */
    void take(LineBlock taken, long now) {
        boolean heldBack = held() || taken.held();
        long earlier = taken.take(now);
        if (heldBack) {
            ledger.heldBack(earlier);
        } else {
            ledger.missed(earlier);
        }
        if (held()) {
            heldUntil = NONE;
            for (LineBlock block : blocks) {
                if (block != taken) {
                    ledger.heldBack(block.leaveOut(now));
                }
            }
        }
    }

    /** Returns how many requests in a row have failed, this one included. */
    int failed() {
        return ++failuresInARow;
    }

    void answered(long now) {
        backOff.reset();
        if (failuresInARow > 1) {
            blocks.forEach(LineBlock::endBackOff);
        }
        failuresInARow = 0;
        blocks.forEach(block -> block.catchUp(now));
    }

    /** Polling goes on after a rest; what fell due meanwhile is read once. */
    void goOn(long now) {
        heldUntil = NONE;
        failuresInARow = 0;
        backOff.reset();
        for (LineBlock block : blocks) {
            ledger.heldBack(block.leaveOut(now));
        }
    }

    void identified() {
        identifiesItself = true;
        identificationsLostInARow = 0;
    }

    void identificationLost() {
        identificationsLostInARow++;
    }

    /**
     * True where the device never told what it is and keeps silent or hangs up when asked, as some do on a function
     * that they do not know. Only reading it shows whether it is there.
     */
    boolean keepsSilentOnItself() {
        return !identifiesItself && identificationsLostInARow >= IDENTIFICATIONS_LOST;
    }

    /** Reading it without asking first has failed too: it is asked again. */
    void askAgain() {
        identificationsLostInARow = 0;
    }

    /** True once for each finding in a row. */
    boolean tellOfIdentity(String finding) {
        boolean tell = !finding.equals(toldOfIdentity);
        toldOfIdentity = finding;
        return tell;
    }
}
