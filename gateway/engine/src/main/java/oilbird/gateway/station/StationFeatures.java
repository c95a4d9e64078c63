package oilbird.gateway.station;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.DeviceKind.NamedIndication;
import oilbird.alarm.rule.StationFacts;
import oilbird.mapping.map.FeatureReader;
import oilbird.mapping.signal.Feature;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.YamlMapping;
import org.jspecify.annotations.Nullable;

/** The section {@code features} of the station file: features that look at more than one device. */
final class StationFeatures implements FeatureReader.Signals {
    private final Map<String, StationFacts.Device> devices = new LinkedHashMap<>();
    /** Indications that the section itself makes, as {@code device.name}. */
    private final Set<String> made = new TreeSet<>();

    private final Problems problems;

    StationFeatures(List<StationFacts.Device> devices, Problems problems) {
        devices.forEach(d -> this.devices.put(d.id(), d));
        this.problems = problems;
    }

    /** The devices with the indications that the features give them. */
    List<StationFacts.Device> take(YamlMapping section) {
        Map<String, List<NamedIndication>> indications = new LinkedHashMap<>();
        for (YamlMapping.Entry entry : section.entries()) {
            YamlMapping of = entry.value().asMapping();
            String id = of.text("device", "");
            StationFacts.Device device = devices.get(id);
            if (device == null) {
                if (of.has("device") && !problems.isMisshapen(of.valuePosition("device"))) {
                    problems.error(
                            of.valuePosition("device"),
                            "there is no device `" + id + "`",
                            "write one of " + String.join(", ", devices.keySet()));
                }
                continue;
            }
            if (device.kind().indication(entry.key()).isPresent()) {
                problems.error(
                        entry.keyPosition(),
                        "the map of " + id + " has an indication `" + entry.key() + "` already",
                        "give the feature another name");
                continue;
            }
            made.add(id + "." + entry.key());
            indications
                    .computeIfAbsent(id, d -> new ArrayList<>())
                    .add(new NamedIndication(
                            entry.key(), of.text("text"), List.of(), of.truth("engineer_only", false), List.of()));
        }
        Map<String, List<Feature>> features = new LinkedHashMap<>();
        for (Feature feature : new FeatureReader(problems, this).read(section)) {
            String owner = section.mapping(feature.indication()).text("device", "");
            features.computeIfAbsent(owner, d -> new ArrayList<>()).add(feature);
        }
        return devices.values().stream()
                .map(d ->
                        with(d, indications.getOrDefault(d.id(), List.of()), features.getOrDefault(d.id(), List.of())))
                .toList();
    }

    private StationFacts.Device with(
            StationFacts.Device device, List<NamedIndication> indications, List<Feature> features) {
        if (features.isEmpty()) {
            return device;
        }
        List<String> unverified = new ArrayList<>(device.unverified());
        for (Feature feature : features) {
            if (feature.shape().points().stream().anyMatch(this::isUnverified)) {
                unverified.add(feature.indication());
            }
        }
        return new StationFacts.Device(
                device.id(), device.name(), device.asset(), device.kind().with(indications, features), unverified);
    }

    private boolean isUnverified(Feature.Source source) {
        StationFacts.Device device = devices.get(source.device());
        return device != null && device.unverified().contains(source.name());
    }

    @Override
    public FeatureReader.@Nullable Seen point(Feature.Source source) {
        StationFacts.Device device = devices.get(source.device());
        if (device == null) {
            return null;
        }
        return device.kind()
                .point(source.name())
                .map(p -> new FeatureReader.Seen(p.unit(), period(device.kind(), p), null))
                .orElse(null);
    }

    private static Duration period(DeviceKind kind, DeviceKind.Point point) {
        Duration polled = kind.blocks().stream()
                .filter(b -> b.signals().contains(point.name()))
                .map(DeviceKind.Block::period)
                .findFirst()
                .orElse(Duration.ZERO);
        return polled.compareTo(point.updatePeriod()) > 0 ? polled : point.updatePeriod();
    }

    @Override
    public boolean isIndication(Feature.Source source) {
        StationFacts.Device device = devices.get(source.device());
        return made.contains(source.toString())
                || (device != null
                        && (source.name().equals(DeviceKind.COMMUNICATION_LOST)
                                || device.kind().indication(source.name()).isPresent()));
    }

    @Override
    public Set<String> points() {
        Set<String> names = new TreeSet<>();
        devices.values().forEach(d -> d.kind().points().forEach(p -> names.add(d.id() + "." + p.name())));
        return names;
    }

    @Override
    public Set<String> indications() {
        Set<String> names = new TreeSet<>(made);
        devices.values().forEach(d -> d.kind().indications().forEach(i -> names.add(d.id() + "." + i.name())));
        return names;
    }

    @Override
    public @Nullable String advice(String written) {
        int dot = written.indexOf('.');
        String device = dot < 0 ? written : written.substring(0, dot);
        if (dot < 0 || devices.containsKey(device)) {
            return null;
        }
        return "there is no device `" + device + "`, and values that are derived come after features; write one of "
                + String.join(", ", devices.keySet());
    }
}
