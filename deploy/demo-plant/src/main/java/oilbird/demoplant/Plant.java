package oilbird.demoplant;

import io.netty.channel.nio.NioEventLoopGroup;
import io.netty.util.concurrent.DefaultThreadFactory;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.SplittableRandom;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import oilbird.demoplant.device.BitForm;
import oilbird.demoplant.device.CoolingControl;
import oilbird.demoplant.device.GasMonitor;
import oilbird.demoplant.device.Monitor;
import oilbird.demoplant.wire.Behaviour;
import oilbird.demoplant.wire.Behaviour.Kind;
import oilbird.demoplant.wire.DeviceServer;
import oilbird.demoplant.wire.PortTaken;

/**
 * The plant: two transformers with a gas-in-oil monitor and a cooling control each, their Modbus TCP servers, and the
 * script of scenes.
 *
 * <p>Plant time moves only by {@link #tick()}. Safe for use by several threads.
 */
public final class Plant implements AutoCloseable {
    private static final int NO_SUCH_BIT_IN_THE_LIST = 12;

    private final GasMonitor gasT1;
    private final CoolingControl coolingT1;
    private final GasMonitor gasT2;
    private final CoolingControl coolingT2;
    private final NioEventLoopGroup eventLoop =
            new NioEventLoopGroup(1, new DefaultThreadFactory("plant-modbus", true));
    private final ExecutorService workers = Executors.newFixedThreadPool(2, new DefaultThreadFactory("plant", true));
    private final Map<String, DeviceServer> servers = new LinkedHashMap<>();
    private final Script script;
    private final Consumer<String> announcements;

    /** Whether and how the scenes are played. */
    public enum Scenes {
        /** From the start. */
        PLAYED,
        /** After {@link Plant#resumeScript()}. */
        HELD,
        /** Not at all. */
        NONE
    }

    private Plant(long seed, Scenes scenes, Consumer<String> announcements) {
        gasT1 = new GasMonitor("gas-t1", 11, "HBG8-DEMO-0001", 30, 1_412, 0, seed);
        coolingT1 = new CoolingControl("cooling-t1", 21, 720, 18_234, seed);
        gasT2 = new GasMonitor("gas-t2", 12, "HBG8-DEMO-0002", 25, 873, 5_000, seed);
        coolingT2 = new CoolingControl("cooling-t2", 22, 655, 17_960, seed);
        this.announcements = announcements;
        script = new Script(scenes == Scenes.NONE ? List.of() : scenes(), scenes == Scenes.HELD);
    }

    /**
     * Starts the servers; plant time stands at 0 until {@link #tick()}.
     *
     * @param ports port of each device by name; 0, or no entry, for any free one
     * @param seed seed of the noise
     * @param announcements takes one line for each scene and each behaviour changed
     */
    public static Plant start(Map<String, Integer> ports, long seed, Scenes scenes, Consumer<String> announcements)
            throws PortTaken {
        Plant plant = new Plant(seed, scenes, announcements);
        SplittableRandom random = new SplittableRandom(seed);
        try {
            for (Monitor monitor : List.of(plant.gasT1, plant.coolingT1, plant.gasT2, plant.coolingT2)) {
                int port = ports.getOrDefault(monitor.name(), 0);
                DeviceServer server = DeviceServer.start(monitor, port, plant.eventLoop, plant.workers, random.split());
                plant.servers.put(monitor.name(), server);
            }
        } catch (PortTaken taken) {
            plant.close();
            throw taken;
        }
        return plant;
    }

    /** Moves plant and script on by {@value Monitor#TICK_MILLIS} ms. */
    public synchronized void tick() {
        long at = script.seconds();
        for (Scene scene : script.tick()) {
            announce(at, scene.what());
        }
        servers.values().forEach(server -> server.monitor().tick());
    }

    /** The device's server, if there is such a device. */
    public Optional<DeviceServer> device(String name) {
        return Optional.ofNullable(servers.get(name));
    }

    /** The devices by name, in the station's order. */
    public Map<String, DeviceServer> devices() {
        return new LinkedHashMap<>(servers);
    }

    /** Stops script time; the devices go on. */
    public synchronized void pauseScript() {
        script.pause();
    }

    /** Lets script time go on. */
    public synchronized void resumeScript() {
        script.resume();
    }

    /** The plant in plain words, several lines. */
    public synchronized String describe() {
        StringBuilder text = new StringBuilder();
        text.append(String.format(
                Locale.ROOT,
                "script: %s at %d s, %d scenes to come%n",
                script.isPaused() ? "paused" : "running",
                script.seconds(),
                script.scenesLeft()));
        for (DeviceServer server : servers.values()) {
            describe(server, text);
        }
        return text.toString();
    }

    @Override
    public void close() {
        servers.values().forEach(DeviceServer::close);
        workers.shutdown();
        eventLoop.shutdownGracefully(0, 2, TimeUnit.SECONDS).awaitUninterruptibly();
    }

    private static void describe(DeviceServer server, StringBuilder text) {
        Monitor monitor = server.monitor();
        text.append(String.format(
                Locale.ROOT,
                "%s: port %d unit %d, %s%n",
                monitor.name(),
                server.port(),
                monitor.unit(),
                server.behaviour()));
        List<String> readings = new ArrayList<>();
        monitor.readings().forEach((name, form) -> {
            double value = monitor.value(name);
            readings.add(
                    Double.isNaN(value)
                            ? name + " (no value)"
                            : String.format(Locale.ROOT, "%s %.2f %s", name, value, form.unit()));
        });
        text.append("  readings: ").append(String.join(", ", readings)).append(System.lineSeparator());
        List<String> set = new ArrayList<>();
        for (BitForm bit : monitor.bits()) {
            if (monitor.isSet(bit)) {
                set.add(bit.name());
            }
        }
        text.append("  bits set: ").append(String.join(", ", set)).append(System.lineSeparator());
        if (!monitor.held().isEmpty()) {
            text.append("  held by command: ")
                    .append(String.join(", ", monitor.held()))
                    .append(System.lineSeparator());
        }
    }

    private List<Scene> scenes() {
        return List.of(
                new Scene(0, "everything is healthy", this::allHealthy),
                new Scene(
                        12,
                        "the cabinet fan of the gas monitor of transformer 1 stops; its heat sink will grow hot",
                        gasT1::stopFan),
                new Scene(
                        30,
                        "a fan-vibration bit of the cooling control of transformer 1 begins to flap",
                        () -> coolingT1.flapVibration(400, 20_000)),
                new Scene(
                        35,
                        "the gas monitor of transformer 2 sets a bit that is not in its maker's list",
                        () -> gasT2.hold(gasT2.bits().get(NO_SUCH_BIT_IN_THE_LIST), true)),
                new Scene(40, "oil stops flowing through the gas monitor of transformer 1", gasT1::loseOilFlow),
                new Scene(50, "the fan-vibration bit of transformer 1 settles", () -> {}),
                new Scene(
                        55,
                        "hydrogen really begins to rise in the oil of transformer 2",
                        () -> gasT2.riseHydrogen(180, 20, 30_000)),
                new Scene(
                        70,
                        "the cooling control of transformer 2 stops answering",
                        () -> behave("cooling-t2", new Behaviour(Kind.SILENT, 0))),
                new Scene(
                        95,
                        "the cooling control of transformer 2 answers again",
                        () -> behave("cooling-t2", Behaviour.NORMAL)),
                new Scene(100, "the cabinet fan of the gas monitor of transformer 1 runs again", gasT1::startFan),
                new Scene(104, "oil flows again through the gas monitor of transformer 1", gasT1::restoreOilFlow));
    }

    private void allHealthy() {
        for (DeviceServer server : servers.values()) {
            server.monitor().reset();
        }
    }

    private void behave(String device, Behaviour behaviour) {
        DeviceServer server = servers.get(device);
        try {
            if (server != null) {
                server.behave(behaviour);
            }
        } catch (PortTaken taken) {
            announce(script.seconds(), "could not let " + device + " answer again: " + taken.getMessage());
        }
    }

    private void announce(long seconds, String what) {
        announcements.accept(String.format(Locale.ROOT, "[plant %02d:%02d] %s", seconds / 60, seconds % 60, what));
    }
}
