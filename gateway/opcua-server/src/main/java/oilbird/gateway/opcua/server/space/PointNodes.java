package oilbird.gateway.opcua.server.space;

import static org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.gateway.points.ControlPoint;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.points.PointState;
import oilbird.gateway.points.PointType;
import oilbird.gateway.points.PointValue;
import oilbird.mapping.signal.Quality;
import org.eclipse.milo.opcua.sdk.core.Reference;
import org.eclipse.milo.opcua.stack.core.NodeIds;
import org.eclipse.milo.opcua.stack.core.StatusCodes;
import org.eclipse.milo.opcua.stack.core.types.builtin.DataValue;
import org.eclipse.milo.opcua.stack.core.types.builtin.LocalizedText;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.StatusCode;
import org.eclipse.milo.opcua.stack.core.types.builtin.Variant;
import org.jspecify.annotations.Nullable;

/**
 * The control room's point list as variables, each at the NodeId that its list dictates, in a folder and a namespace of
 * their own. Test, blocking and maintenance are in the status of the value and, each for itself, in a property.
 */
final class PointNodes {
    private static final String BLOCKED = "Blocked";
    private static final String TEST = "Test";
    private static final String MAINTENANCE = "Maintenance";
    private static final String UNITS = "EngineeringUnits";
    private static final String STATES = "EnumStrings";

    private final Names names;
    private final PointFeed feed;
    private final NodeShapes shapes;
    private final Map<String, Integer> places = new LinkedHashMap<>();

    PointNodes(Names names, PointFeed feed, NodeShapes shapes) {
        this.names = names;
        this.feed = feed;
        this.shapes = shapes;
        for (ControlPoint point : feed.list().points()) {
            places.put(point.address(), places.size());
        }
    }

    SpaceNode folder() {
        NodeId id = names.ofPoints();
        return shapes.object(
                id,
                names.browseName("Points"),
                "Points of the control room",
                "What the control room's point list asks for",
                NodeIds.FolderType,
                false,
                () -> {
                    List<Reference> references = new ArrayList<>();
                    references.add(NodeShapes.to(id, NodeIds.Organizes, names.ofStation(), false));
                    places.keySet()
                            .forEach(address ->
                                    references.add(NodeShapes.to(id, NodeIds.Organizes, names.ofPoint(address), true)));
                    return references;
                });
    }

    /** A point or a property of one; null where the list has no such thing. */
    @Nullable
    SpaceNode find(String identifier) {
        Integer place = places.get(identifier);
        if (place != null) {
            return point(feed.list().points().get(place), place);
        }
        int slash = identifier.lastIndexOf('/');
        Integer of = slash < 0 ? null : places.get(identifier.substring(0, slash));
        return of == null ? null : property(feed.list().points().get(of), of, identifier.substring(slash + 1));
    }

    private SpaceNode point(ControlPoint point, int place) {
        NodeId id = names.ofPoint(point.address());
        NodeId type = switch (point.type()) {
            case SINGLE_POINT, TEXT -> NodeIds.BaseDataVariableType;
            case DOUBLE_POINT -> NodeIds.MultiStateDiscreteType;
            case MEASURED_VALUE -> point.unit().isEmpty() ? NodeIds.BaseAnalogType : NodeIds.AnalogUnitType;
        };
        NodeId dataType = switch (point.type()) {
            case SINGLE_POINT -> NodeIds.Boolean;
            case DOUBLE_POINT -> NodeIds.UInt32;
            case MEASURED_VALUE -> NodeIds.Double;
            case TEXT -> NodeIds.String;
        };
        return new SpaceNode(
                id,
                new QualifiedName(names.points(), point.address()),
                LocalizedText.english(point.text()),
                LocalizedText.english(point.subject().toString()),
                type,
                false,
                new SpaceNode.Content(dataType, view -> seen(place), seen -> shown((@Nullable PointValue) seen)),
                NodeShapes.withType(id, type, () -> {
                    List<Reference> references = new ArrayList<>();
                    references.add(NodeShapes.to(id, NodeIds.Organizes, names.ofPoints(), false));
                    for (String name : properties(point)) {
                        references.add(NodeShapes.to(id, NodeIds.HasProperty, ofProperty(point, name), true));
                    }
                    return references;
                }));
    }

    private NodeId ofProperty(ControlPoint point, String name) {
        return names.ofPoint(point.address() + "/" + name);
    }

    private static List<String> properties(ControlPoint point) {
        List<String> all = new ArrayList<>(List.of(BLOCKED, TEST, MAINTENANCE));
        if (point.type() == PointType.DOUBLE_POINT) {
            all.add(STATES);
        }
        if (point.type() == PointType.MEASURED_VALUE && !point.unit().isEmpty()) {
            all.add(UNITS);
        }
        return all;
    }

    private @Nullable SpaceNode property(ControlPoint point, int place, String name) {
        if (!properties(point).contains(name)) {
            return null;
        }
        NodeId id = ofProperty(point, name);
        NodeId of = names.ofPoint(point.address());
        return switch (name) {
            case UNITS ->
                shapes.property(id, of, name, NodeIds.EUInformation, shapes.structure(Units.of(point.unit())));
            case STATES ->
                shapes.property(
                        id,
                        of,
                        name,
                        NodeIds.LocalizedText,
                        new Variant(Arrays.stream(PointState.DoublePoint.values())
                                .map(s -> LocalizedText.english(s.name().toLowerCase(java.util.Locale.ROOT)))
                                .toArray(LocalizedText[]::new)));
            default ->
                shapes.property(
                        id,
                        of,
                        name,
                        new SpaceNode.Content(
                                NodeIds.Boolean,
                                view -> flag(place, name),
                                seen -> new DataValue(
                                        new Variant(seen),
                                        seen == null
                                                ? new StatusCode(StatusCodes.Bad_WaitingForInitialData)
                                                : StatusCode.GOOD,
                                        null,
                                        null)));
        };
    }

    private @Nullable PointValue seen(int place) {
        List<PointValue> values = feed.now().values();
        return place < values.size() ? values.get(place) : null;
    }

    private @Nullable Boolean flag(int place, String name) {
        PointValue value = seen(place);
        if (value == null) {
            return null;
        }
        return switch (name) {
            case BLOCKED -> value.blocked();
            case TEST -> value.test();
            default -> value.maintenance();
        };
    }

    private static DataValue shown(@Nullable PointValue value) {
        if (value == null) {
            return new DataValue(Variant.NULL_VALUE, new StatusCode(StatusCodes.Bad_WaitingForInitialData), null, null);
        }
        return new DataValue(new Variant(value(value.state())), status(value), NodeShapes.time(value.at()), null);
    }

    private static @Nullable Object value(@Nullable PointState state) {
        if (state instanceof PointState.Single single) {
            return single.on();
        }
        if (state instanceof PointState.Position position) {
            return uint(position.position().wire());
        }
        if (state instanceof PointState.Measured measured) {
            return measured.number();
        }
        return state instanceof PointState.Words words ? words.words() : null;
    }

    private static StatusCode status(PointValue value) {
        if (value.test()) {
            return Qualities.TEST;
        }
        if (value.state() == null || !value.told()) {
            return new StatusCode(StatusCodes.Bad_WaitingForInitialData);
        }
        if (value.quality() == Quality.BAD) {
            return new StatusCode(StatusCodes.Bad_NoCommunication);
        }
        if (value.quality() == Quality.UNCERTAIN) {
            return new StatusCode(
                    value.maintenance()
                            ? StatusCodes.Uncertain_SensorCalibration
                            : StatusCodes.Uncertain_SensorNotAccurate);
        }
        return StatusCode.GOOD;
    }
}
