package oilbird.gateway.opcua.server.condition;

import java.util.List;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.CommittedListener;

/** Alarms and conditions of the station (OPC 10000-9), for a server that has everything else. */
public final class Conditions implements CommittedListener, AutoCloseable {
    private final ServerSide side;

    private Conditions(ServerSide side) {
        this.side = side;
    }

    /** Makes the types and takes the services of conditions over; after Milo has loaded its own nodes. */
    public static Conditions open(ServerSide side) {
        return new Conditions(side);
    }

    @Override
    public void committed(List<RecordedEvent> events) {
        side.now();
    }

    @Override
    public void close() {}
}
