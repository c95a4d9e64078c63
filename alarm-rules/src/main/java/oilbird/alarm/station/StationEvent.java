package oilbird.alarm.station;

import java.util.List;
import oilbird.alarm.check.GuidedEvent;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.rule.Trouble;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

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
            /** The connection of a device is released for other use. */
            RELEASE_BEGUN,
            RELEASE_ENDED,
            /** Another master speaks on a serial line. */
            FOREIGN_TRAFFIC,
            /** The outgoing value of a reading is forced by a point test. */
            TEST_FORCED,
            TEST_ENDED,
            /** A laboratory's oil sample was entered, with its values. */
            SAMPLE_ENTERED,
            SAMPLE_WITHDRAWN,
            /** The start-up hold is over; says how many alarms waited and which devices are still silent. */
            START_UP_OVER,
            /** The wall clock jumped; delays are not affected, time stamps are. */
            CLOCK_STEPPED,
            /** A link's other side will never take an event; the link went on without it. */
            EVENT_REFUSED,
            /** A test message for the other side of a link, and for nobody else. */
            LINK_TESTED,
            /** Events were removed from the event record before a link's other side had them; says which. */
            EVENTS_MISSED,
            /** The oldest events are removed from the event record; says which, and on what the rest stands. */
            RECORD_SHORTENED
        }
    }

    /**
     * A diagnosis was made, or has changed in what people would want to know.
     *
     * @param diagnosis its id: of the event that opened it.
     * @param subject id of the asset or of the shared thing that it is about.
     * @param since when its first sign showed.
     * @param causes the likeliest first.
     * @param signs those that hold, the first-out first.
     * @param orOneOf signs that may have come before the first one within the uncertainty of polling.
     * @param unexplained signs that most likely no listed cause has produced.
     * @param grouped alarms that are consequences.
     * @param apart alarms of the safety and equipment-protection classes that belong to it and stand for themselves.
     * @param keepAway true where a cause to be reckoned with keeps people away.
     */
    record Diagnosed(
            EventId id,
            Kind kind,
            String diagnosis,
            String subject,
            List<String> assets,
            Moment since,
            List<Likely> causes,
            List<Sign> signs,
            List<Sign> orOneOf,
            List<Sign> unexplained,
            List<AlarmId> grouped,
            List<AlarmId> apart,
            boolean keepAway,
            Moment at)
            implements StationEvent {
        public enum Kind {
            OPENED,
            CHANGED,
            /** None of its signs holds any more. */
            CLOSED
        }

        /**
         * A cause and its posterior.
         *
         * @param says in plain words, as the fault model had it.
         * @param millionths posterior in millionths, rounded.
         */
        public record Likely(String cause, String says, Trouble trouble, int millionths) {}

        public Diagnosed {
            assets = List.copyOf(assets);
            causes = List.copyOf(causes);
            signs = List.copyOf(signs);
            orOneOf = List.copyOf(orOneOf);
            unexplained = List.copyOf(unexplained);
            grouped = List.copyOf(grouped);
            apart = List.copyOf(apart);
        }
    }

    /**
     * People are to keep away from an asset, there is another reason for it, or the control room has released it.
     *
     * @param reasons all that there are now, in the order in which they came: an indication, an alarm or a cause.
     * @param by who released it; null otherwise.
     */
    record KeptAway(
            EventId id,
            Kind kind,
            String asset,
            List<String> reasons,
            @Nullable Actor by,
            String text,
            Moment at) implements StationEvent {
        public enum Kind {
            RAISED,
            ANOTHER_REASON,
            RELEASED
        }

        public KeptAway {
            reasons = List.copyOf(reasons);
        }
    }

    /**
     * Somebody signed in, was refused, or changed who may do what.
     *
     * @param about the user, token or role that it is about; empty where nobody is known.
     * @param by who did it, or tried to.
     * @param address an IP address; empty for a command on the gateway's own machine.
     * @param text what happened, as facts; never a secret.
     * @param times how often the same happened; more than 1 where a flood is told as a sum.
     */
    record Accessed(EventId id, Kind kind, String about, Actor by, String address, String text, long times, Moment at)
            implements StationEvent {
        public enum Kind {
            SIGNED_IN,
            SIGNED_OUT,
            /** A session was ended by its limits or because something about its user changed. */
            SESSION_ENDED,
            SIGN_IN_REFUSED,
            /** Somebody asked for what the one table does not give. */
            CALL_REFUSED,
            /** The first user was made with the set-up code. */
            SET_UP,
            USER_ADDED,
            ROLE_CHANGED,
            PASSWORD_CHANGED,
            USER_REMOVED,
            SESSIONS_REVOKED,
            TOKEN_ADDED,
            TOKEN_REMOVED,
            BREAK_GLASS_MADE,
            BREAK_GLASS_USED,
            /** What roles may do is another than at the start before. */
            ROLES_CHANGED,
            /** Others could read or write a secret file; says whether they still can. */
            SECRETS_EXPOSED,
            /** Changes were made whose entries are gone. */
            ENTRIES_MISSING
        }
    }

    /**
     * Something happened in a guided fault-finding.
     *
     * @param session id of the event with which it began.
     * @param of the session so far; its events, folded again, give it.
     * @param said what was in the library then, in words, so that the record can be read without it.
     * @param seen what the gateway had of the devices concerned; empty for what changes nothing at them.
     */
    record FaultFinding(EventId id, String session, GuidedEvent of, Said said, List<DeviceSeen> seen)
            implements StationEvent {
        /**
         * The words of the library.
         *
         * @param about what was asked for or the cause; empty where neither is.
         * @param found the outcome; empty where there is none.
         * @param means what it means; empty likewise.
         */
        public record Said(String about, String found, String means) {
            public static final Said NOTHING = new Said("", "", "");
        }

        public FaultFinding {
            seen = List.copyOf(seen);
        }

        @Override
        public Moment at() {
            return of.input().entry().at();
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
