package oilbird.gateway.engine.record;

import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/** The seam between the writer and the disk. One thread uses it. */
public interface CommitPort {
    /**
     * Makes everything in the commit durable, or nothing of it. Returns only after the disk has confirmed.
     *
     * @throws CommitFailedException if nothing was made durable; the same commit may be tried again.
     */
    void commit(Commit commit) throws CommitFailedException;

    /** True when the disk has no memories of alarms, as after a new record was begun; the next commit brings all. */
    default boolean wantsEveryState() {
        return false;
    }

    /** True once a damaged record was set aside and a new one begun since the program started. */
    default boolean begunAnew() {
        return false;
    }

    /** What is to be told in an event before the oldest events are removed; null for nothing. Given once. */
    default @Nullable ShorteningPlan shortening(Moment now) {
        return null;
    }

    /** Events that the record can hold at its bound, estimated. */
    default long capacity() {
        return Long.MAX_VALUE;
    }

    /** True while events are removed that the station still wants. */
    default boolean removesYoung() {
        return false;
    }
}
