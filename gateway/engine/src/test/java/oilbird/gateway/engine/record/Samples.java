package oilbird.gateway.engine.record;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.OutOfService;
import oilbird.alarm.state.Pending;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.state.StateName;
import oilbird.alarm.state.Suppression;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.Remembered;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.SignalId;

/** Invented events and memories of the station Windlow. */
final class Samples {
    static final Moment NOON = new Moment(1_000, 1_772_366_400_000L, true);
    static final AlarmId FAN = new AlarmId("tx-1", "gas-1.fan-stopped");

    private Samples() {}

    static StationEvent alarmEvent(long incarnation, long sequence) {
        return alarmEvent(incarnation, sequence, "fan stopped");
    }

    static StationEvent alarmEvent(long incarnation, long sequence, String text) {
        return new StationEvent.OfAlarm(
                new EventId("windlow-gw", incarnation, sequence),
                new AlarmEvent(
                        FAN,
                        7,
                        AlarmEvent.Kind.RAISED,
                        StateName.UNACK,
                        true,
                        false,
                        true,
                        false,
                        true,
                        Shelving.Kind.NONE,
                        Duration.ZERO,
                        false,
                        false,
                        0,
                        AlarmEvent.Annunciation.START,
                        Priority.MINOR,
                        Quality.GOOD,
                        null,
                        text,
                        NOON),
                List.of(new StationEvent.Doubt(
                        new SignalId("gas-1", "h2"), new SignalId("gas-1", "fan-stopped"), false)));
    }

    static StationEvent notice(long incarnation, long sequence) {
        return new StationEvent.Notice(
                new EventId("windlow-gw", incarnation, sequence),
                StationEvent.Notice.Kind.UNDOCUMENTED_BIT,
                new SignalId("gas-1", "status-1"),
                "bit 9",
                NOON);
    }

    /** Events at positions {@code from} to {@code to} with sequence = position. */
    static List<RecordedEvent> events(long incarnation, long from, long to) {
        List<RecordedEvent> events = new ArrayList<>();
        for (long i = from; i <= to; i++) {
            events.add(new RecordedEvent(
                    i, i % 3 == 0 ? notice(incarnation, i) : alarmEvent(incarnation, i, "evidence " + i), true));
        }
        return events;
    }

    static final Remembered RATE = new Remembered(
            "rate tx-1/gas-1.h2-rising",
            List.of("gas-1/h2", "600000000000"),
            List.of(NOON.monotonicNanos() - 5_000_000_000L, NOON.monotonicNanos()),
            List.of(20.5, 0.0, 21.0, 1.0),
            false);

    /** Leaves pieces and maintenance behind, besides the events. */
    static Commit remembering(List<RecordedEvent> events, Standing standing, List<Remembered> pieces) {
        return new Commit(events, List.of(), List.of(), List.of(), standing, pieces, NOON);
    }

    static final Standing MAINTENANCE = maintenance(new AlarmInput.Before(true, false, true, Priority.MAJOR));

    /**
     * @param found the fan's alarm as it was when the maintenance began.
     */
    static Standing maintenance(AlarmInput.Before found) {
        return new Standing(
                List.of(new Standing.Maintenance(
                        "gas-1",
                        new Actor("T. Technician", "page"),
                        "fan change",
                        "W-12",
                        NOON,
                        NOON.monotonicNanos() + 7_200_000_000_000L,
                        NOON.wallMillis() + 7_200_000,
                        false,
                        List.of(FAN),
                        List.of(new Standing.Before(new SignalId("gas-1", "h2"), 20.5)),
                        List.of(new Standing.Found(FAN, found)))),
                List.of(),
                List.of());
    }

    static Commit commit(List<RecordedEvent> events) {
        return new Commit(events, List.of(), List.of(), List.of(), NOON);
    }

    /** Every memory is used. */
    static AlarmState fullState(AlarmId id, String lastEvent) {
        Actor actor = new Actor("A. Operator", "page");
        return new AlarmState(
                id,
                false,
                true,
                true,
                false,
                true,
                true,
                new Shelving(Shelving.Kind.TIMED, 5_000_000_000L, NOON.wallMillis() + 5_000, actor, "known fault"),
                new Suppression(true, false, null, ""),
                new OutOfService(actor, "repair", "P-17", 9_000_000_000L, NOON.wallMillis() + 9_000),
                42,
                Priority.MAJOR,
                Quality.UNCERTAIN,
                new Pending(Pending.Change.ESCALATE, 800, 2, Priority.CRITICAL, "h2 = 190 ppm"),
                77_000,
                3,
                lastEvent,
                lastEvent,
                "",
                NOON);
    }

    /** It waits for a confirmation, and is suppressed from outside after its logic was overruled. */
    static AlarmState suppressedFromOutside(AlarmId id, String lastEvent) {
        AlarmState full = fullState(id, lastEvent);
        return new AlarmState(
                id,
                true,
                full.condition(),
                full.active(),
                true,
                false,
                full.latched(),
                full.shelving(),
                new Suppression(true, true, new Actor("scada", "opc-ua"), "load test"),
                full.outOfService(),
                full.occurrence(),
                full.priority(),
                full.quality(),
                full.pending(),
                full.reAlarmAt(),
                full.reAlarms(),
                lastEvent,
                lastEvent,
                lastEvent,
                NOON);
    }
}
