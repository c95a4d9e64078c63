package oilbird.demoplant.course;

/** The weather of the plant. */
public final class Weather {
    /** The target of injected weather. */
    public static final String TARGET = "weather";

    private static final long HOUR = 3_600_000;

    private final Noise drift;

    Weather(long seed) {
        drift = new Noise(seed, TARGET);
    }

    /** Outdoor temperature, degC. */
    public double ambient(Faults faults, long at) {
        double day = 13.5 + 5.5 * StrictMath.cos(2 * Math.PI * (hourOfDay(at) - 15) / 24);
        return day
                + 0.8 * drift.smooth(at, 3 * HOUR)
                - 28 * faults.lag("cold-spell", TARGET, at, 5 * HOUR)
                + 11 * faults.lag("heat-wave", TARGET, at, 4 * HOUR);
    }

    /** Wetness of outer surfaces, 0 to 1; they dry within hours after the rain. */
    public double wetness(Faults faults, long at) {
        return Math.min(1, faults.lag("rain", TARGET, at, HOUR / 2));
    }

    /** Hour of the invented day, 0 to 24; plant time 0 is six in the morning. */
    public static double hourOfDay(long at) {
        return Math.floorMod(at + 6 * HOUR, 24 * HOUR) / (double) HOUR;
    }
}
