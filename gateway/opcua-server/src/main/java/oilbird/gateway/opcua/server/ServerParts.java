package oilbird.gateway.opcua.server;

import java.nio.file.Path;
import java.util.List;
import java.util.concurrent.CompletableFuture;
import java.util.function.Supplier;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationView;
import oilbird.gateway.access.Access;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.engine.clock.GatewayClock;
import oilbird.gateway.engine.record.EventRecord;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.ActDoor;
import oilbird.gateway.opcua.server.history.EventHistory;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.station.Station;

/**
 * What the server needs of the gateway around it.
 *
 * @param data folder of the gateway.
 * @param access complete once the gateway knows who may do what.
 * @param committed the newest committed picture of the station.
 * @param present the same with the events that were announced since.
 * @param acts where acts of persons go.
 * @param past the event record.
 * @param points of the control room at this link.
 */
public record ServerParts(
        Station station,
        Path data,
        CompletableFuture<Access> access,
        Supplier<StationView> committed,
        Supplier<StationView> present,
        ActDoor acts,
        Forms forms,
        Past past,
        PointFeed points,
        GatewayClock clock) {
    /** What the server reads of the event record. Thread-safe; each call takes some milliseconds. */
    public interface Past extends EventHistory.Past {
        /** The newest events of an alarm, newest first. */
        List<RecordedEvent> ofAlarm(AlarmId alarm, int max);
    }

    /** The event record as the server reads it. */
    public static Past past(EventRecord record) {
        return new Past() {
            @Override
            public List<RecordedEvent> ofAlarm(AlarmId alarm, int max) {
                return record.ofAlarm(alarm, Long.MAX_VALUE, max);
            }

            @Override
            public List<RecordedEvent> after(long position, int max) {
                return record.after(position, max);
            }

            @Override
            public List<RecordedEvent> before(long position, int max) {
                return record.before(position, max);
            }
        };
    }
}
