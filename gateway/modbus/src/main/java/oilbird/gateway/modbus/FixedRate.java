package oilbird.gateway.modbus;

/**
 * The grid of times at which one block falls due; it never drifts, however late a poll is.
 *
 * <p>Times are nanoseconds since the poller was made.
 */
final class FixedRate {
    private final long period;
    private long next;

    FixedRate(long first, long periodNanos) {
        next = first;
        period = periodNanos;
    }

    long next() {
        return next;
    }

    /** Moves past every slot up to {@code now} and returns how many there were. */
    long pass(long now) {
        if (next > now) {
            return 0;
        }
        long slots = (now - next) / period + 1;
        next += slots * period;
        return slots;
    }

    /**
     * Where in its period a device's slots lie, so that a thousand devices do not fire together and each keeps its
     * place when others come or go.
     *
     * @return 0 up to, but not including, 1; spread evenly over device ids.
     */
    static double phase(String device) {
        // The finishing steps of MurmurHash3: ids that differ in one digit come out far apart.
        long mixed = device.hashCode() * 0x9E3779B97F4A7C15L;
        mixed = (mixed ^ (mixed >>> 33)) * 0xFF51AFD7ED558CCDL;
        mixed = (mixed ^ (mixed >>> 33)) * 0xC4CEB9FE1A85EC53L;
        mixed ^= mixed >>> 33;
        return (mixed >>> 11) * 0x1.0p-53;
    }
}
