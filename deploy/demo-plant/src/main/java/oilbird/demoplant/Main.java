package oilbird.demoplant;

import io.netty.util.concurrent.DefaultThreadFactory;
import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.Executors;
import java.util.concurrent.ScheduledExecutorService;
import java.util.concurrent.TimeUnit;
import oilbird.demoplant.day.Day;
import oilbird.demoplant.day.Playing;
import oilbird.demoplant.plant.Plant;
import oilbird.demoplant.room.Broker;
import oilbird.demoplant.room.ControlRoom;
import oilbird.demoplant.room.Operator;
import oilbird.demoplant.wire.FleetServer;
import oilbird.demoplant.wire.PortTaken;
import org.eclipse.paho.client.mqttv3.MqttException;

/**
 * Runs the demo plant as a process.
 *
 * <p>Exit status: 0 ended as told, 2 the command line is wrong, 3 a port is taken, 1 anything else.
 */
public final class Main {
    private static final int ENDED = 0;
    private static final int FAILED = 1;
    private static final int WRONG_USAGE = 2;
    private static final int PORT_TAKEN = 3;
    private static final long FOLLOW_EVERY_MILLIS = 50;

    private Main() {}

    public static void main(String[] arguments) throws InterruptedException {
        PrintStream out = new PrintStream(System.out, true, StandardCharsets.UTF_8);
        System.exit(run(List.of(arguments), out));
    }

    private static int run(List<String> arguments, PrintStream out) throws InterruptedException {
        try {
            if (arguments.contains("--help")) {
                out.print(Options.USAGE);
            } else if (!arguments.isEmpty() && arguments.get(0).equals("fleet")) {
                runFleet(arguments.subList(1, arguments.size()), out);
            } else {
                runPlant(Options.parse(arguments), out);
            }
            return ENDED;
        } catch (UsageException wrong) {
            System.err.println("demo plant: " + wrong.getMessage());
            System.err.print(Options.USAGE);
            return WRONG_USAGE;
        } catch (PortTaken taken) {
            System.err.println("demo plant: " + taken.getMessage());
            return PORT_TAKEN;
        } catch (MqttException failure) {
            System.err.println("demo plant: the reader of alarms cannot reach its own broker: " + failure.getMessage());
            return FAILED;
        }
    }

    private static void runPlant(Options options, PrintStream out)
            throws PortTaken, MqttException, InterruptedException {
        CountDownLatch end = new CountDownLatch(1);
        ScheduledExecutorService ticking =
                Executors.newSingleThreadScheduledExecutor(new DefaultThreadFactory("plant-time", true));
        Plant plant = Plant.windlow(options.seed(), options.shows());
        long origin = options.origin().map(Instant::toEpochMilli).orElseGet(System::currentTimeMillis);
        PlantClock clock = new PlantClock(origin, options.rate(), System::currentTimeMillis);
        Operator operator =
                new Operator(options.page(), Optional.ofNullable(System.getenv("OILBIRD_TOKEN")), out::println);
        Playing day = new Playing(
                options.day() == Options.PlayedDay.NONE ? List.of() : Day.scenes(),
                plant,
                out::println,
                request -> operator.post(request.path(), request.body(), request.who()));
        try (LivePlant live = LivePlant.start(plant, options.ports(), options.seed(), clock::millis)) {
            Commands commands = new Commands(live, () -> day.begin(Math.max(0, clock.millis())));
            try (CommandDoor door =
                    CommandDoor.open(options.ports().getOrDefault(Ports.HTTP, 0), commands, end::countDown)) {
                Map<String, Integer> chosen = new LinkedHashMap<>(live.ports());
                writeCertificates(options, live);
                if (options.controlRoom()) {
                    try (Broker broker = Broker.start(options.ports().getOrDefault(Ports.MQTT, 0));
                            ControlRoom room = ControlRoom.open(
                                    broker.port(),
                                    out::println,
                                    (alarm, sounds) -> day.heard(alarm, sounds, clock.millis()))) {
                        chosen.put(Ports.MQTT, broker.port());
                        run(options, live, day, clock, commands, chosen, door.port(), ticking, end, out);
                        conclude(room.tally(), day.verdict(), out);
                    }
                } else {
                    run(options, live, day, clock, commands, chosen, door.port(), ticking, end, out);
                }
            }
        } finally {
            ticking.shutdownNow();
        }
    }

    private static void writeCertificates(Options options, LivePlant live) {
        if (options.files().isEmpty()) {
            return;
        }
        Path folder = Path.of(options.files().get());
        try {
            Files.createDirectories(folder);
            for (Map.Entry<String, byte[]> certificate : live.certificates().entrySet()) {
                Files.write(folder.resolve(certificate.getKey() + ".der"), certificate.getValue());
            }
        } catch (IOException failure) {
            throw new UncheckedIOException("cannot write certificates to " + folder, failure);
        }
    }

    private static void run(
            Options options,
            LivePlant live,
            Playing day,
            PlantClock clock,
            Commands commands,
            Map<String, Integer> chosen,
            int doorPort,
            ScheduledExecutorService ticking,
            CountDownLatch end,
            PrintStream out)
            throws InterruptedException {
        chosen.put(Ports.HTTP, doorPort);
        out.println(Ports.line(chosen));
        if (options.day() == Options.PlayedDay.AT_ONCE) {
            day.begin(Math.max(0, clock.millis()));
        }
        ticking.scheduleWithFixedDelay(
                () -> follow(live, day, clock, out), 0, FOLLOW_EVERY_MILLIS, TimeUnit.MILLISECONDS);
        listenTo(commands, end::countDown, out);
        await(end, options.runFor());
        ticking.shutdown();
    }

    private static void follow(LivePlant live, Playing day, PlantClock clock, PrintStream out) {
        try {
            live.follow();
            boolean wasOver = day.isOver();
            day.tick(clock.millis());
            if (!wasOver && day.isOver()) {
                out.println("plant-day-over met=" + day.verdict().met() + " missed="
                        + day.verdict().missed());
            }
        } catch (PortTaken taken) {
            out.println("[plant] NOT AS EXPECTED: " + taken.getMessage());
        }
    }

    private static void conclude(ControlRoom.Tally tally, Playing.Verdict verdict, PrintStream out) {
        out.println("control room: " + tally.explained() + " alarms explained, " + tally.unexplained()
                + " alarms without a first check, " + tally.others() + " other events, " + tally.unreadable()
                + " unreadable messages");
        out.println("plant-summary explained=" + tally.explained() + " unexplained=" + tally.unexplained() + " others="
                + tally.others() + " unreadable=" + tally.unreadable() + " met=" + verdict.met() + " missed="
                + verdict.missed());
    }

    /** Reads commands until standard input ends, which ends nothing else: a service has no input. */
    private static void listenTo(Commands commands, Runnable quit, PrintStream out) {
        Thread reader = new Thread(
                () -> {
                    BufferedReader lines = new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8));
                    try {
                        for (String line = lines.readLine(); line != null; line = lines.readLine()) {
                            if (!line.isBlank()) {
                                Commands.Answer answer = commands.obey(line);
                                out.println((answer.done() ? "ok: " : "error: ") + answer.text());
                                if (answer.last()) {
                                    quit.run();
                                }
                            }
                        }
                    } catch (IOException failure) {
                        throw new UncheckedIOException("cannot read commands", failure);
                    }
                },
                "plant-commands");
        reader.setDaemon(true);
        reader.start();
    }

    private static void await(CountDownLatch end, Optional<Duration> runFor) throws InterruptedException {
        if (runFor.isPresent()) {
            // Either way it is over: the time is up, or someone said quit.
            boolean told = end.await(runFor.get().toMillis(), TimeUnit.MILLISECONDS);
            System.err.println(told ? "demo plant: told to quit" : "demo plant: the time is up");
        } else {
            end.await();
        }
    }

    private static void runFleet(List<String> arguments, PrintStream out)
            throws UsageException, PortTaken, InterruptedException {
        long devices = 1_000;
        int port = 0;
        long flipsPerSecond = 0;
        Optional<Duration> runFor = Optional.empty();
        Iterator<String> words = arguments.iterator();
        while (words.hasNext()) {
            String word = words.next();
            switch (word) {
                case "--devices" -> devices = Options.wholeNumber(word, Options.after(word, words));
                case "--port" -> port = Ports.port(Options.after(word, words));
                case "--for" -> runFor = Optional.of(Options.duration(Options.after(word, words)));
                case "--flips-per-second" -> flipsPerSecond = Options.wholeNumber(word, Options.after(word, words));
                default -> throw new UsageException("unknown option \"" + word + "\"");
            }
        }
        if (devices < 1 || devices > 100_000 || flipsPerSecond < 0 || flipsPerSecond > 1_000) {
            throw new UsageException("--devices takes 1 to 100000, --flips-per-second 0 to 1000");
        }
        ScheduledExecutorService flipping =
                Executors.newSingleThreadScheduledExecutor(new DefaultThreadFactory("fleet-flips", true));
        try (FleetServer fleet = FleetServer.start((int) devices, port)) {
            out.println("fleet-ports first=" + fleet.port(0) + " last=" + fleet.port((int) devices - 1)
                    + " units-per-port=" + FleetServer.UNITS_PER_PORT);
            if (flipsPerSecond > 0) {
                FleetFlips flips = new FleetFlips(fleet, out);
                flipping.scheduleAtFixedRate(flips::next, 1_000_000, 1_000_000 / flipsPerSecond, TimeUnit.MICROSECONDS);
            }
            CountDownLatch end = new CountDownLatch(1);
            await(end, runFor);
            out.println("fleet-summary answers=" + fleet.answers());
        } finally {
            flipping.shutdownNow();
        }
    }

    /** Flips bit 0 of one device after another and tells when each answer left. */
    private static final class FleetFlips {
        private final FleetServer fleet;
        private final PrintStream out;
        private int count;

        FleetFlips(FleetServer fleet, PrintStream out) {
            this.fleet = fleet;
            this.out = out;
        }

        void next() {
            int device = count % fleet.deviceCount();
            boolean on = count / fleet.deviceCount() % 2 == 0;
            count++;
            fleet.flip(device, 0, on)
                    .thenAccept(left ->
                            out.println("fleet-flip device=" + device + " bit=0 on=" + on + " leftNanos=" + left));
        }
    }
}
