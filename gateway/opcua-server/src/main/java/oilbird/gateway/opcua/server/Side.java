package oilbird.gateway.opcua.server;

import java.time.Duration;
import java.util.List;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationView;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.outbox.LinkFilter;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.ActDoor;
import oilbird.gateway.opcua.server.condition.ServerSide;
import oilbird.gateway.opcua.server.session.Rights;
import oilbird.gateway.opcua.server.space.Names;
import oilbird.mapping.signal.Moment;
import org.eclipse.milo.opcua.sdk.server.OpcUaServer;
import org.eclipse.milo.opcua.sdk.server.nodes.UaNodeContext;

/** A server that is about to take connections, as its conditions see it. */
record Side(OpcUaServer milo, Names names, UaNodeContext typeNodes, Rights rights, ServerParts parts, String link)
        implements ServerSide {
    private static final Duration PATIENCE = Duration.ofSeconds(15);

    @Override
    public ActDoor acts() {
        return parts.acts();
    }

    @Override
    public Duration patience() {
        return PATIENCE;
    }

    @Override
    public StationView view() {
        return parts.present().get();
    }

    @Override
    public StationFacts facts() {
        return parts.station().model().facts();
    }

    @Override
    public Forms forms() {
        return parts.forms();
    }

    @Override
    public List<RecordedEvent> newest(AlarmId alarm, int max) {
        return parts.past().ofAlarm(alarm, max);
    }

    @Override
    public LinkFilter only() {
        return parts.station().manner(link).only();
    }

    @Override
    public Moment now() {
        return parts.clock().now();
    }
}
