package oilbird.gateway.opcua.server.condition;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationView;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.outbox.LinkFilter;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.ActDoor;
import oilbird.gateway.opcua.server.session.Rights;
import oilbird.gateway.opcua.server.space.Names;
import oilbird.mapping.signal.Moment;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.nodes.UaNodeContext;

/**
 * What the conditions need of the server that they live in. All of it is thread-safe.
 *
 * <p>{@link Conditions#open} is called once the library's nodes and the server's own are there, and before it takes
 * connections; {@link Conditions#close} comes first when the server stops.
 */
public interface ServerSide {
    OpcUaServer milo();

    Names names();

    /** Where nodes of the types' namespace are made. */
    UaNodeContext typeNodes();

    Rights rights();

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

    /** What the link lets through; conditions of other alarms are not shown, since none of their changes comes. */
    LinkFilter only();
}
