package oilbird.gateway.modbus;

import java.util.List;
import java.util.Map;
import java.util.TreeMap;

/**
 * How one serial line does, for pages and whoever looks for a fault in its wires.
 *
 * @param line id in the station file.
 * @param way port, or host and port of the terminal server.
 * @param devices ids of the devices on it.
 * @param open true while the port or connection is open.
 * @param counts since the poller started.
 */
public record LineStatus(String line, String name, String way, List<String> devices, boolean open, Counts counts) {
    public LineStatus {
        devices = List.copyOf(devices);
    }

    /**
     * Counters of one line; each but the share only grows.
     *
     * @param answers valid ones, exceptions included.
     * @param faults requests without a valid answer, by reason.
     * @param noiseBytes bytes that belong to no frame, those thrown away after a failure included.
     * @param foreignFrames frames that no request of ours explains.
     * @param lateAnswers answers that came after their deadline and were thrown away.
     * @param reopens how often it was opened again.
     * @param busyShare part of the time between a request's last byte and its answer's; 1 is all of it.
     */
    public record Counts(
            long requests,
            long answers,
            Map<Fault, Long> faults,
            long noiseBytes,
            long foreignFrames,
            long lateAnswers,
            long reopens,
            double busyShare) {
        public Counts {
            faults = new TreeMap<>(faults);
        }
    }
}
