package oilbird.gateway.modbus;

import java.util.Map;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;

/**
 * What a poller knows of the way to one device, for pages and logs.
 *
 * @param condition how the device stands now.
 * @param detail the last failure in words, or null while the device answers.
 * @param identification what the device said of itself by FC 43/14, or null.
 * @param counts since the poller started.
 */
public record DeviceStatus(
        String device,
        Condition condition,
        @Nullable String detail,
        @Nullable FoundIdentification identification,
        Counts counts) {

    /** How a device stands with the poller. */
    public enum Condition {
        NOT_YET_ASKED,
        ANSWERING,
        /** The last request brought no usable answer; another is tried after a back-off. */
        FAILING,
        /** Its connection is left to somebody else, by a person's act. */
        RELEASED,
        /** Another product answers; nothing but its identification is read. */
        OTHER_PRODUCT
    }

    /**
     * Counters of one device; each only grows.
     *
     * @param requests sent, identification requests included.
     * @param answers that were whole, valid and no exception.
     * @param exceptions by exception code.
     * @param faults attempts to connect or to ask that got no valid answer, by reason; {@link Fault#NO_ANSWER} and
     *     {@link Fault#ANSWER_TOO_SLOW} are the time-outs.
     * @param reconnects connections made to it after the first.
     * @param missedPeriods polls that fell due while an earlier one still ran, and were left out.
     * @param heldBackPeriods polls left out because of back-off or suspension.
     * @param lastRoundTripNanos of the last answer; 0 before the first.
     */
    public record Counts(
            long requests,
            long answers,
            Map<Integer, Long> exceptions,
            Map<Fault, Long> faults,
            long reconnects,
            long missedPeriods,
            long heldBackPeriods,
            long lastRoundTripNanos) {
        public Counts {
            exceptions = new TreeMap<>(exceptions);
            faults = new TreeMap<>(faults);
        }

        public long timeouts() {
            return faults.getOrDefault(Fault.NO_ANSWER, 0L) + faults.getOrDefault(Fault.ANSWER_TOO_SLOW, 0L);
        }
    }
}
