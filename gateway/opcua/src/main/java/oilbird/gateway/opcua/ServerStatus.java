package oilbird.gateway.opcua;

import org.jspecify.annotations.Nullable;

/**
 * What a poller knows of the way to one server, for pages and logs.
 *
 * @param condition how the device stands now.
 * @param detail the last failure in words, or null while the device answers.
 * @param identification what the server says of itself, or null.
 * @param counts since the poller started.
 */
public record ServerStatus(
        String device,
        Condition condition,
        @Nullable String detail,
        @Nullable FoundProduct identification,
        Counts counts) {
    /** How a device stands with the poller. */
    public enum Condition {
        NOT_YET_ASKED,
        ANSWERING,
        /** There is no session; another is tried after a back-off. */
        FAILING,
        /** Another product answers; nothing but its identification is read. */
        OTHER_PRODUCT
    }

    /**
     * What the server says of itself; a text is null where it says nothing.
     */
    public record FoundProduct(
            @Nullable String vendor,
            @Nullable String product,
            @Nullable String firmware) {
        @Override
        public String toString() {
            return vendor + " " + product + " " + firmware;
        }
    }

    /**
     * Counters; each only grows.
     *
     * @param sessions that were opened.
     * @param failures attempts and sessions that ended in a failure.
     * @param snapshots offered.
     */
    public record Counts(long sessions, long failures, long snapshots) {}
}
