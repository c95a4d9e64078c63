package oilbird.mapping.map;

import java.time.DateTimeException;
import java.time.Duration;
import java.time.ZoneId;
import java.time.ZoneOffset;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import oilbird.mapping.address.Node;
import oilbird.mapping.text.YamlMapping;
import oilbird.mapping.text.YamlScalar;
import org.jspecify.annotations.Nullable;

/** Reads the section {@code clock}. */
final class ClockReader {
    private static final String READING = "clock-difference";

    private final MapText text;

    ClockReader(MapText text) {
        this.text = text;
    }

    /** Null where there is none, or after a mistake that was told. */
    @Nullable
    DeviceClock read(YamlMapping root, List<Point> points, WordReader words) {
        if (!root.has("clock")) {
            return null;
        }
        YamlMapping of = root.mapping("clock");
        Point point = point(of, root.mapping("points"), points);
        ZoneId zone = zone(of);
        if (point != null && point.type() == ValueType.DATE_TIME && zone != null && !zone.equals(ZoneOffset.UTC)) {
            text.problems.error(of.valuePosition("zone"), "an OPC UA time is always UTC", "write zone: UTC");
        }
        Duration bound = of.duration("wrong_beyond");
        if (of.has("wrong_beyond")
                && !text.problems.isMisshapen(of.valuePosition("wrong_beyond"))
                && bound.compareTo(Duration.ofSeconds(2)) < 0) {
            text.problems.error(
                    of.valuePosition("wrong_beyond"),
                    "a clock of whole seconds cannot be judged that closely",
                    "write at least 2 s");
        }
        String reading = of.text("difference", READING);
        text.takeName(reading, "clock", of.has("difference") ? of.valuePosition("difference") : of.position());
        String indication = of.text("indication");
        if (of.has("indication")) {
            words.tell(
                    indication,
                    new WordReader.Told(
                            point == null ? "" : point.name(),
                            of.valuePosition("indication"),
                            point == null ? null : point.verified()));
        }
        return point == null || zone == null ? null : new DeviceClock(point.name(), zone, bound, reading, indication);
    }

    private @Nullable Point point(YamlMapping of, YamlMapping section, List<Point> points) {
        String name = of.text("point");
        if (!of.has("point") || text.problems.isMisshapen(of.valuePosition("point"))) {
            return null;
        }
        Point point =
                points.stream().filter(p -> p.name().equals(name)).findFirst().orElse(null);
        if (point == null) {
            if (!section.has(name)) {
                Set<String> times = new TreeSet<>();
                points.stream().filter(p -> p.type().time()).forEach(p -> times.add(p.name()));
                text.unknown(of.valuePosition("point"), "point", name, times, "points");
            }
            return null;
        }
        if (!point.type().time()) {
            text.problems.error(
                    of.valuePosition("point"),
                    "the point `" + name + "` is no time",
                    "name a point whose type is a time, for example unix-seconds");
            return null;
        }
        if (point.address() instanceof Node node && node.subscribed()) {
            text.problems.error(
                    of.valuePosition("point"),
                    "the server tells a change of `" + name + "` only some time after it",
                    "write by: read at the point, so that the clocks are compared at one moment");
        }
        return point;
    }

    private @Nullable ZoneId zone(YamlMapping of) {
        if (!(of.get("zone") instanceof YamlScalar scalar)) {
            of.text("zone");
            return null;
        }
        String written = scalar.asText();
        if (text.problems.isMisshapen(scalar.position())) {
            return null;
        }
        try {
            if (written.equals("UTC")) {
                return ZoneOffset.UTC;
            }
            if (written.matches("[+-][0-9]{2}:[0-9]{2}")) {
                return ZoneOffset.of(written);
            }
            // Names of three letters mean different zones to different readers.
            if (written.contains("/")) {
                return ZoneId.of(written);
            }
        } catch (DateTimeException unknown) {
            // Told below.
        }
        scalar.error(
                "the time zone `" + written + "` is not known",
                "write UTC, a fixed offset such as \"+01:00\" for a clock that is not put forward in summer, or a place"
                        + " such as Europe/Lisbon for one that is");
        return null;
    }
}
