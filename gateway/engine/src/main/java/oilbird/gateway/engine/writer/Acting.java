package oilbird.gateway.engine.writer;

import java.util.List;
import java.util.concurrent.CompletableFuture;
import oilbird.alarm.check.GuidedStep.Refused;
import oilbird.alarm.state.Refusal;
import oilbird.gateway.engine.record.RecordedEvent;
import org.jspecify.annotations.Nullable;

/**
 * A human act that was folded and waits for its commit.
 *
 * @param from index in the batch of the first event that it made.
 * @param to index after the last.
 */
record Acting(
        CompletableFuture<ActResult> outcome,
        @Nullable Refusal refusal,
        @Nullable Refused notTaken,
        int from,
        int to) {
    ActResult result(List<RecordedEvent> batch) {
        List<RecordedEvent> events = batch.subList(from, to);
        if (notTaken != null) {
            return new ActResult.StepRefused(notTaken);
        }
        return refusal == null ? new ActResult.Done(events) : new ActResult.Refused(refusal, events);
    }
}
