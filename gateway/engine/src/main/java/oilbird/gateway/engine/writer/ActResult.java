package oilbird.gateway.engine.writer;

import java.util.List;
import oilbird.alarm.check.GuidedStep;
import oilbird.alarm.state.Refusal;
import oilbird.gateway.engine.record.RecordedEvent;

/** What became of a human act; given only after the outcome is durable. */
public sealed interface ActResult {
    /** It was done; the events say what changed. */
    record Done(List<RecordedEvent> events) implements ActResult {
        public Done {
            events = List.copyOf(events);
        }
    }

    /** The alarm's state does not allow it; the refusal itself is in the record. */
    record Refused(Refusal refusal, List<RecordedEvent> events) implements ActResult {
        public Refused {
            events = List.copyOf(events);
        }
    }

    /** A guided fault-finding did not take an input; nothing changed. */
    record StepRefused(GuidedStep.Refused refused) implements ActResult {}

    /** Nothing was done: too many acts wait, or the gateway is stopping. The person may try again. */
    record NotTaken(String why) implements ActResult {}
}
