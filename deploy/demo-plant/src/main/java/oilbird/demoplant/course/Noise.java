package oilbird.demoplant.course;

/**
 * Noise without memory: the same seed, source and time give the same value, whoever asks and in whatever order.
 */
public final class Noise {
    private final long seed;

    /** @param source whose noise it is, such as {@code gas-t1/hydrogen} */
    public Noise(long seed, String source) {
        this.seed = mix(seed ^ source.hashCode() * 0x9E37_79B9_7F4A_7C15L);
    }

    /** Evenly spread over plus or minus 1, another value for each number. */
    public double step(long number) {
        return (mix(seed + number * 0xD1B5_4A32_D192_ED03L) >>> 11) * 0x1.0p-52 - 1;
    }

    /** Evenly spread over plus or minus 1, another value in each period. */
    public double step(long at, long period) {
        return step(Math.floorDiv(at, period));
    }

    /** Smooth, between plus and minus 1, with a knot every period. */
    public double smooth(long at, long period) {
        long knot = Math.floorDiv(at, period);
        double within = Math.floorMod(at, period) / (double) period;
        double eased = within * within * (3 - 2 * within);
        return step(knot) * (1 - eased) + step(knot + 1) * eased;
    }

    /** The finishing steps of MurmurHash3. */
    private static long mix(long value) {
        long mixed = (value ^ value >>> 33) * 0xFF51_AFD7_ED55_8CCDL;
        mixed = (mixed ^ mixed >>> 33) * 0xC4CE_B9FE_1A85_EC53L;
        return mixed ^ mixed >>> 33;
    }
}
