package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Whether the gateway itself does its work: form {@code oilbird.health/1}.
 *
 * @param ok true while polling, alarms, record and every link work.
 * @param recording false while events cannot be written to the disk.
 * @param lastInputAge milliseconds since the station last took anything in.
 */
public record HealthForm(
        String form,
        StationForm station,
        boolean ok,
        boolean recording,
        long lastInputAge,
        int devicesAnswering,
        int devices,
        List<LinkForm> links) {
    public static final String FORM = "oilbird.health/1";

    /**
     * @param condition {@code up}, {@code connecting}, {@code down} or {@code stopped}.
     * @param waiting events that the other side has not yet confirmed.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record LinkForm(
            String link,
            String condition,
            long waiting,
            long skipped,
            @Nullable String lastError) {}

    public HealthForm {
        links = List.copyOf(links);
    }
}
