package oilbird.gateway.opcua.server.space;

import oilbird.alarm.state.AlarmId;
import oilbird.mapping.signal.SignalId;
import org.eclipse.milo.opcua.stack.core.NamespaceTable;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.QualifiedName;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;

/**
 * How the things of the station are named in the address space: string identifiers made of the ids of the station
 * folder, so that they are the same after a restart and on a spare.
 *
 * @param station index of the station's own namespace.
 * @param types index of the namespace of the types, the same URI on every gateway.
 * @param points index of the namespace of the control room's points, whose identifiers its list dictates.
 */
public record Names(UShort station, UShort types, UShort points) {
    /** URI of the types' namespace. */
    public static final String TYPES = "urn:oilbird:opc-ua:types";

    /**
     * The names as a client or server counts its namespaces.
     *
     * @throws IllegalArgumentException if one of the namespaces is not there.
     */
    public static Names of(NamespaceTable table, String stationId) {
        return new Names(index(table, stationUri(stationId)), index(table, TYPES), index(table, pointsUri(stationId)));
    }

    private static UShort index(NamespaceTable table, String uri) {
        UShort index = table.getIndex(uri);
        if (index == null) {
            throw new IllegalArgumentException("there is no namespace " + uri);
        }
        return index;
    }

    /** URI of a station's namespace. */
    public static String stationUri(String stationId) {
        return "urn:oilbird:station:" + stationId;
    }

    /** URI of the namespace of the control room's points. */
    public static String pointsUri(String stationId) {
        return stationUri(stationId) + ":points";
    }

    /** The folder of the control room's points. */
    public NodeId ofPoints() {
        return in("points");
    }

    /** A point of the control room. */
    public NodeId ofPoint(String address) {
        return new NodeId(points, address);
    }

    /** The station: a notifier below the Server object. */
    public NodeId ofStation() {
        return in("station");
    }

    /** An asset: a notifier below the station. */
    public NodeId ofAsset(String asset) {
        return in("asset/" + asset);
    }

    /** A device: the source of the events of its asset. */
    public NodeId ofDevice(String device) {
        return in("device/" + device);
    }

    public NodeId ofReading(SignalId reading) {
        return in("reading/" + reading);
    }

    public NodeId ofIndication(SignalId indication) {
        return in("indication/" + indication);
    }

    public NodeId ofWord(SignalId word) {
        return in("word/" + word);
    }

    /** A condition; it has no node, and clients give this id with the method of its type. */
    public NodeId ofCondition(AlarmId alarm) {
        return in("alarm/" + alarm);
    }

    NodeId in(String identifier) {
        return new NodeId(station, identifier);
    }

    /** A node of the types' namespace. */
    public NodeId ofType(long number) {
        return new NodeId(types, org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.Unsigned.uint(number));
    }

    QualifiedName browseName(String name) {
        return new QualifiedName(station, name);
    }

    /** A browse name in the types' namespace. */
    public QualifiedName typeName(String name) {
        return new QualifiedName(types, name);
    }
}
