package oilbird.gateway.contract;

import java.util.List;
import java.util.Map;
import java.util.TreeMap;

/** How the station's serial lines do: form {@code oilbird.lines/1}. */
public record LinesForm(String form, StationForm station, List<LineForm> lines) {
    public static final String FORM = "oilbird.lines/1";

    public LinesForm {
        lines = List.copyOf(lines);
    }

    /**
     * One serial line; counts are since the start of the gateway.
     *
     * @param way port, or host and port of the terminal server.
     * @param faults requests without a valid answer, by reason.
     * @param noiseBytes bytes that belong to no frame.
     * @param foreignFrames frames that no request of the gateway explains: another master, or a unit number used twice.
     * @param lateAnswers answers that came after their deadline and were thrown away.
     * @param busyPercent part of the time between a request and its answer.
     */
    public record LineForm(
            String line,
            String name,
            String way,
            List<String> devices,
            boolean open,
            long requests,
            long answers,
            Map<String, Long> faults,
            long noiseBytes,
            long foreignFrames,
            long lateAnswers,
            long reopens,
            double busyPercent) {
        public LineForm {
            devices = List.copyOf(devices);
            faults = new TreeMap<>(faults);
        }
    }
}
