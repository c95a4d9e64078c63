package oilbird.gateway.engine.simulation;

import java.time.Duration;
import java.util.List;
import java.util.SplittableRandom;
import java.util.function.Function;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;

/** One run: everything that happens in it follows from its seed. */
final class SeededRun {
    private static final Actor OPERATOR = new Actor("A. Operator (invented)", "page");

    private final SplittableRandom random;
    private final World world;

    /**
     * @param digest SHA-256 over everything announced and delivered.
     * @param steps places at which the power could have gone.
     */
    record Outcome(byte[] digest, long steps, int events, int excused, int starts) {}

    private SeededRun(long seed, Store store, PlantedFault fault) {
        this.random = new SplittableRandom(seed ^ 0x57494E444C4F57L);
        this.world = new World(seed, store, fault, settings());
    }

    static Outcome of(long seed) {
        return of(seed, Store.inMemory(), PlantedFault.NONE);
    }

    /**
     * @throws Violation if a promise was broken; it says how to repeat the run.
     */
    static Outcome of(long seed, Store store, PlantedFault fault) {
        SeededRun run = new SeededRun(seed, store, fault);
        try {
            return run.run();
        } catch (Violation | RuntimeException e) {
            e.addSuppressed(new Trace(seed, run.world));
            throw e;
        } finally {
            store.ended();
        }
    }

    /** Where a failed run stood, and how to repeat it. */
    private static final class Trace extends Exception {
        private static final long serialVersionUID = 1L;

        Trace(long seed, World world) {
            super(
                    "seed " + seed + " at commit " + Commit.ID + ", step " + world.steps() + ", "
                            + world.timeline().now() / Timeline.MILLI + " ms; repeat it with\n"
                            + "  ./mvnw -pl gateway/engine -am test -Dtest=SimulationTest"
                            + " -Dsurefire.failIfNoSpecifiedTests=false -Doilbird.seed=" + seed + "\nlast steps: "
                            + String.join(", ", world.lastSteps()),
                    null,
                    false,
                    false);
        }
    }

    private WriterSettings settings() {
        int inputs = random.nextBoolean() ? 8_192 : 4 + random.nextInt(40);
        return new WriterSettings(
                inputs,
                inputs + (random.nextBoolean() ? 65_536 : random.nextInt(100)),
                1 + random.nextInt(64),
                1 + random.nextInt(64),
                2 + random.nextInt(4),
                Duration.ofMillis(100),
                Duration.ofSeconds(5),
                random.nextBoolean() ? 50_000 : 5 + random.nextInt(50),
                Duration.ofSeconds(10),
                Duration.ofMinutes(1),
                Duration.ofSeconds(5),
                Duration.ofSeconds(1),
                Duration.ofMinutes(1));
    }

    private Outcome run() {
        Duration busy = Duration.ofSeconds(30 + random.nextInt(50));
        Chances chances = Chances.of(random);
        world.chances(chances);
        script(busy, chances);
        world.run(busy);

        world.chances(Chances.NONE);
        world.disk().full(false);
        world.rooms().forEach(room -> room.there(true));
        world.devices().forEach(device -> {
            world.silent(device.id(), false);
            device.settle();
            device.calibrate(false);
        });
        endMaintenance(8);
        // Longer than every delay of the rules, two analyses and a doubt that outlasts its indication by one.
        world.run(Duration.ofSeconds(140));
        // Shelving that ends by itself may have made an event just now: it is given time to arrive.
        for (int seen = -1; seen != world.observer().announcedEvents(); ) {
            seen = world.observer().announcedEvents();
            world.run(Duration.ofSeconds(5));
        }
        World.Gateway gateway = Windlow.known(world.gateway(), "running gateway");
        world.observer().afterQuiet(gateway.view(), world.scripted());
        return new Outcome(
                world.observer().digest(),
                world.steps(),
                world.observer().announcedEvents(),
                world.observer().excusedEvents(),
                world.starts());
    }

    private void script(Duration busy, Chances chances) {
        int changes = 5 + random.nextInt(100);
        for (int i = 0; i < changes; i++) {
            ScriptedDevice device =
                    world.devices().get(random.nextInt(world.devices().size()));
            at(busy, device::change);
        }
        if (random.nextInt(3) == 0) {
            riseInDoubt();
        }
        for (int i = random.nextInt(4); i > 0; i--) {
            String device =
                    world.devices().get(random.nextInt(world.devices().size())).id();
            between(busy, 20, () -> world.silent(device, true), () -> world.silent(device, false));
        }
        for (int i = random.nextInt(3); i > 0; i--) {
            Room room = world.rooms().get(random.nextInt(3));
            between(busy, 30, () -> room.there(false), () -> room.there(true));
        }
        for (int i = random.nextInt(3); i > 0; i--) {
            between(busy, 20, () -> world.disk().full(true), () -> world.disk().full(false));
        }
        if (random.nextInt(4) == 0) {
            at(busy, () -> world.stepWall(Duration.ofHours(random.nextBoolean() ? 1 : -1)));
        }
        if (random.nextInt(6) == 0) {
            world.wallUnset();
            at(busy, world::wallSet);
        }
        if (random.nextInt(6) == 0) {
            between(busy, 20, () -> world.synchronised(false), () -> world.synchronised(true));
        }
        for (int i = 0; i < chances.power(); i++) {
            at(busy, () -> world.powerGoesIn(1 + random.nextInt(80)));
        }
        for (int i = 0; i < chances.acts(); i++) {
            at(busy, this::act);
        }
        for (int i = 0; i < chances.maintenances(); i++) {
            maintain(busy);
        }
        for (int i = 0; i < chances.tests(); i++) {
            at(busy, this::testPoint);
        }
    }

    /** A device or a whole transformer is worked on; a gas monitor is given calibration gas once that is known. */
    private void maintain(Duration busy) {
        ScriptedDevice device =
                world.devices().get(random.nextInt(world.devices().size()));
        String of = random.nextInt(3) == 0
                ? Windlow.STATION
                        .model()
                        .facts()
                        .device(device.id())
                        .orElseThrow()
                        .asset()
                : device.id();
        Duration time = Duration.ofSeconds(random.nextInt(1, 120));
        long begin = (long) (busy.toNanos() * random.nextDouble());
        long takes = random.nextInt(1_000, 60_000) * Timeline.MILLI;
        world.timeline()
                .in(
                        begin,
                        () -> asked(
                                now -> new StationInput.BeginMaintenance(
                                        of, OPERATOR, "calibration", "permit 8 (invented)", time, now),
                                () -> device.calibrate(true)));
        world.timeline().in(begin + takes / 2, () -> device.calibrate(false));
        world.timeline()
                .in(
                        begin + takes,
                        () -> asked(now -> new StationInput.EndMaintenance(of, OPERATOR, "calibrated", now), () -> {}));
    }

    private void asked(Function<Moment, StationInput.Asked> act, Runnable then) {
        World.Gateway gateway = world.gateway();
        if (gateway != null) {
            gateway.act(act.apply(gateway.clock.now()), then);
        }
    }

    /** An outgoing point is forced, or a test is ended early. */
    private void testPoint() {
        List<RuleInstance> rules = Windlow.STATION.model().rules();
        AlarmId alarm = rules.get(random.nextInt(rules.size())).id();
        SignalId reading = new SignalId(random.nextBoolean() ? "gas-t1" : "gas-t2", "hydrogen");
        Duration time = Duration.ofSeconds(random.nextInt(1, 60));
        boolean active = random.nextBoolean();
        int which = random.nextInt(6);
        asked(
                now -> switch (which) {
                    case 0, 1, 2 -> new StationInput.TestAlarm(alarm, active, OPERATOR, time, now);
                    case 3, 4 -> new StationInput.TestReading(reading, Observer.FORCED, OPERATOR, time, now);
                    default -> new StationInput.EndReadingTest(reading, OPERATOR, now);
                },
                () -> {});
    }

    /** Whoever still works ends it; said again, since an act may be lost with the power. */
    private void endMaintenance(int times) {
        World.Gateway gateway = world.gateway();
        if (gateway != null) {
            gateway.view()
                    .standing()
                    .maintenance()
                    .forEach(each ->
                            asked(now -> new StationInput.EndMaintenance(each.of(), OPERATOR, "ready", now), () -> {}));
        }
        if (times > 1) {
            world.timeline().in(4 * Timeline.SECOND, () -> endMaintenance(times - 1));
        }
    }

    /** Hydrogen rises, somebody begins to work on the monitor, and the reading falls while nobody can trust it. */
    private void riseInDoubt() {
        ScriptedDevice monitor = world.device(random.nextBoolean() ? "gas-t1" : "gas-t2");
        world.timeline().in(0, () -> monitor.setHydrogen(1_200));
        world.timeline().in(20 * Timeline.SECOND, () -> monitor.setServiceMode(true));
        world.timeline().in(25 * Timeline.SECOND, () -> monitor.setHydrogen(20));
    }

    private void at(Duration busy, Runnable what) {
        world.timeline().in((long) (busy.toNanos() * random.nextDouble()), what);
    }

    private void between(Duration busy, int longestSeconds, Runnable from, Runnable to) {
        long begin = (long) (busy.toNanos() * random.nextDouble());
        world.timeline().in(begin, from);
        world.timeline().in(begin + random.nextInt(1, longestSeconds * 1_000) * Timeline.MILLI, to);
    }

    private void act() {
        World.Gateway gateway = world.gateway();
        if (gateway == null) {
            return;
        }
        List<RuleInstance> rules = Windlow.STATION.model().rules();
        AlarmId alarm = rules.get(random.nextInt(rules.size())).id();
        Moment now = gateway.clock.now();
        Duration time = Duration.ofSeconds(random.nextInt(1, 120));
        AlarmInput.Act act = switch (random.nextInt(16)) {
            case 0, 1, 2 -> new AlarmInput.Acknowledge(OPERATOR, "seen", null, now);
            case 3 -> new AlarmInput.Reset(OPERATOR, "", now);
            case 4, 5 -> new AlarmInput.ShelveTimed(OPERATOR, "known", time, now);
            case 6 -> new AlarmInput.ShelveOneShot(OPERATOR, "known", now);
            case 7 -> new AlarmInput.Unshelve(OPERATOR, "", now);
            case 8 -> new AlarmInput.RemoveFromService(OPERATOR, "repair", "permit 7 (invented)", time, now);
            case 9 -> new AlarmInput.PlaceInService(OPERATOR, "repaired", now);
            case 10 ->
                random.nextInt(4) == 0
                        ? new AlarmInput.Disable(OPERATOR, "not wanted", now)
                        : new AlarmInput.Enable(OPERATOR, "wanted again", now);
            case 11, 12 -> new AlarmInput.Confirm(OPERATOR, "done", null, now);
            case 13 -> new AlarmInput.Suppress(OPERATOR, "load test", now);
            case 14 -> new AlarmInput.Unsuppress(OPERATOR, "load test over", now);
            default -> new AlarmInput.Comment(OPERATOR, "looked at", null, now);
        };
        gateway.act(new StationInput.Act(alarm, act));
    }
}
