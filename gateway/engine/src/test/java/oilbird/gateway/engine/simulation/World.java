package oilbird.gateway.engine.simulation;

import java.time.Duration;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import oilbird.alarm.station.Past;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationModel;
import oilbird.alarm.station.StationStep;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.clock.SystemGatewayClock;
import oilbird.gateway.engine.clock.WallTrust;
import oilbird.gateway.engine.outbox.LinkFilter;
import oilbird.gateway.engine.outbox.LinkRunner;
import oilbird.gateway.engine.outbox.Outbox;
import oilbird.gateway.engine.outbox.SteppedLink;
import oilbird.gateway.engine.record.Recovered;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.gateway.engine.writer.GatewayIndication;
import oilbird.gateway.engine.writer.SteppedWriter;
import oilbird.gateway.engine.writer.WriterSettings;
import oilbird.gateway.station.PolledDevice;
import oilbird.mapping.address.RawBlock;
import oilbird.mapping.address.ReadBlock;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/**
 * A station, its monitors, the network, a disk, three control rooms and the gateway's own code between them, in one thread on
 * a clock that moves only when the simulation says so.
 *
 * <p>What is real: read plan, decoder, input queue, writer, fold, rules, clock, outbox, link runner, codecs. What is
 * simulated: sockets, threads, the disk's surface, time.
 */
final class World {
    /** The middle of the morning of an invented day. */
    private static final long WALL = 1_795_600_000_000L;

    private static final int REMEMBERED_STEPS = 40;

    private final SplittableRandom random;
    private final SplittableRandom network;
    private final Store store;
    private final PlantedFault fault;
    private final Timeline timeline = new Timeline();
    private final FakeDisk disk;
    private final Observer observer;
    private final Map<String, ScriptedDevice> devices = new LinkedHashMap<>();
    private final List<Room> rooms;
    private final Map<String, Boolean> silent = new LinkedHashMap<>();
    private final ArrayDeque<String> lastSteps = new ArrayDeque<>();
    private final WriterSettings settings;
    private final StationModel model;
    private Chances chances = Chances.NONE;

    private long wallOffset;
    private boolean synchronised = true;
    private long incarnation;
    private int generation;
    private long steps;
    private int starts;
    private long powerGoesAtStep = Long.MAX_VALUE;
    private boolean turning;
    private long writerFreeAt;
    private @Nullable Gateway gateway;
    private @Nullable List<StationInput> tape;

    World(long seed, Store store, PlantedFault fault, WriterSettings settings) {
        this(seed, store, fault, settings, Windlow.STATION.model());
    }

    /**
     * @param model the station with other rules.
     */
    World(long seed, Store store, PlantedFault fault, WriterSettings settings, StationModel model) {
        this.model = model;
        SplittableRandom root = new SplittableRandom(seed);
        this.random = root.split();
        this.network = root.split();
        this.store = store;
        this.fault = fault;
        this.settings = settings;
        this.observer = new Observer(store);
        this.disk = new FakeDisk(store, this, root.split());
        this.rooms = List.of(
                new Room("control-room", true, null, this, root.split()),
                new Room("region", false, null, this, root.split()),
                new Room("desk", false, Observer.ONLY_T1, this, root.split()));
        rooms.forEach(room -> observer.room(room.id(), room.only() != null));
        for (PolledDevice device : Windlow.STATION.station().devices()) {
            boolean gas = device.map().name().equals("hbg-8");
            ScriptedDevice scripted = new ScriptedDevice(device.id(), gas, root.split());
            devices.put(device.id(), scripted);
            if (gas) {
                analyse(scripted);
            }
        }
    }

    private void analyse(ScriptedDevice device) {
        timeline.in(15 * Timeline.SECOND, () -> {
            device.analyse();
            analyse(device);
        });
    }

    Timeline timeline() {
        return timeline;
    }

    Observer observer() {
        return observer;
    }

    PlantedFault fault() {
        return fault;
    }

    Chances chances() {
        return chances;
    }

    FakeDisk disk() {
        return disk;
    }

    ScriptedDevice device(String id) {
        return Windlow.known(devices.get(id), id);
    }

    List<ScriptedDevice> devices() {
        return List.copyOf(devices.values());
    }

    Map<String, ScriptedDevice> scripted() {
        return devices;
    }

    /** Everything that the fold is given from now on, in order, is noted there. */
    void record(List<StationInput> onto) {
        tape = onto;
    }

    List<Room> rooms() {
        return rooms;
    }

    long steps() {
        return steps;
    }

    int starts() {
        return starts;
    }

    /** The running gateway, or null while it is down. */
    @Nullable
    Gateway gateway() {
        return gateway;
    }

    List<String> lastSteps() {
        return List.copyOf(lastSteps);
    }

    // ---- the surroundings

    void chances(Chances now) {
        chances = now;
    }

    void silent(String device, boolean now) {
        silent.put(device, now);
    }

    /** Sets the wall clock of the box forward or back. */
    void stepWall(Duration by) {
        wallOffset += by.toMillis();
    }

    /** As a box without a battery that boots without a time server. */
    void wallUnset() {
        wallOffset = -WALL - timeline.now() / Timeline.MILLI;
    }

    void wallSet() {
        wallOffset = 0;
    }

    void synchronised(boolean now) {
        synchronised = now;
    }

    private long wall() {
        return WALL + timeline.now() / Timeline.MILLI + wallOffset;
    }

    /** The power goes after this many further steps. */
    void powerGoesIn(int furtherSteps) {
        powerGoesAtStep = steps + furtherSteps;
    }

    /** Every place where the power may go calls this; the chain is never more than one call away from its end. */
    void step(String where) {
        steps++;
        if (lastSteps.size() == REMEMBERED_STEPS) {
            lastSteps.removeFirst();
        }
        lastSteps.addLast(where);
        if (steps >= powerGoesAtStep) {
            powerGoesAtStep = Long.MAX_VALUE;
            throw new PowerLost(where);
        }
    }

    // ---- time

    /** Lets the simulation run for so long. */
    void run(Duration time) {
        long end = timeline.now() + time.toNanos();
        boolean more = true;
        while (more) {
            try {
                if (gateway == null) {
                    gateway = boot();
                }
                more = timeline.next(end);
                visit();
            } catch (PowerLost lost) {
                down();
            }
            observer.check();
        }
    }

    /** Time that passes while the writer waits for the disk: everything else goes on. */
    void elapse(long nanos) {
        long end = timeline.now() + nanos;
        while (timeline.next(end)) {
            Gateway running = gateway;
            if (running != null) {
                running.stepLinks();
            }
        }
    }

    private void visit() {
        Gateway running = gateway;
        if (running == null || turning) {
            return;
        }
        if (timeline.now() >= writerFreeAt) {
            turning = true;
            try {
                running.writer.turn();
            } finally {
                turning = false;
            }
            if (random.nextDouble() < chances.slowWriter()) {
                writerFreeAt = timeline.now() + random.nextInt(500) * Timeline.MILLI;
            }
        }
        running.stepLinks();
    }

    private void down() {
        gateway = null;
        generation++;
        store.ended();
        disk.powerLost();
        rooms.forEach(Room::breakConnection);
        long end = timeline.now() + (100 + random.nextInt(20_000)) * Timeline.MILLI;
        while (timeline.next(end)) {
            observer.check();
        }
    }

    // ---- the gateway

    private Gateway boot() {
        starts++;
        SystemGatewayClock clock =
                new SystemGatewayClock(1, WallTrust.ordinary().when(() -> synchronised), timeline::now, this::wall);
        Recovered recovered = store.open(clock.now());
        observer.booted(recovered);
        // Where nothing is left of a maintenance, the person in front of the monitor sees that and stops.
        devices.values().stream()
                .filter(device -> observer.maintenanceOf(device.id()).isEmpty())
                .forEach(device -> device.calibrate(false));
        if (fault != PlantedFault.INCARNATION_NOT_RAISED || incarnation == 0) {
            incarnation = Math.max(incarnation, recovered.incarnation()) + 1;
        }
        step("after the incarnation was raised");
        return new Gateway(recovered, clock);
    }

    /** One life of the gateway, put together as its engine does. */
    final class Gateway {
        final SystemGatewayClock clock;
        final SteppedWriter writer;
        private final StationFold fold;
        private final List<SteppedLink> links = new ArrayList<>();
        private final Map<String, StationInput.Observed> lastAnswers = new LinkedHashMap<>();
        private final int life = generation;
        private long wakeAt;

        Gateway(Recovered recovered, SystemGatewayClock clock) {
            this.clock = clock;
            Past past = recovered.past();
            if (fault == PlantedFault.OCCURRENCE_FORGOTTEN_AT_START) {
                past = new Past(
                        past.states().stream()
                                .map(PlantedDamage::forgetOccurrence)
                                .toList(),
                        past.standing(),
                        past.remembered(),
                        past.recent(),
                        past.savedAt());
            }
            fold = StationFold.start(model, past, Windlow.STATION.gateway(), incarnation, clock.now());
            Outbox outbox = new Outbox(disk, recovered.nextPosition() - 1, recovered.links(), 500);
            writer = new SteppedWriter(
                    new TappedFold(),
                    disk,
                    outbox,
                    recovered.nextPosition(),
                    EnumSet.noneOf(GatewayIndication.class),
                    clock,
                    settings);
            writer.writer().onCommitted(events -> {
                observer.announced(events);
                step("after an announcement");
            });
            LinkRunner.Settings pace = new LinkRunner.Settings(
                    16, Duration.ofSeconds(3), Duration.ofMillis(200), Duration.ofSeconds(10), Duration.ofSeconds(1));
            rooms.forEach(room -> links.add(new SteppedLink(room, outbox, clock, pace, load(room), timeline::now)));
            for (PolledDevice device : Windlow.STATION.station().devices()) {
                for (ReadBlock block : device.map().readPlan()) {
                    timeline.in(network.nextInt(200) * Timeline.MILLI, () -> ask(device, block));
                }
            }
        }

        /** Few events make a backlog here, so that fresh ones often go ahead of one. */
        private LinkRunner.Load load(Room room) {
            LinkFilter only =
                    room.only() == null || fault == PlantedFault.FILTER_PASSED_OVER ? LinkFilter.NONE : room.only();
            return new LinkRunner.Load(
                    only,
                    alarm -> fold.view().alarms().get(alarm) == null
                            ? null
                            : fold.view().alarms().get(alarm).rule(),
                    0,
                    4);
        }

        void stepLinks() {
            for (SteppedLink link : links) {
                for (int i = 0; i < 8 && link.step() == 0; i++) {
                    step("between two steps of a link");
                }
            }
        }

        StationView view() {
            return fold.view();
        }

        void offer(StationInput input) {
            writer.writer().inputs().offer(input);
        }

        void act(StationInput.Asked act) {
            act(act, () -> {});
        }

        /**
         * @param then what follows once the person was told that it is done.
         */
        void act(StationInput.Asked act, Runnable then) {
            var unused = writer.writer().act(act).thenAccept(result -> {
                observer.answered(result);
                if (result instanceof ActResult.Done && alive()) {
                    then.run();
                }
            });
        }

        // ---- polling

        private boolean alive() {
            return gateway == this && life == generation;
        }

        private void ask(PolledDevice device, ReadBlock block) {
            if (!alive()) {
                return;
            }
            timeline.in(device.period(block).toNanos(), () -> ask(device, block));
            long deadline = device.endpoint().deadline().toNanos();
            double dice = network.nextDouble();
            if (silent.getOrDefault(device.id(), false) || (dice -= chances.lost() + chances.late()) < 0) {
                timeline.in(deadline, () -> fail(device, block, QualityReason.UNREACHABLE, "no answer in time"));
                return;
            }
            long there = (2 + network.nextInt(20)) * Timeline.MILLI;
            if (network.nextInt(20) == 0) {
                there = Math.min(deadline, network.nextInt(900) * Timeline.MILLI);
            }
            if ((dice -= chances.refused()) < 0) {
                timeline.in(there, () -> fail(device, block, QualityReason.REFUSED_BY_DEVICE, "exception 06"));
            } else if (dice - chances.garbled() < 0) {
                timeline.in(there, () -> fail(device, block, QualityReason.INVALID_ANSWER, "wrong unit id"));
            } else {
                RawBlock answer =
                        Windlow.known(devices.get(device.id()), device.id()).answer(block);
                timeline.in(there, () -> answered(device, answer));
            }
        }

        private void fail(PolledDevice device, ReadBlock block, QualityReason reason, String detail) {
            if (alive()) {
                deliver(new StationInput.RequestFailed(device.id(), block.name(), reason, detail, clock.now()));
            }
        }

        private void answered(PolledDevice device, RawBlock answer) {
            if (!alive()) {
                return;
            }
            Moment at = clock.now();
            if (network.nextDouble() < chances.future()) {
                at = at.plusNanos(network.nextInt(3_600) * Timeline.SECOND);
            }
            deliver(new StationInput.Observed(
                    Windlow.STATION.decoder(device.id()).decode(device.id(), answer, at)));
        }

        private void deliver(StationInput input) {
            if (network.nextDouble() < chances.reordered()) {
                timeline.in(network.nextInt(3_000) * Timeline.MILLI, () -> offerIfAlive(input));
            } else {
                offer(input);
            }
            if (network.nextDouble() < chances.twice()) {
                long later = network.nextBoolean() ? 0 : network.nextInt(3_000) * Timeline.MILLI;
                timeline.in(later, () -> offerIfAlive(input));
            }
        }

        private void offerIfAlive(StationInput input) {
            if (alive()) {
                offer(input);
            }
        }

        /** The real fold, watched, and spoilt where a test plants a fault. */
        private final class TappedFold implements SteppedWriter.Brain {
            @Override
            public StationStep opening() {
                step("before the start is folded");
                StationStep opening = fold.opening();
                observer.folded(null, opening, false);
                wakeAt = opening.wakeAt();
                return opening;
            }

            @Override
            public StationStep apply(StationInput input) {
                step("before an input is folded");
                boolean timersDue = wakeAt <= input.at().monotonicNanos();
                StationInput given = PlantedDamage.before(fault, input, lastAnswers);
                List<StationInput> noted = tape;
                if (noted != null) {
                    noted.add(given);
                }
                StationStep made;
                try {
                    made = fold.apply(given);
                    if (fault == PlantedFault.FOLD_THROWS && steps % 1_000 == 0) {
                        throw new IllegalStateException("planted");
                    }
                } catch (RuntimeException e) {
                    observer.violated(Violation.Promise.THE_FOLD_NEVER_THROWS, e + " on " + input);
                    throw e;
                }
                StationStep seen = PlantedDamage.inside(fault, made);
                observer.folded(input, seen, timersDue);
                wakeAt = seen.wakeAt();
                return PlantedDamage.after(fault, seen);
            }

            @Override
            public StationView view() {
                return fold.view();
            }

            @Override
            public List<Remembered> remembered() {
                return fold.remembered();
            }
        }
    }
}
