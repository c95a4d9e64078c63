package oilbird.gateway.engine.outbox;

import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * How a link stands, for pages.
 *
 * @param confirmed position of the last confirmed event, with all before it.
 * @param waiting events not yet confirmed.
 * @param confirmedAt when the last confirmation came; null before the first.
 * @param lastError the last failure in words; null while none has happened.
 * @param skipped events that the other side will never take.
 */
public record LinkState(
        String link,
        Condition condition,
        long confirmed,
        long waiting,
        @Nullable Moment confirmedAt,
        @Nullable String lastError,
        long skipped) {
    public enum Condition {
        STOPPED,
        CONNECTING,
        UP,
        /** Waits before it tries again. */
        DOWN
    }
}
