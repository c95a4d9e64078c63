package oilbird.gateway.station;

import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.transformer.Finding;
import oilbird.alarm.transformer.derived.DerivedSignals;
import oilbird.alarm.transformer.derived.Quantity;
import oilbird.alarm.transformer.derived.TransformerSetup;
import oilbird.alarm.transformer.heat.ThermalModel;
import oilbird.alarm.transformer.moisture.OilCondition.Category;
import oilbird.gateway.station.TransformerEntry.Placed;
import oilbird.mapping.map.DeviceMap;
import oilbird.mapping.map.Point;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.Problems;
import oilbird.mapping.text.Suggestion;
import org.jspecify.annotations.Nullable;

/** Finds out what feeds the computations of each transformer, and gives each its derived device. */
final class Computations {
    /** Before the asset's id it is the id of the derived device. */
    static final String DEVICE = "computed-";

    private final StationFile file;
    private final Problems problems;
    private final List<PolledDevice> devices;
    private final List<TransformerSetup> setups = new ArrayList<>();
    private final List<StationFacts.Device> derived = new ArrayList<>();

    private Computations(StationFile file, List<PolledDevice> devices, Problems problems) {
        this.file = file;
        this.devices = devices;
        this.problems = problems;
    }

    /** Checks every transformer of the file against the devices and their maps. */
    static Computations of(StationFile file, List<PolledDevice> devices, Problems problems) {
        Computations computations = new Computations(file, devices, problems);
        for (StationFile.AssetEntry asset : file.assets()) {
            TransformerEntry entry = asset.transformer();
            if (entry != null) {
                computations.add(asset.id(), entry);
            }
        }
        return computations;
    }

    List<TransformerSetup> setups() {
        return setups;
    }

    /** The derived devices, for the facts of the station. */
    List<StationFacts.Device> derived() {
        return derived;
    }

    private record Source(PolledDevice device, Point point) {}

    private void add(String asset, TransformerEntry entry) {
        String id = DEVICE + asset;
        if (file.devices().stream().anyMatch(d -> d.id().equals(id))) {
            problems.error(
                    entry.position(),
                    "the results of asset `" + asset + "` need the device id `" + id + "`, which a device has",
                    "give that device another id");
            return;
        }
        for (Placed replaced : entry.sensorDevices()) {
            checkDevice(replaced);
        }
        Map<Quantity, Source> sources = sources(asset, entry);
        String gasMonitor = sources.entrySet().stream()
                .filter(s -> s.getKey().gas() != null)
                .map(s -> s.getValue().device().id())
                .findFirst()
                .orElse("");
        if (sources.isEmpty()) {
            problems.warning(
                    entry.position(),
                    "no point feeds the computation of `" + asset + "`",
                    "give points a semantic: in the device map (SIML.H2ppm for hydrogen), or name them under"
                            + " computation: inputs:");
        }
        Map<Quantity, TransformerSetup.Feed> feeds = new EnumMap<>(Quantity.class);
        sources.forEach((quantity, source) -> feed(quantity, source, entry, feeds));
        setups.add(new TransformerSetup(
                asset,
                id,
                entry.facts(),
                gasMonitor,
                entry.sensor(),
                entry.choices(),
                entry.trending(),
                feeds,
                heat(asset, entry, feeds),
                category(entry.highestVoltage())));
        derived.add(
                new StationFacts.Device(id, "computation", asset, DerivedSignals.kindOfDevice(), unverified(sources)));
    }

    private static @Nullable Category category(@Nullable Double kilovolt) {
        return kilovolt == null ? null : Category.ofVoltage(kilovolt);
    }

    private @Nullable PolledDevice checkDevice(Placed named) {
        Optional<PolledDevice> found =
                devices.stream().filter(d -> d.id().equals(named.text())).findFirst();
        List<String> known =
                file.devices().stream().map(StationFile.DeviceEntry::id).toList();
        if (found.isEmpty() && !known.contains(named.text())) {
            problems.error(
                    named.position(),
                    "there is no device `" + named.text() + "`",
                    Suggestion.closest(named.text(), known)
                            .map(near -> "did you mean " + near + "?")
                            .orElse("write one of " + String.join(", ", known)));
        }
        return found.orElse(null);
    }

    private Map<Quantity, Source> sources(String asset, TransformerEntry entry) {
        Map<Quantity, Source> sources = new EnumMap<>(Quantity.class);
        entry.inputs().forEach((quantity, named) -> {
            Source source = named(named);
            if (source != null) {
                sources.put(quantity, source);
            }
        });
        Placed monitor = entry.gasMonitor();
        PolledDevice gases = monitor == null ? null : checkDevice(monitor);
        for (PolledDevice device : ofAsset(asset)) {
            for (Point point : device.map().points()) {
                String semantic = point.semantic();
                Quantity quantity =
                        semantic == null ? null : Quantity.ofSemantic(semantic).orElse(null);
                boolean otherMonitor = quantity != null && quantity.gas() != null && gases != null && device != gases;
                if (quantity == null || otherMonitor || entry.inputs().containsKey(quantity)) {
                    continue;
                }
                Source before = sources.putIfAbsent(quantity, new Source(device, point));
                if (before != null) {
                    problems.error(
                            entry.position(),
                            "both " + before.device().id() + "/"
                                    + before.point().name() + " and " + device.id() + "/" + point.name() + " may feed "
                                    + quantity.key() + " of `" + asset + "`",
                            quantity.gas() == null
                                    ? "name one under computation: inputs: " + quantity.key() + ": device/point"
                                    : "name one monitor under computation: gas_monitor:");
                }
            }
        }
        checkOneMonitor(asset, entry, sources);
        return sources;
    }

    private void checkOneMonitor(String asset, TransformerEntry entry, Map<Quantity, Source> sources) {
        List<String> monitors = sources.entrySet().stream()
                .filter(s -> s.getKey().gas() != null)
                .map(s -> s.getValue().device().id())
                .distinct()
                .toList();
        if (monitors.size() > 1) {
            problems.error(
                    entry.position(),
                    "the gases of `" + asset + "` come from several monitors: " + String.join(", ", monitors),
                    "name one under computation: gas_monitor:; ratios of two analysers mean nothing");
        }
    }

    private List<PolledDevice> ofAsset(String asset) {
        List<String> ids = file.devices().stream()
                .filter(d -> d.asset().equals(asset))
                .map(StationFile.DeviceEntry::id)
                .toList();
        return devices.stream().filter(d -> ids.contains(d.id())).toList();
    }

    private @Nullable Source named(Placed named) {
        int slash = named.text().indexOf('/');
        if (slash < 0) {
            return null; // the schema has refused it
        }
        PolledDevice device = checkDevice(new Placed(named.text().substring(0, slash), named.position()));
        if (device == null) {
            return null;
        }
        String name = named.text().substring(slash + 1);
        Optional<Point> point = device.map().point(name);
        if (point.isEmpty()) {
            DeviceMap map = device.map();
            List<String> known = map.points().stream().map(Point::name).toList();
            problems.error(
                    named.position(),
                    "the map `" + map.name() + "` has no point `" + name + "`",
                    Suggestion.closest(name, known)
                            .map(near -> "did you mean " + near + "?")
                            .orElse("the map has " + String.join(", ", known)));
            return null;
        }
        return new Source(device, point.get());
    }

    private void feed(
            Quantity quantity, Source source, TransformerEntry entry, Map<Quantity, TransformerSetup.Feed> feeds) {
        Optional<Double> factor = quantity.factor(source.point().unit());
        if (factor.isEmpty()) {
            Placed named = entry.inputs().get(quantity);
            Position at = named == null ? entry.position() : named.position();
            String unit = source.point().unit();
            problems.error(
                    at,
                    source.device().id() + "/" + source.point().name() + " is in " + (unit.isEmpty() ? "no unit" : unit)
                            + ", which gives no " + quantity.key(),
                    "name a point in " + quantity.unit() + ", or correct its unit in the device map");
            return;
        }
        SignalId point = new SignalId(source.device().id(), source.point().name());
        feeds.put(quantity, new TransformerSetup.Feed(point, factor.get()));
    }

    private TransformerSetup.@Nullable Heat heat(
            String asset, TransformerEntry entry, Map<Quantity, TransformerSetup.Feed> feeds) {
        TransformerEntry.HeatEntry heat = entry.heat();
        if (heat == null) {
            return null;
        }
        boolean load = feeds.containsKey(Quantity.LOAD_CURRENT) || feeds.containsKey(Quantity.LOAD_FACTOR);
        if (!load || !feeds.containsKey(Quantity.AMBIENT)) {
            problems.warning(
                    entry.position(),
                    "hot spot and ageing of `" + asset + "` are not computed, since no point feeds the "
                            + (load ? "ambient temperature" : "load"),
                    "name one under computation: inputs: " + (load ? "ambient" : "load-current") + ": device/point");
        }
        boolean byCurrent = feeds.containsKey(Quantity.LOAD_CURRENT) && !feeds.containsKey(Quantity.LOAD_FACTOR);
        if (byCurrent && entry.ratedCurrent() == null) {
            problems.error(
                    entry.position(),
                    "the load is measured in ampere and the rated current is not given",
                    "add rated_current: of the winding whose current is measured, in ampere");
            return null;
        }
        Finding<ThermalModel> model = ThermalModel.of(
                heat.cooling().constants(), heat.topOilRise(), heat.hotSpotGradient(), heat.lossRatio());
        if (model instanceof Finding.Told<ThermalModel> told) {
            return new TransformerSetup.Heat(
                    told.value(), heat.cooling().confirmed(), heat.ageing(), entry.ratedCurrent(), entry.band());
        }
        Finding.Untold<ThermalModel> untold = (Finding.Untold<ThermalModel>) model;
        problems.error(entry.position(), untold.detail(), "write the figure of the type test report");
        return null;
    }

    /** What rests on a point that nobody has compared with the local display, nobody has verified either. */
    private static List<String> unverified(Map<Quantity, Source> sources) {
        boolean gas = false;
        boolean other = false;
        for (Map.Entry<Quantity, Source> source : sources.entrySet()) {
            if (source.getValue().point().verified() == null) {
                gas |= source.getKey().gas() != null;
                other |= source.getKey().gas() == null;
            }
        }
        List<String> unverified = new ArrayList<>();
        if (gas) {
            unverified.addAll(DerivedSignals.signals(DerivedSignals.Block.GAS));
            unverified.addAll(DerivedSignals.signals(DerivedSignals.Block.LABORATORY));
        }
        if (other) {
            unverified.addAll(DerivedSignals.signals(DerivedSignals.Block.WATER));
            unverified.addAll(DerivedSignals.signals(DerivedSignals.Block.HEAT));
        }
        return unverified;
    }
}
