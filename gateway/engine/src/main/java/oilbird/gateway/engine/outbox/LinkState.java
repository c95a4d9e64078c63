package oilbird.gateway.engine.outbox;

import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * How a link stands, for pages.
 *
 * @param confirmed position of the last confirmed event, with all before it.
 * @param waiting events not yet confirmed.
 * @param confirmedEvent id of the event that was confirmed last; null before the first since the start.
 * @param confirmedAt when the last confirmation came; null before the first.
 * @param oldestWaitingSince when the oldest event happened that is not confirmed; null where none waits.
 * @param lastError the last failure in words; null while none has happened.
 * @param skipped events that the other side will never take.
 * @param tries failures in a row.
 * @param nextTryAt null unless it waits to try again.
 * @param bytesToday sent in the present day.
 * @param bytesADay the budget; 0 for none.
 * @param readingsHeld readings are held back until the day is over, so that the budget is left to events.
 */
public record LinkState(
        String link,
        Condition condition,
        long confirmed,
        long waiting,
        @Nullable String confirmedEvent,
        @Nullable Moment confirmedAt,
        @Nullable Moment oldestWaitingSince,
        @Nullable String lastError,
        long skipped,
        int tries,
        @Nullable Moment nextTryAt,
        long bytesToday,
        long bytesADay,
        boolean readingsHeld) {
    public enum Condition {
        STOPPED,
        CONNECTING,
        UP,
        /** Waits before it tries again. */
        DOWN
    }

    /** More has gone out today than the budget allows. */
    public boolean budgetUsed() {
        return bytesADay > 0 && bytesToday >= bytesADay;
    }
}
