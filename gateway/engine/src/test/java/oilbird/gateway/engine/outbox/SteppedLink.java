package oilbird.gateway.engine.outbox;

import java.util.function.LongSupplier;
import oilbird.gateway.engine.clock.GatewayClock;

/** A link's runner without its thread: a simulation takes its steps. */
public final class SteppedLink {
    private final LinkRunner runner;

    public SteppedLink(
            Link link,
            Outbox outbox,
            GatewayClock clock,
            LinkRunner.Settings settings,
            LinkRunner.Load load,
            LongSupplier nanos) {
        runner = new LinkRunner(link, outbox, clock, settings, (id, event, why) -> {}, load, nanos);
    }

    /** One step; nanoseconds until the next is due, 0 for at once. */
    public long step() {
        return runner.step();
    }
}
