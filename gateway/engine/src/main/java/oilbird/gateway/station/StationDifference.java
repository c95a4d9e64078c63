package oilbird.gateway.station;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.function.Function;
import oilbird.alarm.rule.StationFacts;
import oilbird.mapping.map.DeviceMap;

/** What in a station folder differs from what runs and cannot be taken over with the rules: only a start does that. */
public final class StationDifference {
    private final List<String> told = new ArrayList<>();

    private StationDifference() {}

    /** In words, one thing each; empty where only rules, causes and verification marks differ. */
    public static List<String> between(Station running, Station folder) {
        StationDifference difference = new StationDifference();
        difference.station(running.model().facts(), folder.model().facts());
        difference.devices(running, folder);
        difference.maps(running, folder);
        difference.each("link", byId(running.links(), LinkSettings::id), byId(folder.links(), LinkSettings::id));
        difference.each("point list of the link", running.points(), folder.points());
        difference.each(
                "shared thing",
                byId(running.model().facts().shared(), s -> s.id()),
                byId(folder.model().facts().shared(), s -> s.id()));
        if (!running.access().equals(folder.access())) {
            difference.told.add("what is said about access differs");
        }
        if (difference.told.isEmpty()
                && !running.model().transformers().equals(folder.model().transformers())) {
            difference.told.add("what is computed of a transformer differs");
        }
        return difference.told;
    }

    private void station(StationFacts running, StationFacts folder) {
        if (!running.id().equals(folder.id()) || !running.name().equals(folder.name())) {
            told.add("the station's id or name differs");
        }
        if (!running.gateway().equals(folder.gateway())) {
            told.add("the gateway's id differs");
        }
        each("asset", byId(running.assets(), StationFacts.Asset::id), byId(folder.assets(), StationFacts.Asset::id));
    }

    private void devices(Station running, Station folder) {
        Map<String, Wired> before = new LinkedHashMap<>();
        running.devices().forEach(d -> before.put(d.id(), Wired.of(running, d)));
        Map<String, Wired> now = new LinkedHashMap<>();
        folder.devices().forEach(d -> now.put(d.id(), Wired.of(folder, d)));
        each("device", before, now);
    }

    /** A device without what its map says. */
    private record Wired(String name, String asset, String map, Endpoint endpoint, Map<String, ?> periods) {
        static Wired of(Station station, PolledDevice device) {
            StationFacts.Device facts =
                    station.model().facts().device(device.id()).orElseThrow();
            return new Wired(facts.name(), facts.asset(), device.map().name(), device.endpoint(), device.periods());
        }
    }

    private void maps(Station running, Station folder) {
        Map<String, DeviceMap> before = mapsOf(running);
        Map<String, DeviceMap> now = mapsOf(folder);
        now.forEach((name, map) -> {
            DeviceMap old = before.get(name);
            if (old != null && !old.equals(map)) {
                told.add("the map " + name + " differs in more than what is verified");
            }
        });
    }

    private static Map<String, DeviceMap> mapsOf(Station station) {
        Map<String, DeviceMap> maps = new LinkedHashMap<>();
        station.devices().forEach(d -> maps.put(d.map().name(), d.map().verifiedBy(null)));
        return maps;
    }

    private static <T> Map<String, T> byId(List<T> all, Function<T, String> id) {
        Map<String, T> map = new LinkedHashMap<>();
        all.forEach(each -> map.put(id.apply(each), each));
        return map;
    }

    private <T> void each(String what, Map<String, T> before, Map<String, T> now) {
        Set<String> ids = new LinkedHashSet<>(before.keySet());
        ids.addAll(now.keySet());
        for (String id : ids) {
            if (!now.containsKey(id)) {
                told.add("the " + what + " " + id + " is gone");
            } else if (!before.containsKey(id)) {
                told.add("the " + what + " " + id + " is new");
            } else if (!Objects.equals(before.get(id), now.get(id))) {
                told.add("the " + what + " " + id + " differs");
            }
        }
    }
}
