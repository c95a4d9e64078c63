package oilbird.alarm.station;

import java.util.List;
import oilbird.alarm.state.AlarmEvent;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;

/** A numbered entry of the event record. */
public sealed interface StationEvent {
    EventId id();

    Moment at();

    /**
     * Something happened to an alarm.
     *
     * @param doubted readings that the alarm is about or that its device gives and that cannot be
     *     trusted now, with the indication that says so.
     */
    record OfAlarm(EventId id, AlarmEvent event, List<Doubt> doubted) implements StationEvent {
        public OfAlarm {
            doubted = List.copyOf(doubted);
        }

        @Override
        public Moment at() {
            return event.at();
        }
    }

    /**
     * Something an engineer should know and an operator need not.
     *
     * @param subject device, word or rule that it is about.
     * @param text what was seen, as facts.
     */
    record Notice(EventId id, Kind kind, SignalId subject, String text, Moment at) implements StationEvent {
        public enum Kind {
            GATEWAY_STARTED,
            RULES_LOADED,
            /** A set bit that the device map knows nothing about. */
            UNDOCUMENTED_BIT,
            OTHER_FIRMWARE,
            OTHER_PRODUCT,
            DEVICE_LOST,
            DEVICE_BACK,
            INPUTS_LOST,
            MAINTENANCE_BEGUN,
            /** The time stated for a maintenance is over; it goes on. */
            MAINTENANCE_TIME_OVER,
            /** With the readings before and after. */
            MAINTENANCE_ENDED,
            /** The outgoing value of a reading is forced by a point test. */
            TEST_FORCED,
            TEST_ENDED,
            /** A laboratory's oil sample was entered, with its values. */
            SAMPLE_ENTERED,
            SAMPLE_WITHDRAWN,
            /** The wall clock jumped; delays are not affected, time stamps are. */
            CLOCK_STEPPED
        }
    }

    /**
     * A reading that must not be taken at face value.
     *
     * @param because the indication that makes it so.
     * @param worthless true where nothing can be concluded from it at all.
     */
    record Doubt(SignalId reading, SignalId because, boolean worthless) {}
}
