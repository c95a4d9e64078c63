package oilbird.gateway.engine.writer;

import java.time.Duration;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.clock.WallStep;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/** A clock that a test moves by hand. */
final class HandClock implements GatewayClock {
    private Moment now = new Moment(0, 1_772_366_400_000L, true);
    private @Nullable WallStep step;

    @Override
    public synchronized Moment now() {
        return now;
    }

    synchronized void pass(Duration time) {
        now = now.plusNanos(time.toNanos());
    }

    synchronized void step(Duration by) {
        now = new Moment(now.monotonicNanos(), now.wallMillis() + by.toMillis(), false);
        step = new WallStep(by.toMillis(), now);
    }

    @Override
    public synchronized @Nullable WallStep takeStep() {
        WallStep taken = step;
        step = null;
        return taken;
    }
}
