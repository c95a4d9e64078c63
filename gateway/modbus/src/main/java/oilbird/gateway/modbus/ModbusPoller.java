package oilbird.gateway.modbus;

import java.util.List;
import java.util.function.Consumer;
import java.util.function.Supplier;
import oilbird.alarm.station.StationInput;
import oilbird.mapping.signal.Moment;

/** Polls the Modbus TCP devices of one station and offers every outcome to the engine. */
public final class ModbusPoller implements AutoCloseable {
    /**
     * @param sink takes every outcome; called from the poller's threads, must not block.
     * @param clock stamps outcomes only: periods and deadlines run on the machine's own monotonic clock, so that
     *     a demo's clock rate does not change them.
     * @param notices is told once of what an engineer should know; called from the poller's threads.
     */
    public ModbusPoller(
            List<DeviceSession> sessions,
            Consumer<StationInput> sink,
            Supplier<Moment> clock,
            PollerSettings settings,
            Consumer<Notice> notices) {
        throw new UnsupportedOperationException("not yet built");
    }

    /** Starts one daemon thread a connection; returns at once. */
    public void start() {}

    /** One entry a device, in the order of the sessions. */
    public List<DeviceStatus> status() {
        return List.of();
    }

    /** Stops polling and closes every connection; waits at most two seconds for the threads to end. */
    @Override
    public void close() {}
}
