package oilbird.gateway.points;

import oilbird.alarm.state.AlarmId;
import oilbird.mapping.signal.SignalId;

/** What a point of the control room stands for. {@link #toString()} is how a point list writes it. */
public sealed interface PointSubject {
    /** Whether an alarm is active. */
    record OfAlarm(AlarmId alarm) implements PointSubject {
        @Override
        public String toString() {
            return "alarm " + alarm;
        }
    }

    /** Whether an alarm is shelved. */
    record OfShelving(AlarmId alarm) implements PointSubject {
        @Override
        public String toString() {
            return "shelved " + alarm;
        }
    }

    /** The value of a reading. */
    record OfReading(SignalId reading) implements PointSubject {
        @Override
        public String toString() {
            return "reading " + reading;
        }
    }

    /** Several things of one asset in one point. */
    record OfSummary(String asset, Summary summary) implements PointSubject {
        @Override
        public String toString() {
            return "summary " + asset + "/" + summary.written();
        }
    }

    /** That the gateway is alive: it changes with every period. */
    record LifeSign() implements PointSubject {
        @Override
        public String toString() {
            return "life-sign";
        }
    }
}
