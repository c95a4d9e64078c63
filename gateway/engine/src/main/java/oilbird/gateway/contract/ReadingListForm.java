package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * A page of readings in the order of their ids: form {@code oilbird.reading-list/1}.
 *
 * @param next what to ask {@code after} for the next page; absent on the last one.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record ReadingListForm(
        String form,
        StationForm station,
        String asOf,
        boolean timeTrusted,
        List<ReadingsForm.ReadingForm> readings,
        @Nullable String next) {
    public static final String FORM = "oilbird.reading-list/1";

    public ReadingListForm {
        readings = List.copyOf(readings);
    }
}
