package oilbird.mapping.map;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.signal.Feature.Direction;
import oilbird.mapping.signal.Feature.Source;
import oilbird.mapping.signal.Feature.Told;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.Suggestion;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlNode;
import org.jspecify.annotations.Nullable;

/**
 * Reads the section {@code features} of a device map or of a station file. The signals of other devices are written
 * {@code device.name}.
 */
public final class FeatureReader {
    private static final List<String> KINDS = List.of(
            "plateau",
            "divergence",
            "step",
            "ratio",
            "fluctuation",
            "follows",
            "shift",
            "missing",
            "coincidence",
            "unscheduled");
    /** Over fewer new values it cannot be told whether one thing follows another. */
    private static final int LEAST_FOLLOWED = 48;
    /** A window must see that many new values before it says anything. */
    private static final int LEAST_VALUES = 4;

    private static final int LEARN_WINDOWS = 5;
    private static final String NOT = "not ";

    /** What a feature may look at. */
    public interface Signals {
        /** Null where there is none. */
        @Nullable
        Seen point(Source source);

        boolean isIndication(Source source);

        /** As they may be written. */
        Set<String> points();

        Set<String> indications();

        /** How a name is written that is not found here, but might be elsewhere; null for no such advice. */
        @Nullable
        String advice(String written);
    }

    /**
     * A point as far as a feature must know it.
     *
     * @param period how often there is a new value.
     * @param word its 16-bit register; null for other points.
     */
    public record Seen(
            String unit, Duration period, @Nullable Word word) {}

    /** A register whose reading is the raw value x scale + offset. */
    public record Word(int address, double scale, double offset) {}

    private final Problems problems;
    private final Signals signals;

    public FeatureReader(Problems problems, Signals signals) {
        this.problems = problems;
        this.signals = signals;
    }

    /** The features without a mistake; those with one are told. */
    public List<Feature> read(YamlMapping section) {
        Map<String, Feature> features = new LinkedHashMap<>();
        for (YamlMapping.Entry entry : section.entries()) {
            Feature feature = feature(entry, entry.value().asMapping());
            if (feature != null) {
                features.put(entry.key(), feature);
            }
        }
        features.values().removeIf(f -> inCircle(f, features, section));
        return List.copyOf(features.values());
    }

    /** Told for each feature of the circle; none of them is kept. */
    private boolean inCircle(Feature feature, Map<String, Feature> features, YamlMapping section) {
        Set<String> reached = new LinkedHashSet<>();
        List<String> open = new ArrayList<>(List.of(feature.indication()));
        while (!open.isEmpty()) {
            Feature next = features.get(open.remove(0));
            if (next == null) {
                continue;
            }
            for (Source source : next.indications()) {
                if (source.equals(made(feature, section))) {
                    problems.error(
                            section.keyPosition(feature.indication()),
                            "the feature `" + feature.indication() + "` looks at its own indication"
                                    + (next == feature ? "" : " by way of `" + next.indication() + "`"),
                            "let features look at indications of bits, or at features that do not look back");
                    return true;
                }
                Feature maker = features.get(source.name());
                if (maker != null && source.equals(made(maker, section)) && reached.add(source.name())) {
                    open.add(source.name());
                }
            }
        }
        return false;
    }

    /** Where the section names devices, the indication is one of the device named. */
    private static Source made(Feature feature, YamlMapping section) {
        return new Source(section.mapping(feature.indication()).text("device", ""), feature.indication());
    }

    private @Nullable Feature feature(YamlMapping.Entry entry, YamlMapping of) {
        List<String> given = KINDS.stream().filter(of::has).toList();
        if (given.size() != 1) {
            problems.error(
                    given.isEmpty() ? entry.keyPosition() : of.keyPosition(given.get(1)),
                    given.isEmpty()
                            ? "the feature `" + entry.key() + "` does not say what to look for"
                            : "the feature `" + entry.key() + "` looks for two things",
                    "write exactly one of " + String.join(", ", KINDS));
            return null;
        }
        int before = problems.list().size();
        YamlMapping described = of.mapping(given.get(0));
        Feature.Shape shape = shape(given.get(0), described);
        List<Told> during = told(of, "while");
        Duration settle = of.duration("settle", Duration.ZERO);
        if (of.has("settle") && during.isEmpty()) {
            problems.error(of.keyPosition("settle"), "there is no while: to settle after", "add it, or delete settle");
        }
        List<Source> despite = new ArrayList<>();
        for (YamlNode node : of.list("despite").items()) {
            indication(node, node.asText()).ifPresent(despite::add);
        }
        return shape == null || problems.list().size() > before
                ? null
                : new Feature(entry.key(), shape, during, settle, despite);
    }

    private Feature.@Nullable Shape shape(String kind, YamlMapping of) {
        return switch (kind) {
            case "plateau" -> plateau(of);
            case "divergence" -> divergence(of);
            case "step" -> step(of);
            case "ratio" -> ratio(of);
            case "fluctuation" -> fluctuation(of);
            case "follows" -> follows(of);
            case "shift" -> shift(of);
            case "missing" -> missing(of);
            case "coincidence" -> coincidence(of);
            default -> unscheduled(of);
        };
    }

    private Feature.@Nullable Shape plateau(YamlMapping of) {
        Source point = sized(of);
        double within = atLeastZero(of, "within");
        YamlMapping companion = of.mapping("while_moves");
        Source other = of.has("while_moves") ? sized(companion) : null;
        double moves = of.has("while_moves") ? positive(companion, "by") : 0;
        window(of, "over", point);
        window(of, "over", other);
        return point == null ? null : new Feature.Plateau(point, within, of.duration("over"), other, moves);
    }

    private Feature.@Nullable Shape fluctuation(YamlMapping of) {
        Source point = sized(of);
        window(of, "over", point);
        return point == null
                ? null
                : new Feature.Fluctuation(
                        point, positive(of, "by"), Math.toIntExact(of.whole("times", 4)), of.duration("over"));
    }

    private Feature.@Nullable Shape follows(YamlMapping of) {
        List<Source> points = pair(of);
        YamlNode third = of.get("with");
        Source with = third == null ? null : point(third, null);
        Seen seen = with == null ? null : signals.point(with);
        if (seen != null && whole(of, "over")) {
            Duration least = seen.period().multipliedBy(LEAST_FOLLOWED);
            if (of.duration("over").compareTo(least) < 0) {
                problems.error(
                        of.valuePosition("over"),
                        "`" + with + "` has a new value too rarely for this time",
                        "write at least " + LEAST_FOLLOWED + " times its period");
            }
        }
        return points.isEmpty() || with == null
                ? null
                : new Feature.Follows(points.get(0), points.get(1), with, positive(of, "by"), of.duration("over"));
    }

    private Feature.@Nullable Shape divergence(YamlMapping of) {
        List<Source> points = pair(of);
        return points.isEmpty()
                ? null
                : new Feature.Divergence(
                        points.get(0),
                        points.get(1),
                        of.decimal("usual", 0),
                        positive(of, "beyond"),
                        of.choice("direction", Direction.EITHER),
                        of.duration("over"));
    }

    /** Two different points of one unit; none where there is a mistake. */
    private List<Source> pair(YamlMapping of) {
        List<Source> points = new ArrayList<>();
        for (YamlNode node : of.list("of").items()) {
            Source point = point(node, of);
            if (point != null) {
                points.add(point);
                window(of, "over", point);
            }
        }
        if (points.size() != 2) {
            return List.of();
        }
        Seen one = signals.point(points.get(0));
        Seen other = signals.point(points.get(1));
        if (points.get(0).equals(points.get(1))) {
            problems.error(of.valuePosition("of"), "a value does not part from itself", "name two points");
        } else if (one != null && other != null && !one.unit().equals(other.unit())) {
            problems.error(
                    of.valuePosition("of"),
                    "`" + points.get(0) + "` is in " + named(one.unit()) + " and `" + points.get(1) + "` in "
                            + named(other.unit()),
                    "compare values of one unit");
        }
        return points;
    }

    private Feature.@Nullable Shape step(YamlMapping of) {
        Source point = sized(of);
        window(of, "within", point);
        Duration within = of.duration("within");
        Duration remembered = of.duration("remembered");
        if (remembered.compareTo(within) < 0 && whole(of, "within") && whole(of, "remembered")) {
            problems.error(
                    of.valuePosition("remembered"),
                    "a step would be forgotten before it is over",
                    "write at least the time under within:");
        }
        return point == null
                ? null
                : new Feature.Step(
                        point, positive(of, "by"), of.choice("direction", Direction.EITHER), within, remembered);
    }

    private Feature.@Nullable Shape ratio(YamlMapping of) {
        Source point = point(of);
        window(of, "over", point);
        Double below = of.decimalOrNull("below");
        Double above = of.decimalOrNull("above");
        if (below == null && above == null) {
            of.error("no limit is given", "add below: for example 0.8, or above: for example 1.2");
        }
        if (below != null && !(below > 0 && below < 1)) {
            problems.error(of.valuePosition("below"), "below is a part of the usual level", "write between 0 and 1");
        }
        if (above != null && !(above > 1)) {
            problems.error(of.valuePosition("above"), "above is a multiple of the usual level", "write more than 1");
        }
        Duration least = of.duration("over").multipliedBy(LEARN_WINDOWS);
        if (whole(of, "learn_over") && of.duration("learn_over").compareTo(least) < 0) {
            problems.error(
                    of.valuePosition("learn_over"),
                    "a usual level is not learnt in so short a time",
                    "write at least " + LEARN_WINDOWS + " times the time under over:");
        }
        return point == null
                ? null
                : new Feature.Ratio(
                        point,
                        below,
                        above,
                        of.duration("over"),
                        of.duration("learn_over"),
                        of.text("learnt_since", ""));
    }

    private Feature.@Nullable Shape shift(YamlMapping of) {
        List<Feature.Neighbour> neighbours = new ArrayList<>();
        int pairs = 0;
        boolean read = true;
        for (YamlNode node : of.list("of").items()) {
            Source point = point(node, null);
            Seen seen = point == null ? null : signals.point(point);
            Word word = seen == null ? null : seen.word();
            if (point == null || seen == null) {
                read = false;
            } else if (word == null) {
                node.error(
                        "`" + point + "` is not one register of 16 bits",
                        "name points of type int16 or uint16 in registers");
                read = false;
            } else {
                int last = neighbours.isEmpty()
                        ? -1
                        : neighbours.get(neighbours.size() - 1).address();
                if (word.address() <= last) {
                    node.error("the points are not in the order of their addresses", "put them in that order");
                    read = false;
                }
                pairs += word.address() == last + 1 ? 1 : 0;
                neighbours.add(new Feature.Neighbour(point, word.address(), word.scale(), word.offset()));
            }
        }
        double tolerance = of.decimal("tolerance", 0.1);
        if (!(tolerance > 0 && tolerance < 1)) {
            problems.error(of.valuePosition("tolerance"), "the tolerance is a part", "write between 0 and 1");
        }
        if (read && pairs < 3) {
            problems.error(
                    of.valuePosition("of"),
                    "too few of the points follow one another directly, so a shift cannot be told from chance",
                    "name at least four neighbouring registers");
            return null;
        }
        return read ? new Feature.Shift(neighbours, tolerance) : null;
    }

    private Feature.@Nullable Shape missing(YamlMapping of) {
        Source point = point(of);
        return point == null
                ? null
                : new Feature.Missing(
                        point, of.duration("over"), of.has("loop") ? of.choice("loop", Feature.Limit.class) : null);
    }

    private Feature.@Nullable Shape coincidence(YamlMapping of) {
        List<Told> told = told(of, "of");
        Duration remembered = of.durationOrNull("remembered");
        if (remembered == null && of.list("of").items().size() < 2) {
            problems.error(
                    of.valuePosition("of"),
                    "one indication coincides with nothing",
                    "name at least two, or say how long the one is to be remembered:");
        }
        Duration within = of.durationOrNull("began_within");
        for (Told each : told) {
            if (within != null && !each.holds()) {
                problems.error(
                        of.valuePosition("began_within"),
                        "when `not " + each.indication() + "` began says nothing",
                        "delete began_within, or move `not " + each.indication() + "` under while:");
            }
        }
        return new Feature.Coincidence(told, within, remembered);
    }

    private Feature.@Nullable Shape unscheduled(YamlMapping of) {
        Source counter = point(of);
        double tolerance = of.decimal("tolerance", 0.2);
        if (!(tolerance >= 0 && tolerance < 1)) {
            problems.error(of.valuePosition("tolerance"), "the tolerance is a part of the period", "write 0 to 0.9");
        }
        return counter == null
                ? null
                : new Feature.Unscheduled(counter, of.duration("every"), tolerance, of.duration("remembered"));
    }

    // ---- parts

    private static boolean whole(YamlMapping of, String key) {
        return of.has(key) && !of.problems().isMisshapen(of.valuePosition(key));
    }

    private double positive(YamlMapping of, String key) {
        double value = of.decimal(key);
        if (whole(of, key) && !(value > 0)) {
            problems.error(of.valuePosition(key), "`" + key + "` is a size", "write more than 0");
        }
        return value;
    }

    private double atLeastZero(YamlMapping of, String key) {
        double value = of.decimal(key);
        if (whole(of, key) && !(value >= 0)) {
            problems.error(of.valuePosition(key), "`" + key + "` is a width", "write 0 or more");
        }
        return value;
    }

    /** A window must be long enough for the values that come. */
    private void window(YamlMapping of, String key, @Nullable Source point) {
        Seen seen = point == null ? null : signals.point(point);
        if (seen == null || !whole(of, key)) {
            return;
        }
        Duration least = seen.period().multipliedBy(LEAST_VALUES);
        if (least.isZero()) {
            least = Duration.ofSeconds(1);
        }
        if (of.duration(key).compareTo(least) < 0) {
            problems.error(
                    of.valuePosition(key),
                    "`" + point + "` has a new value every " + written(seen.period()) + ", too rarely for this time",
                    "write at least " + written(least));
        }
    }

    private static String written(Duration duration) {
        long millis = duration.toMillis();
        if (millis % 3_600_000 == 0) {
            return millis / 3_600_000 + " h";
        } else if (millis % 60_000 == 0) {
            return millis / 60_000 + " min";
        }
        return millis % 1000 == 0 ? millis / 1000 + " s" : millis + " ms";
    }

    /** The point under {@code of}. */
    private @Nullable Source point(YamlMapping of) {
        YamlNode node = of.get("of");
        return node == null ? null : point(node, null);
    }

    /** The same where a size in its unit stands beside it. */
    private @Nullable Source sized(YamlMapping of) {
        YamlNode node = of.get("of");
        return node == null ? null : point(node, of);
    }

    private @Nullable Source point(YamlNode node, @Nullable YamlMapping sizes) {
        String written = node.asText();
        if (problems.isMisshapen(node.position())) {
            return null;
        }
        Source source = source(written);
        Seen seen = signals.point(source);
        if (seen == null) {
            if (!signals.points().contains(written)) {
                unknown(node.position(), "point", written, signals.points());
            }
            return null;
        }
        if (sizes != null) {
            unit(sizes, written, seen.unit());
        }
        return source;
    }

    private void unit(YamlMapping sizes, String point, String unit) {
        String wanted = unit.equals("degC") ? "K" : unit;
        String written = sizes.text("unit", "");
        if (!written.equals(wanted)) {
            problems.error(
                    sizes.has("unit") ? sizes.valuePosition("unit") : sizes.position(),
                    written.isEmpty()
                            ? "the unit of the size is not given"
                            : "the size is in " + written + ", and `" + point + "` in " + named(unit),
                    wanted.isEmpty() ? "delete the unit" : "write unit: " + wanted);
        }
    }

    private static String named(String unit) {
        return unit.isEmpty() ? "no unit" : unit;
    }

    private List<Told> told(YamlMapping of, String key) {
        List<Told> told = new ArrayList<>();
        for (YamlNode node : of.list(key).items()) {
            String written = node.asText();
            boolean holds = !written.startsWith(NOT);
            indication(node, holds ? written : written.substring(NOT.length()))
                    .ifPresent(i -> told.add(new Told(i, holds)));
        }
        return told;
    }

    private Optional<Source> indication(YamlNode node, String written) {
        if (problems.isMisshapen(node.position())) {
            return Optional.empty();
        }
        Source source = source(written);
        if (!signals.isIndication(source)) {
            unknown(node.position(), "indication", written, signals.indications());
            return Optional.empty();
        }
        return Optional.of(source);
    }

    private static Source source(String written) {
        int dot = written.indexOf('.');
        return dot < 0 ? new Source("", written) : new Source(written.substring(0, dot), written.substring(dot + 1));
    }

    private void unknown(Position at, String kind, String written, Set<String> known) {
        String advice = signals.advice(written);
        problems.error(
                at,
                "there is no " + kind + " `" + written + "` here",
                advice != null
                        ? advice
                        : Suggestion.closest(written, known)
                                .map(close -> "did you mean " + close + "?")
                                .orElse("write the name of " + (kind.equals("point") ? "a" : "an") + " " + kind));
    }
}
