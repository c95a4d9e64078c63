package oilbird.gateway.engine.clock;

import java.time.Duration;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/** The gateway's clock. Thread-safe. */
public interface GatewayClock {
    /** The present moment; its monotonic part never goes backwards. */
    Moment now();

    /**
     * Gateway seconds that pass in one second of the machine's own clock; 1 except in a demo or a test.
     */
    default double rate() {
        return 1;
    }

    /** How long to wait on the machine's own clock until {@link Moment#monotonicNanos()} is reached; never negative. */
    default Duration realTimeUntil(long monotonicNanos) {
        long present = now().monotonicNanos();
        return monotonicNanos <= present
                ? Duration.ZERO
                : Duration.ofNanos((long) Math.ceil((monotonicNanos - present) / rate()));
    }

    /** The newest step of the wall clock that nobody has taken yet, or null. */
    default @Nullable WallStep takeStep() {
        return null;
    }
}
