package oilbird.gateway.modbus;

import oilbird.gateway.engine.poll.BackOff;
import oilbird.mapping.address.ReadBlock;
import org.jspecify.annotations.Nullable;

/** One block of a device on its way through the schedule; used by one thread. */
final class LineBlock {
    private static final long NONE = Long.MAX_VALUE;

    final ReadBlock block;
    final ReadRequest.Cells request;
    private final FixedRate rate;
    private final BackOff backOff;
    private final BackOff suspension;
    private long extra;
    private long heldUntil = NONE;
    private boolean suspended;
    private boolean failing;
    private @Nullable Integer toldException;

    /**
     * @param extra one poll outside the grid, so that a block with a long period is first read soon.
     */
    LineBlock(ReadBlock block, FixedRate rate, long extra, BackOff backOff, BackOff suspension) {
        this.block = block;
        this.rate = rate;
        this.extra = extra;
        this.backOff = backOff;
        this.suspension = suspension;
        request = new ReadRequest.Cells(block);
    }

    boolean held() {
        return heldUntil != NONE;
    }

    long dueAt() {
        return held() ? heldUntil : Math.min(extra, rate.next());
    }

    /** Takes the poll that is due now; returns how many earlier ones it stands for. */
    long take(long now) {
        heldUntil = NONE;
        if (extra <= now) {
            extra = NONE;
        }
        return Math.max(0, rate.pass(now) - 1);
    }

    /** Leaves out the polls that fell due while the device was held back; one is made up for at once. */
    long leaveOut(long now) {
        long slots = rate.pass(now);
        if (slots > 0) {
            extra = Math.min(extra, now);
        }
        return slots;
    }

    void failed() {
        failing = true;
    }

    void holdForBackOff(long now) {
        heldUntil = now + backOff.take();
        suspended = false;
    }

    void holdForSuspension(long now) {
        heldUntil = now + suspension.take();
        suspended = true;
    }

    void answered() {
        failing = false;
        toldException = null;
        backOff.reset();
        suspension.reset();
    }

    /** True once for each exception code in a row. */
    boolean tell(int exception) {
        boolean tell = toldException == null || toldException != exception;
        toldException = exception;
        return tell;
    }

    /** The whole device had failed, and answers again: that this block had failed too says nothing of its own. */
    void endBackOff() {
        if (!suspended) {
            heldUntil = NONE;
            backOff.reset();
        }
    }

    /** The device answers: what failed meanwhile is read at once, unless it is held back for its own sake. */
    void catchUp(long now) {
        if (failing && !held()) {
            extra = now;
        }
    }
}
