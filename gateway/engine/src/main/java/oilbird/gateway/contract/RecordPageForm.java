package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * A page of the event record, oldest first: form {@code oilbird.record-page/1}.
 *
 * @param next position to ask {@code after} for the next page; absent on the last one.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record RecordPageForm(
        String form,
        StationForm station,
        List<EventForm> events,
        @Nullable Long next) {
    public static final String FORM = "oilbird.record-page/1";

    public RecordPageForm {
        events = List.copyOf(events);
    }
}
