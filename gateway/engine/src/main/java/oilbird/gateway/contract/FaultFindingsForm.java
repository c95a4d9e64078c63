package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/** The guided fault-findings of the station, the newest first: form {@code oilbird.fault-findings/1}. */
public record FaultFindingsForm(String form, StationForm station, List<ItemForm> faultFindings) {
    public static final String FORM = "oilbird.fault-findings/1";

    /**
     * One of them.
     *
     * @param state {@code under-way}, {@code proved-gone}, {@code handed-over}, {@code given-up}, or {@code ended} where
     *     only its record knows how.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record ItemForm(
            String session,
            String diagnosis,
            String subjectName,
            List<String> assets,
            String begun,
            String begunBy,
            String state,
            List<String> atWork,
            @Nullable String found) {}

    public FaultFindingsForm {
        faultFindings = List.copyOf(faultFindings);
    }
}
