package oilbird.gateway.engine.clock;

/**
 * A time that runs faster than the machine's, for demo and tests only: it shows an agreed time at an agreed instant of
 * the machine and runs on from there.
 *
 * @param rate shown seconds in one second of the machine.
 * @param originMillis the agreed instant by the machine's wall clock, milliseconds since 1970-01-01 UTC.
 * @param showsMillis what is shown then.
 */
public record FastTime(double rate, long originMillis, long showsMillis) {
    public FastTime {
        if (!(rate > 0) || rate > 10_000) {
            throw new IllegalArgumentException("a clock's rate is above 0 and at most 10000: " + rate);
        }
    }

    /** What is shown at a time of the machine's wall clock. */
    long shownAt(long machineMillis) {
        return showsMillis + Math.round((machineMillis - originMillis) * rate);
    }
}
