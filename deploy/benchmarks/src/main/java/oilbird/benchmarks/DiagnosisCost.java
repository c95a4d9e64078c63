package oilbird.benchmarks;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.SplittableRandom;
import java.util.stream.Stream;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.NoisyOr;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.alarm.explain.DiagnosisExplanation;
import oilbird.alarm.explain.Explainer;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.station.StationFold;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationModel;
import oilbird.alarm.station.StationStep;
import oilbird.alarm.station.StationView;
import oilbird.gateway.station.Station;
import oilbird.gateway.station.StationFolder;
import oilbird.mapping.signal.Decoded;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Loaded;

/**
 * What diagnosis costs: of an input of the fold and in memory, on a station with many devices and the fault models of
 * the demo, against the same station without them; and of one inference and one whole explanation.
 *
 * <p>Arguments: devices (200, half gas monitors, half cooling controls), rounds of polls (300), demo station folder.
 */
public final class DiagnosisCost {
    private static final long SECOND = 1_000_000_000L;

    private DiagnosisCost() {}

    public static void main(String[] arguments) throws IOException {
        int devices = arguments.length > 0 ? Integer.parseInt(arguments[0]) : 200;
        int rounds = arguments.length > 1 ? Integer.parseInt(arguments[1]) : 300;
        Path demo = Path.of(arguments.length > 2 ? arguments[2] : "deploy/demo-station");
        Path folder = Files.createTempDirectory("oilbird-diagnosis");
        try {
            Station station = station(demo, folder, devices);
            StationModel with = station.model();
            StationModel without = new StationModel(
                    with.facts(),
                    with.rules(),
                    StationCauses.NONE,
                    with.settings(),
                    with.rulesVersion(),
                    with.transformers());
            System.out.printf(
                    Locale.ROOT,
                    "%d devices, %d alarms, %d causes, %d signs%n",
                    station.devices().size(),
                    with.rules().size(),
                    with.causes().causes().size(),
                    with.causes().signs().size());
            for (int warm = 0; warm < 2; warm++) {
                run(without, rounds / 3, false);
                run(with, rounds / 3, true);
            }
            for (boolean faulty : new boolean[] {false, true}) {
                Cost plain = run(without, rounds, faulty);
                Cost diagnosed = run(with, rounds, faulty);
                System.out.printf(
                        Locale.ROOT,
                        "%s: %.2f us an input without fault models, %.2f us with; %d KiB heap more (%d against %d MiB)%n",
                        faulty ? "a fault comes or goes once a second" : "healthy, readings change",
                        plain.nanos / 1e3,
                        diagnosed.nanos / 1e3,
                        (diagnosed.heap - plain.heap) / 1024,
                        diagnosed.heap / 1024 / 1024,
                        plain.heap / 1024 / 1024);
            }
            explanation(with);
            inference();
        } finally {
            try (Stream<Path> files = Files.walk(folder)) {
                for (Path file : files.sorted((a, b) -> b.compareTo(a)).toList()) {
                    Files.delete(file);
                }
            }
        }
    }

    private static Station station(Path demo, Path folder, int devices) throws IOException {
        for (String kind : List.of("maps", "rules", "causes")) {
            Files.createDirectories(folder.resolve(kind));
        }
        for (String map : List.of("hbg-8", "tcc-4")) {
            Files.copy(demo.resolve("maps/" + map + ".yaml"), folder.resolve("maps/" + map + ".yaml"));
            Files.copy(demo.resolve("causes/" + map + ".yaml"), folder.resolve("causes/" + map + ".yaml"));
        }
        for (String rules : List.of("gas-monitors", "cooling")) {
            Files.copy(demo.resolve("rules/" + rules + ".yaml"), folder.resolve("rules/" + rules + ".yaml"));
        }
        StringBuilder text = new StringBuilder("station: 1\nid: bench\nname: bench\nowner: invented\n"
                + "gateway: {id: bench-gw, name: gateway}\nacknowledgement: here\nassets:\n");
        for (int t = 0; t < devices / 2; t++) {
            text.append("  - {id: t")
                    .append(t)
                    .append(", name: Transformer ")
                    .append(t)
                    .append(", kind: transformer}\n");
        }
        text.append("devices:\n");
        StringBuilder shared = new StringBuilder("shared:\n");
        for (int t = 0; t < devices / 2; t++) {
            for (String map : List.of("hbg-8", "tcc-4")) {
                text.append("  - {id: ")
                        .append(id(map, t))
                        .append(", name: monitor, asset: t")
                        .append(t);
                text.append(", map: ")
                        .append(map)
                        .append(", modbus_tcp: {host: 127.1.")
                        .append(t / 200)
                        .append('.');
                text.append(1 + t % 200)
                        .append(", port: ")
                        .append(map.equals("hbg-8") ? 1502 : 1503)
                        .append("}}\n");
            }
            shared.append("  - {id: aux-t")
                    .append(t)
                    .append(", name: auxiliary supply, kind: auxiliary-supply, asset: t");
            shared.append(t)
                    .append(", devices: [")
                    .append(id("hbg-8", t))
                    .append(", ")
                    .append(id("tcc-4", t));
            shared.append("]}\n");
        }
        Files.writeString(folder.resolve("station.yaml"), text.append(shared).toString());
        Loaded<Station> loaded = StationFolder.load(folder);
        return loaded.result().orElseThrow(() -> new IllegalStateException(String.valueOf(loaded.problems())));
    }

    private static String id(String map, int transformer) {
        return (map.equals("hbg-8") ? "gas-t" : "cooling-t") + transformer;
    }

    /** Nanoseconds an input, and bytes of the heap afterwards. */
    private record Cost(double nanos, long heap) {}

    private static Cost run(StationModel model, int rounds, boolean faulty) {
        long before = heap();
        SplittableRandom random = new SplittableRandom(7);
        Moment now = new Moment(0, 1_795_576_325_000L, true);
        StationFold fold = StationFold.start(model, List.of(), null, "bench-gw", 1, now);
        List<StationFacts.Device> devices = model.facts().devices();
        String broken = "";
        long nanos = 0;
        long inputs = 0;
        for (int round = 0; round < rounds; round++) {
            now = now.plusNanos(SECOND);
            if (faulty) {
                broken = round % 2 == 0 ? "gas-t" + random.nextInt(devices.size() / 4) : "";
            }
            List<StationInput> all = new ArrayList<>();
            for (StationFacts.Device device : devices) {
                for (DeviceKind.Block block : device.kind().blocks()) {
                    all.add(answer(device, block, device.id().equals(broken), random, now));
                }
            }
            long begin = System.nanoTime();
            for (StationInput input : all) {
                fold.apply(input);
            }
            nanos += System.nanoTime() - begin;
            inputs += all.size();
        }
        long after = heap();
        if (fold.view().alarms().isEmpty()) {
            throw new IllegalStateException("nothing was measured");
        }
        return new Cost((double) nanos / inputs, after - before);
    }

    private static long heap() {
        for (int i = 0; i < 3; i++) {
            System.gc();
        }
        return Runtime.getRuntime().totalMemory() - Runtime.getRuntime().freeMemory();
    }

    private static StationInput answer(
            StationFacts.Device device, DeviceKind.Block block, boolean broken, SplittableRandom random, Moment now) {
        List<Reading> readings = new ArrayList<>();
        List<Indication> indications = new ArrayList<>();
        for (String name : block.signals()) {
            SignalId id = new SignalId(device.id(), name);
            DeviceKind.Point point = device.kind().point(name).orElse(null);
            if (point != null) {
                boolean text = point.isField() || name.equals("serial-number");
                readings.add(
                        text
                                ? new Reading(id, null, "idle", QualityReason.NONE, now)
                                : new Reading(id, 20 + random.nextInt(100) / 100.0, null, QualityReason.NONE, now));
            } else {
                boolean holds = broken && (name.equals("cabinet-fan-stopped") || name.equals("oil-flow-low"));
                indications.add(Indication.of(id, holds, now));
            }
        }
        return new StationInput.Observed(new Decoded(device.id(), block.name(), readings, indications, List.of(), now));
    }

    /** From the input that carries the bit to the diagnosis in words. */
    private static void explanation(StationModel model) {
        SplittableRandom random = new SplittableRandom(3);
        Moment now = new Moment(0, 1_795_576_325_000L, true);
        StationFold fold = StationFold.start(model, List.of(), null, "bench-gw", 1, now);
        Explainer explainer = new Explainer(model);
        List<Double> folding = new ArrayList<>();
        List<Double> explaining = new ArrayList<>();
        for (int round = 0; round < 400; round++) {
            boolean broken = round % 4 >= 2;
            now = now.plusNanos(20 * SECOND);
            for (StationFacts.Device device : model.facts().devices().subList(0, 2)) {
                for (DeviceKind.Block block : device.kind().blocks()) {
                    StationInput input = answer(device, block, broken, random, now);
                    long begin = System.nanoTime();
                    StationStep step = fold.apply(input);
                    long took = System.nanoTime() - begin;
                    boolean diagnosed = step.events().stream()
                            .anyMatch(e -> e instanceof oilbird.alarm.station.StationEvent.Diagnosed);
                    if (diagnosed) {
                        folding.add(took / 1e6);
                    }
                }
            }
            StationView view = fold.view();
            for (Diagnosis diagnosis : view.diagnoses()) {
                long begin = System.nanoTime();
                DiagnosisExplanation explanation = explainer.explain(view, diagnosis);
                explaining.add((System.nanoTime() - begin) / 1e6);
                if (explanation.sentence().isEmpty()) {
                    throw new IllegalStateException("nothing was explained");
                }
            }
        }
        print("input that changes a diagnosis, with rules and inference", folding);
        print("diagnosis in words", explaining);
    }

    private static void inference() {
        SplittableRandom random = new SplittableRandom(5);
        for (int asserted : new int[] {1, 4, 8, 12, 20}) {
            for (double density : new double[] {0.25, 1}) {
                List<Double> times = new ArrayList<>();
                for (int round = 0; round < 60; round++) {
                    NoisyOr network = network(random, 40, asserted, density);
                    NoisyOr.Evidence[] evidence = new NoisyOr.Evidence[asserted];
                    Arrays.fill(evidence, NoisyOr.Evidence.ASSERTED);
                    double[] support = new double[40];
                    Arrays.fill(support, 1);
                    long begin = System.nanoTime();
                    network.posterior(evidence, support);
                    if (round >= 20) {
                        times.add((System.nanoTime() - begin) / 1e6);
                    }
                }
                print(
                        "inference, 40 causes, " + asserted + " asserted, " + Math.round(100 * density)
                                + " % of all links",
                        times);
            }
        }
    }

    private static NoisyOr network(SplittableRandom random, int causes, int signs, double density) {
        double[] prior = new double[causes];
        double[] leak = new double[signs];
        double[][] strength = new double[causes][signs];
        for (int i = 0; i < causes; i++) {
            prior[i] = random.nextDouble(1e-6, 1e-3);
            for (int j = 0; j < signs; j++) {
                strength[i][j] = random.nextDouble() < density ? random.nextDouble() : 0;
            }
        }
        Arrays.fill(leak, 1e-5);
        return new NoisyOr(prior, strength, leak);
    }

    private static void print(String what, List<Double> millis) {
        if (millis.isEmpty()) {
            throw new IllegalStateException("nothing was measured of " + what);
        }
        List<Double> sorted = millis.stream().sorted().toList();
        System.out.printf(
                Locale.ROOT,
                "%s: median %.3f ms, p99 %.3f ms, of %d%n",
                what,
                sorted.get(sorted.size() / 2),
                sorted.get(Math.min(sorted.size() - 1, sorted.size() * 99 / 100)),
                sorted.size());
    }
}
