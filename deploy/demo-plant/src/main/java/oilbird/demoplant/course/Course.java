package oilbird.demoplant.course;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;

/**
 * Everything that the monitors of one plant have in common: the faults played, the weather, the transformers, and which
 * devices hang on which supply, switch and line.
 *
 * <p>Only the faults can be changed, all at once, by one reference. Safe for use by several threads.
 */
public final class Course {
    private static final long MINUTE = 60_000;
    private static final long SILENT_AT_RESTART = 2 * MINUTE;
    private static final long SILENT_AT_UPDATE = 4 * MINUTE;

    private final long seed;
    private final long startMillis;
    private final Map<String, List<String>> shared;
    private final Weather weather;
    private final Map<String, Transformer> transformers = new LinkedHashMap<>();
    private volatile Faults faults = Faults.NONE;

    /**
     * @param startMillis wall time of plant time 0, milliseconds since 1970-01-01 UTC
     * @param shared devices of each shared supply, switch and line by its id
     */
    public Course(long seed, long startMillis, Map<String, List<String>> shared) {
        this.seed = seed;
        this.startMillis = startMillis;
        this.shared = new LinkedHashMap<>(shared);
        this.weather = new Weather(seed);
    }

    /** Puts a transformer there; see {@link Transformer}. */
    public Transformer transformer(String id, double ratedAmpere, double healthyHydrogen, double water) {
        Transformer transformer = new Transformer(id, ratedAmpere, healthyHydrogen, water, weather, this::faults, seed);
        transformers.put(id, transformer);
        return transformer;
    }

    public Map<String, Transformer> transformers() {
        return new LinkedHashMap<>(transformers);
    }

    public Map<String, List<String>> shared() {
        return new LinkedHashMap<>(shared);
    }

    public long seed() {
        return seed;
    }

    public Weather weather() {
        return weather;
    }

    /** Wall time of plant time 0, milliseconds since 1970-01-01 UTC. */
    public long startMillis() {
        return startMillis;
    }

    public Faults faults() {
        return faults;
    }

    public void play(Faults next) {
        faults = next;
    }

    /** Whether and how a device answers. */
    public Answering answering(String device, long at) {
        Faults now = faults;
        if (now.on("communication-lost", device, at)
                || isOn("network-switch-down", device, at)
                || !isPowered(device, at)
                || within(now, "restarted", device, at, SILENT_AT_RESTART)
                || within(now, "firmware-moved-registers", device, at, SILENT_AT_UPDATE)
                || now.on("duplicate-unit-id", device, at) && Math.floorMod(at / MINUTE, 2) == 1) {
            return Answering.SILENT;
        }
        if (isOn("modbus-gateway-down", device, at)) {
            return Answering.REFUSES;
        }
        return isOn("serial-line-broken", device, at) ? Answering.TARGET_FAILED : Answering.ANSWERS;
    }

    /** Whether the device's auxiliary supply is there. */
    public boolean isPowered(String device, long at) {
        return !isOn("auxiliary-supply-lost", device, at);
    }

    /** Milliseconds since the device last came up after its power or firmware was gone; -1 when it never was. */
    public long sinceStart(String device, long at) {
        Faults now = faults;
        long since = -1;
        since = latest(since, now.sinceBegin("restarted", device, at) - SILENT_AT_RESTART);
        since = latest(since, now.sinceBegin("firmware-moved-registers", device, at) - SILENT_AT_UPDATE);
        for (Map.Entry<String, List<String>> supply : shared.entrySet()) {
            if (supply.getValue().contains(device)) {
                since = latest(since, now.sinceEnd("auxiliary-supply-lost", supply.getKey(), at));
            }
        }
        return since;
    }

    /** Whether the device's supply is about to go: the last two minutes before it is lost. */
    public boolean supplySags(String device, long at) {
        return isPowered(device, at) && !isPowered(device, at + 2 * MINUTE);
    }

    private boolean isOn(String fault, String device, long at) {
        for (Map.Entry<String, List<String>> many : shared.entrySet()) {
            if (many.getValue().contains(device) && faults.on(fault, many.getKey(), at)) {
                return true;
            }
        }
        return false;
    }

    private static boolean within(Faults now, String fault, String device, long at, long millis) {
        long since = now.sinceBegin(fault, device, at);
        return since >= 0 && since < millis;
    }

    private static long latest(long since, long candidate) {
        if (candidate < 0) {
            return since;
        }
        return since < 0 ? candidate : Math.min(since, candidate);
    }
}
