package oilbird.gateway.opcua.server.condition;

import java.time.Duration;
import java.util.List;
import java.util.Set;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationView;
import oilbird.gateway.access.AccessTable;
import oilbird.gateway.access.Action;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.ActDoor;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.Session;
import org.eclipse.milo.opcua.sdk.server.nodes.UaNodeContext;
import org.eclipse.milo.opcua.stack.core.types.builtin.NodeId;
import org.eclipse.milo.opcua.stack.core.types.builtin.unsigned.UShort;
import org.jspecify.annotations.Nullable;

/**
 * What the conditions need of the server that they live in. All of it is thread-safe.
 *
 * <p>The other way round: {@link Conditions#open} is called once the server's own nodes are there and before it takes
 * connections, {@link Conditions#committed} hears of every committed event, {@link Conditions#close} comes first when
 * the server stops.
 */
public interface ServerSide {
    OpcUaServer milo();

    /** The namespace of the station's own nodes and types; condition types and conditions go there too. */
    UShort namespace();

    /** Where nodes of that namespace are made. */
    UaNodeContext nodes();

    /** Every endpoint's path, as the services are registered under it. */
    List<String> paths();

    /**
     * The node that an alarm comes from: of its device or, for a rule on the asset, of the asset.
     *
     * @param device null for a rule on the asset.
     */
    NodeId source(AlarmId alarm, @Nullable String device);

    /** Event notifiers that report what comes from this source, besides the Server object. */
    Set<NodeId> notifiers(NodeId source);

    /** The node of the object that carries the alarm metrics: an event notifier for the whole station. */
    NodeId station();

    /** The variable of a signal; {@link NodeId#NULL_VALUE} where the address space has none. */
    NodeId variable(SignalId signal);

    /** What the one table says of this session and an action; a refusal is recorded where refusals are. */
    AccessTable.Answer may(Session session, Action action);

    /** Who acts in this session, for the record; the door is {@link #door()}. */
    Actor actor(Session session);

    /** The link's id, as the door of acts that come in here. */
    String door();

    ActDoor acts();

    /** How long a call waits for the disk. */
    Duration patience();

    /** The newest picture of the station with all announced events. */
    StationView view();

    StationFacts facts();

    /** The words of the rules in force. */
    Forms forms();

    /** The newest events of an alarm, newest first, at most {@code max}. */
    List<RecordedEvent> newest(AlarmId alarm, int max);

    Moment now();

    /** The most events that may wait for one monitored item. */
    int longestEventQueue();
}
