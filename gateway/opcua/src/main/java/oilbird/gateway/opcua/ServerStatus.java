package oilbird.gateway.opcua;

import java.util.List;
import oilbird.mapping.address.NodeContent;
import oilbird.mapping.address.NodeValue;
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
        /**
         * @param texts values of the three nodes, in this order.
         */
        static FoundProduct of(List<NodeValue> texts) {
            return new FoundProduct(text(texts.get(0)), text(texts.get(1)), text(texts.get(2)));
        }

        private static @Nullable String text(NodeValue value) {
            return value.severity() != NodeValue.Severity.BAD
                            && value.content() instanceof NodeContent.Text text
                            && !text.value().isBlank()
                    ? text.value()
                    : null;
        }

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
