package oilbird.alarm.rule;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.FirstCheck;
import org.jspecify.annotations.Nullable;

/**
 * What a device map says of every device of its type, as far as alarm rules can speak of it. All devices of
 * one map share one instance.
 *
 * @param map id of the device map.
 * @param product maker and type, for people.
 * @param blocks requests that fetch the signals; every point and indication is in exactly one, except for
 *     indications that features make.
 * @param features what is looked for in readings; each makes one of the indications.
 */
public record DeviceKind(
        String map,
        String product,
        List<Point> points,
        List<NamedIndication> indications,
        List<Block> blocks,
        List<Feature> features) {
    /** Name of the indication that every device has and no map declares: nothing usable comes from it. */
    public static final String COMMUNICATION_LOST = "communication-lost";

    /**
     * One readable value.
     *
     * @param label name for people: {@code hydrogen}.
     * @param unit unit of readings and limits, empty for none.
     * @param group what several points are called together, such as {@code gas}; empty for none.
     * @param range plausible range, or null where the map states none.
     * @param updatePeriod how often the device makes a new value; zero for at every poll.
     * @param staleAfter age at which a value is stale; zero to let the period of its block decide.
     * @param analysisCounter name of the point that counts finished analyses, or null. A reading with one is
     *     as old as the last change of its counter, however often it is polled. The point itself, where a living
     *     value never stays the same.
     * @param texts what a bit field can say; empty for a number.
     */
    public record Point(
            String name,
            String label,
            String unit,
            String group,
            @Nullable Range range,
            Duration updatePeriod,
            Duration staleAfter,
            @Nullable String analysisCounter,
            List<String> texts) {
        public Point {
            texts = List.copyOf(texts);
        }

        /** A point whose value is a number. */
        public Point(
                String name,
                String label,
                String unit,
                String group,
                @Nullable Range range,
                Duration updatePeriod,
                Duration staleAfter,
                @Nullable String analysisCounter) {
            this(name, label, unit, group, range, updatePeriod, staleAfter, analysisCounter, List.of());
        }

        /** A bit field. */
        public static Point field(String name, String label, List<String> texts) {
            return new Point(name, label, "", "", null, Duration.ZERO, Duration.ZERO, null, texts);
        }

        public boolean isField() {
            return !texts.isEmpty();
        }
    }

    /** Plausible range in the point's unit, both ends included. */
    public record Range(double low, double high) {
        public double span() {
            return high - low;
        }
    }

    /**
     * A named state of the device or of what it watches.
     *
     * @param text what holds, in plain words: {@code cabinet fan stopped}.
     * @param doubts readings made doubtful or worthless while it holds.
     * @param engineerOnly true where no operator should be told of it.
     * @param service true where somebody works on or calibrates the device while it holds.
     * @param keepAway true where nobody is sent near the asset while it holds.
     * @param checks first checks that the map gives for it; a rule on it takes them unless it gives its own.
     */
    public record NamedIndication(
            String name,
            String text,
            List<Doubting> doubts,
            boolean engineerOnly,
            boolean service,
            boolean keepAway,
            List<FirstCheck> checks) {
        public NamedIndication {
            doubts = List.copyOf(doubts);
            checks = List.copyOf(checks);
        }

        /** An indication that sends nobody away and is not of service. */
        public NamedIndication(
                String name, String text, List<Doubting> doubts, boolean engineerOnly, List<FirstCheck> checks) {
            this(name, text, doubts, engineerOnly, false, false, checks);
        }
    }

    /**
     * A reading made doubtful.
     *
     * @param point name of the point on the same device.
     * @param worthless true where nothing can be concluded from the reading at all.
     * @param periodsAfter for how many update periods (analyses, for a point with a counter) the doubt
     *     outlasts the indication.
     */
    public record Doubting(String point, boolean worthless, int periodsAfter) {}

    /**
     * One request.
     *
     * @param period how often it is sent; zero where the device is asked only once or reports by itself.
     * @param signals names of the points and indications that its answer carries.
     */
    public record Block(String name, Duration period, List<String> signals) {
        public Block {
            signals = List.copyOf(signals);
        }
    }

    public DeviceKind {
        points = List.copyOf(points);
        indications = List.copyOf(indications);
        blocks = List.copyOf(blocks);
        features = List.copyOf(features);
    }

    /** A kind of device without features. */
    public DeviceKind(
            String map, String product, List<Point> points, List<NamedIndication> indications, List<Block> blocks) {
        this(map, product, points, indications, blocks, List.of());
    }

    /** The same kind with features, and the indications that they make, which one station adds to one device. */
    public DeviceKind with(List<NamedIndication> added, List<Feature> looked) {
        return new DeviceKind(
                map,
                product,
                points,
                Stream.concat(indications.stream(), added.stream()).toList(),
                blocks,
                Stream.concat(features.stream(), looked.stream()).toList());
    }

    public Optional<Point> point(String name) {
        return points.stream().filter(p -> p.name().equals(name)).findFirst();
    }

    public Optional<NamedIndication> indication(String name) {
        return indications.stream().filter(i -> i.name().equals(name)).findFirst();
    }

    /** All first checks of the map, each once, in the order of the indications. */
    public List<FirstCheck> checks() {
        return indications.stream().flatMap(i -> i.checks().stream()).distinct().toList();
    }

    public Optional<FirstCheck> check(String id) {
        return checks().stream().filter(c -> c.id().equals(id)).findFirst();
    }
}
