package oilbird.gateway.opcua.server.space;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;
import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ulong;
import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.ushort;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Optional;
import java.util.concurrent.ConcurrentHashMap;
import java.util.function.Function;
import java.util.function.Supplier;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.station.StationView;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.station.PolledDevice;
import oilbird.gateway.station.Station;
import oilbird.mapping.map.StatusWord;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.signal.StatusWordValue;
import org.eclipse.milo.opcua.sdk.core.Reference;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.encoding.EncodingContext;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.eclipse.milo.opcua.stack.core.types.structured.Range;
import org.jspecify.annotations.Nullable;

/**
 * The nodes of a station, made from its facts when they are asked for: station, assets, their devices, and of each
 * device its readings, indications and status words.
 */
final class StationNodes {
    private static final String READINGS = "readings";
    private static final String INDICATIONS = "indications";
    private static final String WORDS = "words";

    private final Names names;
    private final StationFacts facts;
    private final NodeShapes shapes;
    private final PointNodes controlPoints;
    private final Map<String, StationFacts.Asset> assets = new LinkedHashMap<>();
    private final Map<String, StationFacts.Device> devices = new LinkedHashMap<>();
    private final Map<String, List<StationFacts.Device>> byAsset = new LinkedHashMap<>();
    private final Map<String, List<StatusWord>> words = new LinkedHashMap<>();
    /** By kind and name; kinds are shared by all devices of one map. */
    private final Map<DeviceKind, Map<String, DeviceKind.Point>> points = new ConcurrentHashMap<>();

    private final Map<DeviceKind, Map<String, DeviceKind.NamedIndication>> indications = new ConcurrentHashMap<>();
    /** Where in a device's picture a signal stands, as it was found last. */
    private final Map<NodeId, Integer> places = new ConcurrentHashMap<>();

    StationNodes(Names names, Station station, PointFeed controlPoints, EncodingContext encoding) {
        this.names = names;
        this.shapes = new NodeShapes(encoding);
        this.controlPoints = new PointNodes(names, controlPoints, shapes);
        this.facts = station.model().facts();
        facts.assets().forEach(asset -> assets.put(asset.id(), asset));
        for (StationFacts.Device device : facts.devices()) {
            devices.put(device.id(), device);
            byAsset.computeIfAbsent(device.asset(), a -> new ArrayList<>()).add(device);
        }
        for (PolledDevice device : station.devices()) {
            words.put(device.id(), device.map().words());
        }
    }

    /** The node of an identifier, or null where the station has no such thing. */
    @Nullable
    SpaceNode find(NodeId id) {
        if (!(id.getIdentifier() instanceof String text)) {
            return null;
        }
        if (id.getNamespaceIndex().equals(names.points())) {
            return controlPoints.find(text);
        }
        if (!id.getNamespaceIndex().equals(names.station())) {
            return null;
        }
        String[] parts = text.split("/", -1);
        return switch (parts[0]) {
            case "station" -> parts.length == 1 ? station() : null;
            case "points" -> parts.length == 1 ? controlPoints.folder() : null;
            case "asset" -> parts.length == 2 ? asset(assets.get(parts[1])) : null;
            case "device" -> parts.length == 2 || parts.length == 3 ? device(devices.get(parts[1]), parts) : null;
            case "reading" -> parts.length == 3 || parts.length == 4 ? reading(parts) : null;
            case "indication" -> parts.length == 3 || parts.length == 4 ? indication(parts) : null;
            case "word" -> parts.length == 3 ? word(parts) : null;
            default -> null;
        };
    }

    // ---- objects

    private SpaceNode station() {
        NodeId id = names.ofStation();
        return shapes.object(
                id,
                names.browseName("Station"),
                facts.name(),
                "The substation " + facts.name() + " with its assets and monitors",
                NodeIds.FolderType,
                true,
                () -> {
                    List<Reference> references = new ArrayList<>();
                    references.add(NodeShapes.to(id, NodeIds.Organizes, NodeIds.ObjectsFolder, false));
                    references.add(NodeShapes.to(id, NodeIds.HasNotifier, NodeIds.Server, false));
                    references.add(NodeShapes.to(id, NodeIds.Organizes, names.ofPoints(), true));
                    for (StationFacts.Asset asset : assets.values()) {
                        references.add(NodeShapes.to(id, NodeIds.Organizes, names.ofAsset(asset.id()), true));
                        references.add(NodeShapes.to(id, NodeIds.HasNotifier, names.ofAsset(asset.id()), true));
                    }
                    return references;
                });
    }

    private @Nullable SpaceNode asset(StationFacts.@Nullable Asset asset) {
        if (asset == null) {
            return null;
        }
        NodeId id = names.ofAsset(asset.id());
        return shapes.object(
                id, names.browseName(asset.id()), asset.name(), asset.kind(), NodeIds.BaseObjectType, true, () -> {
                    List<Reference> references = new ArrayList<>();
                    references.add(NodeShapes.to(id, NodeIds.Organizes, names.ofStation(), false));
                    references.add(NodeShapes.to(id, NodeIds.HasNotifier, names.ofStation(), false));
                    for (StationFacts.Device device : byAsset.getOrDefault(asset.id(), List.of())) {
                        references.add(NodeShapes.to(id, NodeIds.HasComponent, names.ofDevice(device.id()), true));
                        references.add(NodeShapes.to(id, NodeIds.HasEventSource, names.ofDevice(device.id()), true));
                    }
                    return references;
                });
    }

    private @Nullable SpaceNode device(StationFacts.@Nullable Device device, String[] parts) {
        if (device == null) {
            return null;
        }
        if (parts.length == 3) {
            return group(device, parts[2]);
        }
        NodeId id = names.ofDevice(device.id());
        return shapes.object(
                id,
                names.browseName(device.id()),
                device.name(),
                device.kind().product(),
                NodeIds.BaseObjectType,
                false,
                () -> {
                    List<Reference> references = new ArrayList<>();
                    references.add(NodeShapes.to(id, NodeIds.HasComponent, names.ofAsset(device.asset()), false));
                    references.add(NodeShapes.to(id, NodeIds.HasEventSource, names.ofAsset(device.asset()), false));
                    for (String group : List.of(READINGS, INDICATIONS, WORDS)) {
                        if (!inGroup(device, group).isEmpty()) {
                            references.add(NodeShapes.to(id, NodeIds.HasComponent, ofGroup(device, group), true));
                        }
                    }
                    return references;
                });
    }

    private NodeId ofGroup(StationFacts.Device device, String group) {
        return names.in("device/" + device.id() + "/" + group);
    }

    private List<NodeId> inGroup(StationFacts.Device device, String group) {
        List<NodeId> ids = new ArrayList<>();
        switch (group) {
            case READINGS ->
                device.kind().points().forEach(p -> ids.add(names.ofReading(new SignalId(device.id(), p.name()))));
            case INDICATIONS -> {
                device.kind()
                        .indications()
                        .forEach(i -> ids.add(names.ofIndication(new SignalId(device.id(), i.name()))));
                if (words.containsKey(device.id())) {
                    ids.add(names.ofIndication(new SignalId(device.id(), DeviceKind.COMMUNICATION_LOST)));
                }
            }
            case WORDS ->
                words.getOrDefault(device.id(), List.of())
                        .forEach(w -> ids.add(names.ofWord(new SignalId(device.id(), w.name()))));
            default -> throw new IllegalArgumentException(group);
        }
        return ids;
    }

    private @Nullable SpaceNode group(StationFacts.Device device, String group) {
        String title = switch (group) {
            case READINGS -> "Readings";
            case INDICATIONS -> "Indications";
            case WORDS -> "Status words";
            default -> "";
        };
        if (title.isEmpty() || inGroup(device, group).isEmpty()) {
            return null;
        }
        NodeId id = ofGroup(device, group);
        return shapes.object(id, names.browseName(group), title, "", NodeIds.FolderType, false, () -> {
            List<Reference> references = new ArrayList<>();
            references.add(NodeShapes.to(id, NodeIds.HasComponent, names.ofDevice(device.id()), false));
            inGroup(device, group)
                    .forEach(child -> references.add(NodeShapes.to(id, NodeIds.HasComponent, child, true)));
            return references;
        });
    }

    // ---- readings

    private @Nullable SpaceNode reading(String[] parts) {
        StationFacts.Device device = devices.get(parts[1]);
        DeviceKind.Point point = device == null
                ? null
                : points.computeIfAbsent(device.kind(), kind -> byName(kind.points(), DeviceKind.Point::name))
                        .get(parts[2]);
        if (device == null || point == null) {
            return null;
        }
        SignalId signal = new SignalId(device.id(), point.name());
        NodeId id = names.ofReading(signal);
        if (parts.length == 4) {
            return readingProperty(id, point, parts[3]);
        }
        boolean text = point.isField();
        NodeId type = text
                ? NodeIds.BaseDataVariableType
                : point.range() != null
                        ? point.unit().isEmpty() ? NodeIds.AnalogItemType : NodeIds.AnalogUnitRangeType
                        : point.unit().isEmpty() ? NodeIds.BaseAnalogType : NodeIds.AnalogUnitType;
        return variable(
                id,
                point.name(),
                point.label(),
                point.group(),
                type,
                ofGroup(device, READINGS),
                new SpaceNode.Content(
                        text ? NodeIds.String : NodeIds.Double,
                        view -> seenReading(id, signal, view),
                        seen -> shownReading((StationView.@Nullable TrustedReading) seen)),
                () -> {
                    List<Reference> properties = new ArrayList<>();
                    if (!text && !point.unit().isEmpty()) {
                        properties.add(NodeShapes.to(id, NodeIds.HasProperty, property(id, "EngineeringUnits"), true));
                    }
                    if (!text && point.range() != null) {
                        properties.add(NodeShapes.to(id, NodeIds.HasProperty, property(id, "EURange"), true));
                    }
                    return properties;
                });
    }

    private @Nullable SpaceNode readingProperty(NodeId of, DeviceKind.Point point, String name) {
        DeviceKind.Range range = point.range();
        if (name.equals("EngineeringUnits") && !point.isField() && !point.unit().isEmpty()) {
            return property(of, name, NodeIds.EUInformation, shapes.structure(Units.of(point.unit())));
        }
        return name.equals("EURange") && !point.isField() && range != null
                ? property(of, name, NodeIds.Range, shapes.structure(new Range(range.low(), range.high())))
                : null;
    }

    private StationView.@Nullable TrustedReading seenReading(NodeId id, SignalId signal, StationView view) {
        StationView.DeviceView device = view.devices().get(signal.owner());
        return device == null
                ? null
                : placed(id, device.readings(), r -> r.reading().id().equals(signal));
    }

    /** The picture of a device lists its signals in the same order each time. */
    private <T> @Nullable T placed(NodeId id, List<T> all, java.util.function.Predicate<T> wanted) {
        Integer place = places.get(id);
        if (place != null && place < all.size() && wanted.test(all.get(place))) {
            return all.get(place);
        }
        for (int i = 0; i < all.size(); i++) {
            if (wanted.test(all.get(i))) {
                places.put(id, i);
                return all.get(i);
            }
        }
        return null;
    }

    private static DataValue shownReading(StationView.@Nullable TrustedReading trusted) {
        if (trusted == null) {
            return new DataValue(Variant.NULL_VALUE, new StatusCode(StatusCodes.Bad_WaitingForInitialData), null, null);
        }
        Reading reading = trusted.reading();
        return new DataValue(
                new Variant(reading.number() != null ? reading.number() : reading.text()),
                trusted.test() ? Qualities.TEST : Qualities.of(reading.reason()),
                NodeShapes.time(reading.at()),
                null);
    }

    // ---- indications

    private @Nullable SpaceNode indication(String[] parts) {
        StationFacts.Device device = devices.get(parts[1]);
        if (device == null) {
            return null;
        }
        DeviceKind.NamedIndication known = indications
                .computeIfAbsent(device.kind(), kind -> byName(kind.indications(), DeviceKind.NamedIndication::name))
                .get(parts[2]);
        boolean communication = parts[2].equals(DeviceKind.COMMUNICATION_LOST) && words.containsKey(device.id());
        if (known == null && !communication) {
            return null;
        }
        SignalId signal = new SignalId(device.id(), parts[2]);
        NodeId id = names.ofIndication(signal);
        if (parts.length == 4) {
            return switch (parts[3]) {
                case "TrueState" ->
                    property(id, parts[3], NodeIds.LocalizedText, new Variant(LocalizedText.english("Holds")));
                case "FalseState" ->
                    property(id, parts[3], NodeIds.LocalizedText, new Variant(LocalizedText.english("Does not hold")));
                default -> null;
            };
        }
        return variable(
                id,
                signal.name(),
                known == null ? "the device does not answer" : known.text(),
                "",
                NodeIds.TwoStateDiscreteType,
                ofGroup(device, INDICATIONS),
                new SpaceNode.Content(
                        NodeIds.Boolean,
                        view -> seenIndication(id, signal, view),
                        seen -> shownIndication((@Nullable Indication) seen)),
                () -> List.of(
                        NodeShapes.to(id, NodeIds.HasProperty, property(id, "TrueState"), true),
                        NodeShapes.to(id, NodeIds.HasProperty, property(id, "FalseState"), true)));
    }

    private @Nullable Indication seenIndication(NodeId id, SignalId signal, StationView view) {
        StationView.DeviceView device = view.devices().get(signal.owner());
        return device == null ? null : placed(id, device.indications(), i -> i.id().equals(signal));
    }

    private static DataValue shownIndication(@Nullable Indication indication) {
        if (indication == null || indication.state() == IndicationState.CANNOT_BE_TOLD) {
            return new DataValue(
                    Variant.NULL_VALUE,
                    indication == null
                            ? new StatusCode(StatusCodes.Bad_WaitingForInitialData)
                            : Qualities.untold(indication.reason()),
                    indication == null ? null : NodeShapes.time(indication.at()),
                    null);
        }
        return new DataValue(
                new Variant(indication.state() == IndicationState.HOLDS),
                Qualities.of(indication.reason()),
                NodeShapes.time(indication.at()),
                null);
    }

    // ---- status words

    private @Nullable SpaceNode word(String[] parts) {
        StatusWord known = words.getOrDefault(parts[1], List.of()).stream()
                .filter(w -> w.name().equals(parts[2]))
                .findFirst()
                .orElse(null);
        StationFacts.Device device = devices.get(parts[1]);
        if (known == null || device == null) {
            return null;
        }
        SignalId signal = new SignalId(parts[1], parts[2]);
        NodeId id = names.ofWord(signal);
        int width = known.width() <= 16 ? 16 : known.width() <= 32 ? 32 : 64;
        return variable(
                id,
                known.name(),
                known.text().isEmpty() ? known.name() : known.text(),
                "",
                NodeIds.BaseDataVariableType,
                ofGroup(device, WORDS),
                new SpaceNode.Content(
                        width == 16 ? NodeIds.UInt16 : width == 32 ? NodeIds.UInt32 : NodeIds.UInt64,
                        view -> seenWord(id, signal, view),
                        seen -> shownWord((@Nullable SeenWord) seen, width)),
                List::of);
    }

    /** A word and whether its device answers now: a word has no quality of its own. */
    private record SeenWord(StatusWordValue word, boolean lost) {}

    private @Nullable SeenWord seenWord(NodeId id, SignalId signal, StationView view) {
        StationView.DeviceView device = view.devices().get(signal.owner());
        StatusWordValue word = device == null ? null : placed(id, device.words(), w -> w.id().equals(signal));
        return word == null
                ? null
                : new SeenWord(word, Objects.requireNonNull(device).lost());
    }

    private static DataValue shownWord(@Nullable SeenWord seen, int width) {
        if (seen == null) {
            return new DataValue(Variant.NULL_VALUE, new StatusCode(StatusCodes.Bad_WaitingForInitialData), null, null);
        }
        long bits = seen.word().bits();
        Object value = width == 16 ? ushort((int) bits) : width == 32 ? uint(bits) : ulong(bits);
        return new DataValue(
                new Variant(value),
                seen.lost() ? new StatusCode(StatusCodes.Bad_NoCommunication) : StatusCode.GOOD,
                NodeShapes.time(seen.word().at()),
                null);
    }

    // ---- variables in general

    private SpaceNode variable(
            NodeId id,
            String browseName,
            String name,
            String description,
            NodeId type,
            NodeId parent,
            SpaceNode.Content content,
            Supplier<List<Reference>> properties) {
        return new SpaceNode(
                id,
                names.browseName(browseName),
                LocalizedText.english(name),
                LocalizedText.english(description),
                type,
                false,
                content,
                NodeShapes.withType(id, type, () -> {
                    List<Reference> references = new ArrayList<>();
                    references.add(NodeShapes.to(id, NodeIds.HasComponent, parent, false));
                    references.addAll(properties.get());
                    return references;
                }));
    }

    private NodeId property(NodeId of, String name) {
        return names.in(of.getIdentifier() + "/" + name);
    }

    private SpaceNode property(NodeId of, String name, NodeId dataType, Variant value) {
        return shapes.property(property(of, name), of, name, dataType, value);
    }

    private static <T> Map<String, T> byName(List<T> all, Function<T, String> name) {
        Map<String, T> found = new LinkedHashMap<>();
        all.forEach(each -> found.putIfAbsent(name.apply(each), each));
        return found;
    }

    /** The asset that a source of events belongs to; empty where the node is no source. */
    Optional<String> assetOf(NodeId source) {
        String text = String.valueOf(source.getIdentifier());
        if (text.startsWith("asset/")) {
            return Optional.of(text.substring("asset/".length()));
        }
        return text.startsWith("device/")
                ? Optional.ofNullable(devices.get(text.substring("device/".length())))
                        .map(StationFacts.Device::asset)
                : Optional.empty();
    }

    /** The variable that shows a signal; null where there is none. */
    @Nullable
    NodeId variable(SignalId signal) {
        for (NodeId id : List.of(names.ofReading(signal), names.ofIndication(signal))) {
            if (find(id) != null) {
                return id;
            }
        }
        return null;
    }
}
