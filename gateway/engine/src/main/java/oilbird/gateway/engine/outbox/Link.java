package oilbird.gateway.engine.outbox;

import java.io.IOException;
import java.util.concurrent.CompletionStage;
import java.util.function.BooleanSupplier;
import oilbird.gateway.engine.record.RecordedEvent;

/** One way out to a control-room system. Used by one {@link LinkRunner} thread; may block within its own time-outs. */
public interface Link extends AutoCloseable {
    /** Id of the link in the station file; the cursor is kept under it. */
    String id();

    /**
     * Connects, or does nothing if connected.
     *
     * @throws IOException if the other side cannot be reached; tried again after a back-off.
     */
    void open() throws IOException;

    /**
     * Hands one event over.
     *
     * @return completes when the other side has confirmed it; exceptionally if it did not, whereupon the runner
     *     closes the link and repeats from the last confirmed event. {@link UnsendableException} skips this
     *     one event instead.
     */
    CompletionStage<Void> send(RecordedEvent event) throws IOException;

    /** False once the connection is known to be lost; asked about once a second while nothing is on its way. */
    default boolean isOpen() {
        return true;
    }

    /**
     * True if events handed over one after another arrive in this order or not at all, as on one connection.
     * Otherwise the runner lets only one event of an alarm be on its way at a time.
     */
    default boolean keepsOrder() {
        return false;
    }

    /** Bytes handed over since the link was made: what the events and readings take, without the protocol's own. */
    default long bytesSent() {
        return 0;
    }

    /**
     * Whether readings may go out now, where the link sends them; not while the budget of the line is kept for events.
     * Asked by the link before it sends readings.
     */
    default void readingsAllowed(BooleanSupplier allowed) {}

    /** Closes the connection; {@link #open()} may follow. Never throws. */
    @Override
    void close();
}
