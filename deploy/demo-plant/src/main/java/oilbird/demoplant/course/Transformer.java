package oilbird.demoplant.course;

import java.util.ArrayList;
import java.util.List;
import java.util.function.Supplier;

/**
 * One invented transformer: load, oil and winding temperature, its fans and pump, its gases, its water, and the steps of
 * its tap changer.
 *
 * <p>Temperatures follow the exponential form of IEC 60076-7 in steps of one minute from an evening before plant time 0,
 * with invented constants; the steps are kept until the faults change, so that any time may be asked for in any order.
 * Safe for use by several threads.
 */
public final class Transformer {
    /** What is dissolved in the oil, in ppm. */
    public enum Gas {
        HYDROGEN,
        METHANE,
        ACETYLENE,
        ETHYLENE,
        ETHANE,
        CARBON_MONOXIDE,
        CARBON_DIOXIDE
    }

    /** Duration of a healthy operation of the tap changer, ms. */
    public static final long OPERATION_MILLIS = 5_200;

    private static final long MINUTE = 60_000;
    private static final int WARM_UP_MINUTES = 18 * 60;

    private static final double RATED_OIL_RISE_K = 38;
    private static final double LOSS_RATIO = 6;
    private static final double OIL_EXPONENT = 0.9;
    private static final double OIL_MINUTES = 150;
    private static final double RATED_GRADIENT_K = 22;
    private static final double WINDING_EXPONENT = 1.3;
    private static final double WINDING_MINUTES = 7;

    private static final double NO_FANS = 1.75;
    private static final double GROUP_1_TAKES = 0.45;
    private static final double GROUP_2_TAKES = 0.30;
    private static final double[] START_ABOVE = {48, 58};
    private static final double[] STOP_BELOW = {42, 50};

    private static final double LOWEST_TAP = 1;
    private static final double HIGHEST_TAP = 17;
    private static final double STRAY_GASSING_ABOVE = 46;

    /** Each trouble's growth in ppm an hour, in the order of {@link Gas}. */
    private enum Trouble {
        PARTIAL_DISCHARGE("partial-discharge", 8, 0.5, 0, 0.05, 0.05, 0, 0),
        LOW_ENERGY_DISCHARGE("low-energy-discharge", 10, 3, 8, 5, 1, 0, 0),
        ARCING("arcing", 120, 40, 70, 60, 8, 2, 0),
        BELOW_300("overheating-below-300", 1, 2, 0, 1, 3, 0, 0),
        UP_TO_700("overheating-300-700", 3, 6, 0, 8, 3, 0, 0),
        ABOVE_700("overheating-above-700", 6, 10, 0.8, 22, 4, 0, 0),
        PAPER("paper-overheating", 1, 2, 0, 0.3, 0.5, 25, 60);

        private final String fault;
        private final double[] perHour;

        Trouble(String fault, double... perHour) {
            this.fault = fault;
            this.perHour = perHour;
        }
    }

    private static final double[] HEALTHY = {25, 12, 0.4, 6, 9, 310, 2_150};
    private static final double[] STRAY_PER_HOUR = {2, 0.6, 0, 0.05, 0.6, 0, 0};
    private static final double[] INCOMPLETE_PER_HOUR = {20, 4, 12, 6, 1, 0, 0};
    private static final long INCOMPLETE_QUIET = 30 * MINUTE;

    private final String id;
    private final String cooling;
    private final String tap;
    private final double ratedAmpere;
    private final double healthyHydrogen;
    private final double water;
    private final Weather weather;
    private final Supplier<Faults> faults;
    private final Noise loadDrift;
    private final Noise loadFlicker;
    private final Noise voltage;

    private final List<Minute> steps = new ArrayList<>();
    private Faults computedFor = Faults.NONE;

    /**
     * The transformer at the beginning of one minute.
     *
     * @param oil top oil, degC
     * @param gradient winding over top oil, K
     * @param strayHours hours (times strength) of stray gassing so far
     * @param fanHours hours of fan group 1 so far
     * @param operations operations of the tap changer begun so far
     * @param position where the last of them leads
     */
    private record Minute(
            double oil,
            double gradient,
            double strayHours,
            double fanHours,
            int operations,
            int position,
            boolean group1,
            boolean group2) {
        boolean runs(int group) {
            return group == 1 ? group1 : group2;
        }
    }

    /**
     * @param id id of the asset, such as {@code t1}; its cooling control is {@code cooling-t1}, its tap changer
     *     monitor, if there is one, {@code tap-t1}
     * @param ratedAmpere rated current, A
     * @param healthyHydrogen hydrogen in the oil, ppm
     * @param water water in the oil, ppm
     */
    Transformer(
            String id,
            double ratedAmpere,
            double healthyHydrogen,
            double water,
            Weather weather,
            Supplier<Faults> faults,
            long seed) {
        this.id = id;
        this.cooling = "cooling-" + id;
        this.tap = "tap-" + id;
        this.ratedAmpere = ratedAmpere;
        this.healthyHydrogen = healthyHydrogen;
        this.water = water;
        this.weather = weather;
        this.faults = faults;
        this.loadDrift = new Noise(seed, id + "/load-drift");
        this.loadFlicker = new Noise(seed, id + "/load-flicker");
        this.voltage = new Noise(seed, id + "/voltage");
    }

    public String id() {
        return id;
    }

    /** Load current as a fraction of the rated one. */
    public double load(long at) {
        double hour = Weather.hourOfDay(at);
        double day = 0.62
                + 0.13 * StrictMath.cos(2 * Math.PI * (hour - 18) / 24)
                + 0.07 * StrictMath.cos(4 * Math.PI * (hour - 9) / 24);
        double load = day + 0.015 * loadDrift.smooth(at, 20 * MINUTE) + 0.006 * loadFlicker.smooth(at, 4 * MINUTE);
        return load * (1 + 0.35 * faults.get().strength("overload", id, at));
    }

    public double loadAmpere(long at) {
        return load(at) * ratedAmpere;
    }

    public double ambient(long at) {
        return weather.ambient(faults.get(), at);
    }

    /** Temperature of the top oil, degC. */
    public synchronized double topOil(long at) {
        return between(at, minute(at).oil, minute(at + MINUTE).oil);
    }

    /** Temperature of the winding's hottest place, degC. */
    public synchronized double winding(long at) {
        Minute here = minute(at);
        Minute next = minute(at + MINUTE);
        return between(at, here.oil + here.gradient, next.oil + next.gradient);
    }

    /** Whether a fan group turns. @param group 1 or 2 */
    public synchronized boolean fansRun(int group, long at) {
        return minute(at).runs(group) && fansMay(faults.get(), group, at);
    }

    /** Hours that fan group 1 has run since plant time 0. */
    public synchronized double fanHours(long at) {
        return minute(at).fanHours - minute(0).fanHours;
    }

    /** Whether the oil pump turns. */
    public boolean pumpRuns(long at) {
        Faults now = faults.get();
        return !now.on("pump-motor", cooling, at) && !now.on("cooling-supply-lost", cooling, at);
    }

    /** Dissolved gas in the oil, ppm. */
    public double gas(Gas gas, long at) {
        Faults now = faults.get();
        int which = gas.ordinal();
        double ppm = gas == Gas.HYDROGEN ? healthyHydrogen : HEALTHY[which];
        ppm += HEALTHY[which] * 0.0004 * at / (24 * 60 * MINUTE);
        for (Trouble trouble : Trouble.values()) {
            ppm += trouble.perHour[which] * now.hoursOn(trouble.fault, id, at);
        }
        ppm += INCOMPLETE_PER_HOUR[which] * now.hoursOn("tap-change-incomplete", id, at - INCOMPLETE_QUIET);
        if (!now.of("stray-gassing", id).isEmpty()) {
            synchronized (this) {
                ppm += STRAY_PER_HOUR[which] * minute(at).strayHours;
            }
        }
        return ppm;
    }

    /** Water in the oil, ppm. */
    public double water(long at) {
        return water + 0.5 * faults.get().hoursOn("water-ingress", id, at);
    }

    /** Operations of the tap changer finished since plant time 0. */
    public synchronized int operations(long at) {
        return Math.max(0, minute(at - OPERATION_MILLIS).operations - minute(0).operations);
    }

    /** Position of the tap changer, 1 to 17. */
    public synchronized int tapPosition(long at) {
        return minute(at - OPERATION_MILLIS).position;
    }

    /** Milliseconds that the running operation has lasted; -1 when none runs. */
    public synchronized long operationRunning(long at) {
        Faults now = faults.get();
        long incomplete = now.sinceBegin("tap-change-incomplete", id, at);
        if (incomplete >= 0) {
            return incomplete;
        }
        long into = Math.floorMod(at, MINUTE);
        boolean began = minute(at).operations > minute(at - MINUTE).operations;
        return began && into < OPERATION_MILLIS ? into : -1;
    }

    private boolean fansMay(Faults now, int group, long at) {
        return !now.on("fan-group-" + group + "-motor", cooling, at)
                && !now.on("fan-control-stuck", cooling, at)
                && !now.on("left-in-manual", cooling, at)
                && !now.on("cooling-supply-lost", cooling, at);
    }

    private boolean tapMay(Faults now, long at) {
        return !now.on("drive-protection-tripped", tap, at)
                && !now.on("drive-supply-lost", tap, at)
                && !now.on("hand-crank-left-in", tap, at)
                && !now.on("tap-change-incomplete", id, at);
    }

    /** How much warmer than with all fans and the pump the oil gets. */
    private double oilFactor(Faults now, boolean group1, boolean group2, long at) {
        double effect = now.on("fans-reversed", cooling, at) ? 0.35 : 1;
        double lostFan = 1 - 0.25 * Math.min(1, now.strength("one-fan-of-group-1-dead", cooling, at));
        double factor = NO_FANS
                - (group1 ? GROUP_1_TAKES * effect * lostFan : 0)
                - (group2 ? GROUP_2_TAKES * effect : 0)
                + 0.30 * now.ramp("radiators-dirty", cooling, at, 10 * 24 * 60 * MINUTE);
        if (!pumpRuns(at)) {
            return factor * 1.5;
        }
        if (now.on("pump-valve-shut", cooling, at)) {
            return factor * 1.15;
        }
        return now.on("pump-reversed", cooling, at) ? factor * 1.1 : factor;
    }

    private double gradientFactor(Faults now, long at) {
        if (!pumpRuns(at)) {
            return 1.5;
        }
        if (now.on("pump-valve-shut", cooling, at)) {
            return 1.4;
        }
        return now.on("pump-reversed", cooling, at) ? 1.25 : 1;
    }

    private static double between(long at, double here, double next) {
        double into = Math.floorMod(at, MINUTE) / (double) MINUTE;
        return here * (1 - into) + next * into;
    }

    /** The minute that {@code at} lies in; times before the warm-up are its beginning. */
    private Minute minute(long at) {
        Faults now = faults.get();
        if (now != computedFor) {
            steps.clear();
            computedFor = now;
        }
        int wanted = (int) Math.max(0, Math.floorDiv(at, MINUTE) + WARM_UP_MINUTES);
        while (steps.size() <= wanted) {
            steps.add(steps.isEmpty() ? start(now) : next(now, steps.get(steps.size() - 1), steps.size()));
        }
        return steps.get(wanted);
    }

    private Minute start(Faults now) {
        long at = -WARM_UP_MINUTES * MINUTE;
        double oilTemperature = ambient(at) + steadyRise(now, true, false, at);
        return new Minute(oilTemperature, steadyGradient(now, at), 0, 0, 0, wantedTap(at), true, false);
    }

    private Minute next(Faults now, Minute last, int number) {
        long at = (number - WARM_UP_MINUTES) * MINUTE;
        boolean group1 = fansWanted(1, last) && fansMay(now, 1, at);
        boolean group2 = fansWanted(2, last) && fansMay(now, 2, at);
        double rise = last.oil - ambient(at);
        double oilTemperature = last.oil + (steadyRise(now, group1, group2, at) - rise) / OIL_MINUTES;
        double gradient = last.gradient + (steadyGradient(now, at) - last.gradient) / WINDING_MINUTES;
        double stray = oilTemperature > STRAY_GASSING_ABOVE ? now.strength("stray-gassing", id, at) / 60 : 0;
        int wanted = wantedTap(at);
        boolean step = wanted != last.position && tapMay(now, at) && roomForStep(at, last.position);
        int position = step ? last.position + Integer.signum(wanted - last.position) : last.position;
        return new Minute(
                oilTemperature,
                gradient,
                last.strayHours + stray,
                last.fanHours + (group1 ? 1 / 60.0 : 0),
                last.operations + (step ? 1 : 0),
                position,
                group1,
                group2);
    }

    private static boolean fansWanted(int group, Minute last) {
        return last.oil >= (last.runs(group) ? STOP_BELOW : START_ABOVE)[group - 1];
    }

    private double steadyRise(Faults now, boolean group1, boolean group2, long at) {
        double load = load(at);
        double losses = (1 + LOSS_RATIO * load * load) / (1 + LOSS_RATIO);
        return RATED_OIL_RISE_K * oilFactor(now, group1, group2, at) * StrictMath.pow(losses, OIL_EXPONENT);
    }

    private double steadyGradient(Faults now, long at) {
        return RATED_GRADIENT_K * gradientFactor(now, at) * StrictMath.pow(load(at), WINDING_EXPONENT);
    }

    private double tapAsked(long at) {
        double asked = 9 + 16 * (load(at) - 0.62) + 0.9 * voltage.smooth(at, 35 * MINUTE);
        return Math.max(LOWEST_TAP, Math.min(HIGHEST_TAP, asked));
    }

    private int wantedTap(long at) {
        return (int) Math.round(tapAsked(at));
    }

    /** The voltage regulator leaves a tap only when it is well outside its deadband. */
    private boolean roomForStep(long at, int position) {
        return Math.abs(tapAsked(at) - position) >= 0.9;
    }
}
