package oilbird.gateway.engine.clock;

import java.util.function.LongSupplier;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * The gateway's clock on the machine's two clocks.
 *
 * <p>The monotonic part starts at 0 with the process. Every reading compares how far both clocks advanced since
 * the reading before; a difference above the bound is a {@link WallStep}. Slow corrections by the operating
 * system are no steps.
 */
public final class SystemGatewayClock implements GatewayClock {
    private static final long SYNC_CHECK_NANOS = 1_000_000_000L;

    private final double rate;
    private final WallTrust trust;
    private final LongSupplier nanos;
    private final LongSupplier wallMillis;
    private final long originNanos;
    private final long originWall;

    private long lastNanos;
    private long lastWall;
    private long untrustedUntilNanos;
    private boolean synchronised;
    private long syncCheckedAt;
    private @Nullable WallStep step;

    public SystemGatewayClock(WallTrust trust) {
        this(1, trust);
    }

    /**
     * @param rate gateway seconds in one second of the machine; other than 1 for demo and tests only. Steps of
     *     the wall clock are then not looked for.
     */
    public SystemGatewayClock(double rate, WallTrust trust) {
        this(rate, trust, System::nanoTime, System::currentTimeMillis);
    }

    /** A clock that runs faster than the machine's, so that two processes of one demo show the same time. */
    public SystemGatewayClock(FastTime fast, WallTrust trust) {
        this(fast, trust, System::nanoTime, System::currentTimeMillis);
    }

    SystemGatewayClock(FastTime fast, WallTrust trust, LongSupplier nanos, LongSupplier wallMillis) {
        this(fast.rate(), trust, nanos, wallMillis, fast.shownAt(wallMillis.getAsLong()));
    }

    /** On other clocks than the machine's, for tests and simulation. */
    public SystemGatewayClock(double rate, WallTrust trust, LongSupplier nanos, LongSupplier wallMillis) {
        this(rate, trust, nanos, wallMillis, wallMillis.getAsLong());
    }

    private SystemGatewayClock(
            double rate, WallTrust trust, LongSupplier nanos, LongSupplier wallMillis, long originWall) {
        if (!(rate > 0) || rate > 10_000) {
            throw new IllegalArgumentException("a clock's rate is above 0 and at most 10000: " + rate);
        }
        this.rate = rate;
        this.trust = trust;
        this.nanos = nanos;
        this.wallMillis = wallMillis;
        this.originNanos = nanos.getAsLong();
        this.originWall = originWall;
        this.lastNanos = originNanos;
        this.lastWall = originWall;
        this.untrustedUntilNanos = originNanos;
        this.synchronised = trust.synchronised().getAsBoolean();
        this.syncCheckedAt = originNanos;
    }

    @Override
    public double rate() {
        return rate;
    }

    @Override
    public synchronized Moment now() {
        long nano = nanos.getAsLong();
        if (nano - syncCheckedAt >= SYNC_CHECK_NANOS) {
            synchronised = trust.synchronised().getAsBoolean();
            syncCheckedAt = nano;
        }
        if (rate != 1) {
            long scaled = (long) ((nano - originNanos) * rate);
            long wall = originWall + scaled / 1_000_000;
            return new Moment(scaled, wall, synchronised && plausible(wall));
        }
        long wall = wallMillis.getAsLong();
        long jump = wall - lastWall - (nano - lastNanos) / 1_000_000;
        boolean stepped = Math.abs(jump) > trust.stepBound().toMillis();
        if (stepped && plausible(lastWall)) {
            untrustedUntilNanos = nano + trust.settle().toNanos();
        }
        lastNanos = nano;
        lastWall = wall;
        Moment now = new Moment(
                nano - originNanos, wall, synchronised && plausible(wall) && nano - untrustedUntilNanos >= 0);
        if (stepped) {
            step = new WallStep(jump + (step == null ? 0 : step.stepMillis()), now);
        }
        return now;
    }

    @Override
    public synchronized @Nullable WallStep takeStep() {
        WallStep taken = step;
        step = null;
        return taken;
    }

    private boolean plausible(long wall) {
        return wall >= trust.notBefore().toEpochMilli();
    }
}
