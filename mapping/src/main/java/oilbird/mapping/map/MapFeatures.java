package oilbird.mapping.map;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.TreeSet;
import oilbird.mapping.address.Place;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.text.YamlMapping;
import org.jspecify.annotations.Nullable;

/** The section {@code features} of a device map, which knows the device's own signals only. */
final class MapFeatures implements FeatureReader.Signals {
    private static final double LOOP_SPAN_MA = 16;
    private static final double LOOP_ZERO_MA = 4;

    private final MapText text;
    private final YamlMapping root;
    private final List<Point> points;
    private final WordReader words;

    /**
     * @param words told of each indication that a feature makes.
     */
    MapFeatures(MapText text, YamlMapping root, List<Point> points, WordReader words) {
        this.text = text;
        this.root = root;
        this.points = points;
        this.words = words;
    }

    List<Feature> read() {
        YamlMapping section = root.mapping("features");
        List<Feature> features = new FeatureReader(text.problems, this).read(section);
        for (YamlMapping.Entry entry : section.entries()) {
            Verification verified = features.stream()
                    .filter(f -> f.indication().equals(entry.key()))
                    .findFirst()
                    .map(this::verified)
                    .orElse(text.verified);
            words.tell(entry.key(), new WordReader.Told("", entry.keyPosition(), verified));
        }
        return features;
    }

    /** Nobody compares a feature with a display; it is as verified as what it looks at. */
    private @Nullable Verification verified(Feature feature) {
        Verification verified = text.verified;
        List<Verification> all = new ArrayList<>();
        for (Feature.Source source : feature.shape().points()) {
            Point point = named(source.name());
            if (point == null || point.verified() == null) {
                return null;
            }
            all.add(point.verified());
        }
        return all.isEmpty() ? verified : all.get(0);
    }

    private @Nullable Point named(String name) {
        return points.stream().filter(p -> p.name().equals(name)).findFirst().orElse(null);
    }

    @Override
    public FeatureReader.@Nullable Seen point(Feature.Source source) {
        Point point = source.device().isEmpty() ? named(source.name()) : null;
        if (point == null || !point.type().numeric()) {
            return null;
        }
        UpdatePeriod update = point.update();
        Duration polled = text.pollClasses.getOrDefault(point.pollClass(), Duration.ZERO);
        Duration period = update == null || update.every().compareTo(polled) < 0 ? polled : update.every();
        return new FeatureReader.Seen(point.unit(), period, word(point));
    }

    private static FeatureReader.@Nullable Word word(Point point) {
        boolean whole = point.type() == ValueType.INT16 || point.type() == ValueType.UINT16;
        if (!whole || point.sensor() != null || !(point.address() instanceof Place place)) {
            return null;
        }
        CurrentLoop loop = point.loop();
        if (loop == null) {
            return new FeatureReader.Word(place.start(), point.scale(), point.offset());
        }
        double perMilliamp = (loop.at20mA() - loop.at4mA()) / LOOP_SPAN_MA;
        return new FeatureReader.Word(
                place.start(),
                point.scale() * perMilliamp,
                loop.at4mA() + (point.offset() - LOOP_ZERO_MA) * perMilliamp);
    }

    @Override
    public boolean isIndication(Feature.Source source) {
        return source.device().isEmpty() && indications().contains(source.name());
    }

    /** Those that are faulty among them: they are told where they stand. */
    @Override
    public Set<String> points() {
        Set<String> names = new TreeSet<>();
        root.mapping("points").entries().forEach(e -> names.add(e.key()));
        names.removeIf(this::isNoNumber);
        return names;
    }

    private boolean isNoNumber(String name) {
        Point point = named(name);
        return point != null && !point.type().numeric();
    }

    /** Those that are described; one that is described and told by nothing is a mistake of its own. */
    @Override
    public Set<String> indications() {
        Set<String> names = new TreeSet<>();
        root.mapping("indications").entries().forEach(e -> names.add(e.key()));
        return names;
    }

    @Override
    public @Nullable String advice(String written) {
        if (isNoNumber(written)) {
            return "`" + written + "` is no number; name a point that is one";
        }
        return written.indexOf('.') >= 0
                ? "a device map knows its own device only; put features on two devices into station.yaml"
                : null;
    }
}
