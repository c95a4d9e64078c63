package oilbird.gateway.station;

import java.util.ArrayList;
import java.util.Collection;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.Shared;
import oilbird.alarm.rule.StationFacts;
import oilbird.gateway.station.StationFile.SharedEntry;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.Suggestion;

/** Checks the section {@code shared} against the devices of its station. */
final class SharedThings {
    private final Map<String, StationFacts.Asset> assets = new LinkedHashMap<>();
    private final Map<String, StationFacts.Device> devices = new LinkedHashMap<>();
    private final Collection<String> named;
    private final Problems problems;

    /**
     * @param named every device id that the file gives, those included whose map could not be read.
     */
    SharedThings(
            List<StationFacts.Asset> assets,
            List<StationFacts.Device> devices,
            Collection<String> named,
            Problems problems) {
        assets.forEach(a -> this.assets.put(a.id(), a));
        devices.forEach(d -> this.devices.put(d.id(), d));
        this.named = List.copyOf(named);
        this.problems = problems;
    }

    Shared check(SharedEntry entry) {
        if (!assets.containsKey(entry.asset())) {
            problems.error(
                    entry.assetPosition(),
                    "there is no asset `" + entry.asset() + "`",
                    "write one of " + String.join(", ", assets.keySet()));
        }
        boolean pair = entry.kind() == Shared.Kind.PROBE_PAIR;
        if (pair && entry.points().isEmpty()) {
            problems.error(entry.position(), "a probe-pair needs its two readings", "add points: [device.point, ...]");
        } else if (!pair && entry.devices().isEmpty()) {
            problems.error(
                    entry.position(), "a " + entry.kind().written() + " needs its devices", "add devices: [...]");
        }
        if (pair && !entry.devices().isEmpty()) {
            problems.error(
                    first(entry.devices()),
                    "a probe-pair has points, not devices",
                    "write points: [device.point, ...]");
        } else if (!pair && !entry.points().isEmpty()) {
            problems.error(
                    first(entry.points()),
                    "a " + entry.kind().written() + " has devices, not points",
                    "write devices: [...], or kind: probe-pair");
        }
        if (entry.nominal() != null && entry.kind() != Shared.Kind.AUXILIARY_SUPPLY) {
            problems.error(
                    entry.nominalPosition(),
                    "a " + entry.kind().written() + " has no nominal voltage",
                    "delete it, or write it at the auxiliary-supply that feeds the devices");
        }
        entry.devices().forEach(this::checkDevice);
        if (entry.kind().carriesTraffic() && entry.devices().size() == 1) {
            problems.warning(
                    first(entry.devices()),
                    "with one device a lost " + entry.kind().written() + " cannot be told from a lost device",
                    "name the other devices behind it, or leave it out");
        }
        return new Shared(
                entry.id(),
                entry.name(),
                entry.kind(),
                entry.asset(),
                List.copyOf(entry.devices().keySet()),
                points(entry.points()),
                entry.nominal());
    }

    private static Position first(Map<String, Position> placed) {
        return placed.values().iterator().next();
    }

    private boolean checkDevice(String id, Position at) {
        if (named.contains(id)) {
            return true;
        }
        problems.error(
                at,
                "there is no device `" + id + "`",
                Suggestion.closest(id, named)
                        .map(near -> "did you mean " + near + "?")
                        .orElse("write one of " + String.join(", ", named)));
        return false;
    }

    private List<SignalId> points(Map<String, Position> written) {
        List<SignalId> points = new ArrayList<>();
        List<String> units = new ArrayList<>();
        written.forEach((text, at) -> {
            int dot = text.indexOf('.');
            if (dot < 0) {
                return; // the schema has refused it
            }
            SignalId id = new SignalId(text.substring(0, dot), text.substring(dot + 1));
            points.add(id);
            StationFacts.Device device = devices.get(id.owner());
            if (!checkDevice(id.owner(), at) || device == null) {
                return;
            }
            Optional<DeviceKind.Point> point = device.kind().point(id.name());
            if (point.isEmpty()) {
                List<String> known = device.kind().points().stream()
                        .map(DeviceKind.Point::name)
                        .toList();
                problems.error(
                        at,
                        "the map `" + device.kind().map() + "` has no point `" + id.name() + "`",
                        Suggestion.closest(id.name(), known)
                                .map(near -> "did you mean " + near + "?")
                                .orElse("the map has " + String.join(", ", known)));
            }
            point.ifPresent(p -> units.add(p.unit()));
            if (units.size() == 2 && !units.get(0).equals(units.get(1))) {
                problems.error(
                        at,
                        "the two readings are in `" + units.get(0) + "` and `" + units.get(1) + "`",
                        "pair readings of one unit");
            }
        });
        return points;
    }
}
