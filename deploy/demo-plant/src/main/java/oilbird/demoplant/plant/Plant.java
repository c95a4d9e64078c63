package oilbird.demoplant.plant;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.demoplant.course.Answering;
import oilbird.demoplant.course.Course;
import oilbird.demoplant.course.FaultCatalogue;
import oilbird.demoplant.course.Faults;
import oilbird.demoplant.course.Injection;
import oilbird.demoplant.course.PlayableFault;
import oilbird.demoplant.course.PlayableFault.Befalls;
import oilbird.demoplant.course.Transformer;
import oilbird.demoplant.course.Weather;
import oilbird.demoplant.device.BushingMonitor;
import oilbird.demoplant.device.CoolingControl;
import oilbird.demoplant.device.GasMonitor;
import oilbird.demoplant.device.MoistureProbe;
import oilbird.demoplant.device.Monitor;
import oilbird.demoplant.device.TapChangerMonitor;

/**
 * The invented plant of Windlow: three transformers, nine monitors, and the faults that are played.
 *
 * <p>What a monitor shows is a function of the seed, the faults injected and the plant time asked for: any time may be
 * asked for, in any order, as often as wanted. Plant time 0 is six in the morning. Faults may be injected at any moment,
 * also for times already asked for. Safe for use by several threads.
 */
public final class Plant {
    /** Wall time of plant time 0 where nothing else is said: six in the morning of an invented day. */
    public static final Instant INVENTED_MORNING = Instant.parse("2026-10-05T06:00:00Z");

    private final Course course;
    private final Map<String, Monitor> monitors = new LinkedHashMap<>();
    private final Map<String, Befalls> targets = new LinkedHashMap<>();

    private Plant(long seed, Instant start) {
        Map<String, List<String>> shared = new LinkedHashMap<>();
        shared.put("aux-t1", List.of("gas-t1", "cooling-t1", "moisture-t1"));
        shared.put("switch-t2", List.of("gas-t2", "cooling-t2", "bushing-t2"));
        shared.put("gateway-t3", List.of("gas-t3", "cooling-t3", "tap-t3"));
        shared.put("line-t3", List.of("cooling-t3", "tap-t3"));
        shared.put("board-b", List.of("cooling-t2", "gas-t3", "tap-t3"));
        course = new Course(seed, start.toEpochMilli(), shared);
        Transformer t1 = course.transformer("t1", 1_000, 30, 12);
        Transformer t2 = course.transformer("t2", 950, 25, 10);
        Transformer t3 = course.transformer("t3", 1_050, 22, 14);
        add(Befalls.GAS_MONITOR, new GasMonitor("gas-t1", 11, "HBG8-DEMO-0001", 1_412, 40, t1, course));
        add(Befalls.COOLING_CONTROL, new CoolingControl("cooling-t1", 21, 18_234, t1, course));
        add(Befalls.MOISTURE_PROBE, new MoistureProbe("moisture-t1", "SWT2-DEMO-0001", t1, course));
        add(Befalls.GAS_MONITOR, new GasMonitor("gas-t2", 12, "HBG8-DEMO-0002", 873, 15, t2, course));
        add(Befalls.COOLING_CONTROL, new CoolingControl("cooling-t2", 22, 17_960, t2, course));
        add(Befalls.BUSHING_MONITOR, new BushingMonitor("bushing-t2", "RVB3-DEMO-0001", t2, course));
        add(Befalls.GAS_MONITOR, new GasMonitor("gas-t3", 13, "HBG8-DEMO-0003", 2_057, 55, t3, course));
        add(Befalls.COOLING_CONTROL, new CoolingControl("cooling-t3", 23, 9_411, t3, course));
        add(Befalls.TAP_CHANGER_MONITOR, new TapChangerMonitor("tap-t3", 33, "CWT5-DEMO-0001", t3, course));
        course.transformers().keySet().forEach(asset -> targets.put(asset, Befalls.TRANSFORMER));
        shared.keySet().forEach(id -> targets.put(id, Befalls.SHARED));
        targets.put(Weather.TARGET, Befalls.WEATHER);
    }

    /** The healthy plant. */
    public static Plant windlow(long seed) {
        return new Plant(seed, INVENTED_MORNING);
    }

    /** @param start wall time of plant time 0, six in the morning */
    public static Plant windlow(long seed, Instant start) {
        return new Plant(seed, start);
    }

    private void add(Befalls kind, Monitor monitor) {
        monitors.put(monitor.name(), monitor);
        targets.put(monitor.name(), kind);
    }

    /** Wall time of plant time 0. */
    public Instant start() {
        return Instant.ofEpochMilli(course.startMillis());
    }

    /** The monitors by name, in the station's order. */
    public Map<String, Monitor> monitors() {
        return new LinkedHashMap<>(monitors);
    }

    /** The devices of each shared supply, switch and line by its id. */
    public Map<String, List<String>> shared() {
        return course.shared();
    }

    /** The transformer's own state, which no gateway sees: to compare what is measured with what is. */
    public Transformer transformer(String asset) {
        Transformer transformer = course.transformers().get(asset);
        if (transformer == null) {
            throw new IllegalArgumentException("no transformer " + asset + "; there are "
                    + course.transformers().keySet());
        }
        return transformer;
    }

    /** What can befall a target, in the catalogue's order. */
    public List<PlayableFault> playableAt(String target) {
        Befalls befalls = kind(target);
        List<PlayableFault> playable = new ArrayList<>();
        for (PlayableFault fault : FaultCatalogue.all()) {
            if (fault.befalls() == befalls || fault.befalls() == Befalls.ANY_DEVICE && monitors.containsKey(target)) {
                playable.add(fault);
            }
        }
        return playable;
    }

    /** Every target of faults, in order. */
    public List<String> targets() {
        return List.copyOf(targets.keySet());
    }

    /** From {@code from} on. @throws IllegalArgumentException if no such fault can befall the target */
    public Plant inject(String fault, String target, Duration from) {
        return inject(new Injection(fault, target, from, null, 1));
    }

    /** @throws IllegalArgumentException if no such fault can befall the target */
    public Plant inject(String fault, String target, Duration from, Duration until) {
        return inject(new Injection(fault, target, from, until, 1));
    }

    /** @throws IllegalArgumentException if no such fault can befall the target */
    public synchronized Plant inject(Injection injection) {
        if (playableAt(injection.target()).stream()
                .noneMatch(fault -> fault.name().equals(injection.fault()))) {
            throw new IllegalArgumentException("no fault " + injection.fault() + " can befall " + injection.target()
                    + "; there are "
                    + playableAt(injection.target()).stream()
                            .map(PlayableFault::name)
                            .toList());
        }
        course.play(course.faults().with(injection));
        return this;
    }

    /** Ends at {@code at} what is then on of this fault at this target; true if anything was. */
    public synchronized boolean end(String fault, String target, Duration at) {
        List<Injection> next = new ArrayList<>();
        boolean ended = false;
        for (Injection injection : course.faults().injections()) {
            boolean on = injection.fault().equals(fault)
                    && injection.target().equals(target)
                    && injection.from().compareTo(at) < 0
                    && (injection.until() == null || injection.until().compareTo(at) > 0);
            ended |= on;
            next.add(on ? new Injection(fault, target, injection.from(), at, injection.strength()) : injection);
        }
        course.play(new Faults(next));
        return ended;
    }

    public List<Injection> injections() {
        return course.faults().injections();
    }

    /** What a gateway would find at a device at a plant time. */
    public MonitorState at(String device, Duration time) {
        Monitor monitor = monitors.get(device);
        if (monitor == null) {
            throw new IllegalArgumentException("no device " + device + "; there are " + monitors.keySet());
        }
        long at = time.toMillis();
        return new MonitorState(
                course.answering(device, at), monitor.nameplate(at), monitor.image(at), monitor.nodes(at));
    }

    /** Whether and how a device answers. @param at plant time, milliseconds */
    public Answering answering(String device, long at) {
        return course.answering(device, at);
    }

    private Befalls kind(String target) {
        Befalls kind = targets.get(target);
        if (kind == null) {
            throw new IllegalArgumentException("nothing can befall " + target + "; there are " + targets.keySet());
        }
        return kind;
    }
}
