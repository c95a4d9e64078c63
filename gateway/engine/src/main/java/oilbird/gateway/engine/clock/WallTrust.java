package oilbird.gateway.engine.clock;

import java.time.Duration;
import java.time.Instant;
import java.util.function.BooleanSupplier;

/**
 * When the wall clock may be believed. Never decides whether an alarm comes or goes: delays run on the
 * monotonic clock; this only marks time stamps.
 *
 * @param notBefore the wall clock is unset while it stands before this, as on a box that booted without time.
 * @param stepBound a jump against the monotonic clock larger than this is a step.
 * @param settle how long after a step the wall clock stays untrusted, unless it was unset before.
 * @param synchronised whether the operating system says that the clock is synchronised; asked at most once a
 *     second.
 */
public record WallTrust(Instant notBefore, Duration stepBound, Duration settle, BooleanSupplier synchronised) {
    /** The day the first version was built: no record can be older. */
    private static final Instant FIRST_VERSION = Instant.parse("2026-01-01T00:00:00Z");

    /** Steps above one second, ten minutes to settle; believes that the operating system's clock is synchronised. */
    public static WallTrust ordinary() {
        return new WallTrust(FIRST_VERSION, Duration.ofSeconds(1), Duration.ofMinutes(10), () -> true);
    }

    /** The same, with another answer to whether the operating system's clock is synchronised. */
    public WallTrust when(BooleanSupplier synchronisedNow) {
        return new WallTrust(notBefore, stepBound, settle, synchronisedNow);
    }
}
