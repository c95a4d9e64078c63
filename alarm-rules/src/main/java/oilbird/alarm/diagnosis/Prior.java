package oilbird.alarm.diagnosis;

import java.time.Duration;

/**
 * Probability that something that happens so many times a year has begun within a window: {@code 1 - exp(-rate x
 * window)}, as for any event that comes at a constant rate.
 *
 * <p>The window is the time in which a cause may have begun without having been dealt with: the time for which the
 * present signs have held, and one day before that for what shows itself late or was not noticed. All causes of one
 * diagnosis, and the reasons that nobody has listed, share one window, so that the ranking of single causes depends on
 * their rates alone; its length weighs only how believable it is that two things went wrong at once.
 */
final class Prior {
    private static final Duration BEFORE = Duration.ofDays(1);
    private static final double NANOS_PER_YEAR = 365.25 * 86_400 * 1e9;

    private Prior() {}

    /**
     * @param heldNanos for how long the first of the signs has held.
     */
    static Duration window(long heldNanos) {
        return BEFORE.plusNanos(Math.max(0, heldNanos));
    }

    static double of(Rate rate, Duration window) {
        return -StrictMath.expm1(-rate.perYear() * (window.toNanos() / NANOS_PER_YEAR));
    }
}
