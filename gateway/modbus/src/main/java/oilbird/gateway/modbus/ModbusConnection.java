package oilbird.gateway.modbus;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import oilbird.gateway.station.SerialLine;
import org.jspecify.annotations.Nullable;

/** A way to devices with one request under way at a time; not for use by several threads, but for {@link #close}. */
public interface ModbusConnection extends AutoCloseable {
    /** What came of an attempt to connect. */
    sealed interface Opening {
        record Opened(ModbusConnection connection) implements Opening {}

        record NotOpened(Outcome.Failed failure) implements Opening {}
    }

    /** Opens a serial line for one look at a unit on it. */
    static Opening open(SerialLine line, Duration deadline) {
        LineLedger ledger = new LineLedger(line.id(), line.name(), line.way().written(), List.of());
        return RtuConnection.open(line, Map.of(), ledger, deadline);
    }

    /** How the serial line has done so far; null where there is none. */
    default @Nullable LineStatus line() {
        return null;
    }

    /**
     * Sends one request and waits for its answer.
     *
     * @param unit unit id, 0 to 255; on a serial line 1 to 247.
     * @param within time for sending and for the whole answer, however many pieces it comes in.
     */
    Outcome exchange(int unit, ReadRequest request, Duration within);

    /** Valid answers so far, exceptions included. */
    long answers();

    boolean isClosed();

    /**
     * Looks for what came without having been asked for; does not wait. On a connection with transaction ids the next
     * request does it, so this does nothing.
     */
    default void listen() {}

    /** Frames so far that none of our requests can explain; always 0 where transaction ids tell frames apart. */
    default long foreignFrames() {
        return 0;
    }

    /**
     * How long after its request the last answer may still turn out not to have been the device's own, in nanoseconds;
     * 0 where a transaction id vouches for it.
     */
    default long doubtNanos() {
        return 0;
    }

    /** True where the last answer came in less than half the time that the unit has needed lately. */
    default boolean cameEarly() {
        return false;
    }

    /** True while another master has been heard so lately that no answer can be taken at face value. */
    default boolean isDistrusted() {
        return false;
    }

    /**
     * True where an answer that comes too late could be taken for that of a later request, so that the unit must be
     * left alone for a while.
     */
    default boolean needsQuarantine(Fault fault) {
        return false;
    }

    @Override
    void close();
}
