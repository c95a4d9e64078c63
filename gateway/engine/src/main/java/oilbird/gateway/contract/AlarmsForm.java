package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * A page of alarms in the order of their ids: form {@code oilbird.alarms/1}.
 *
 * @param next what to ask {@code after} for the next page; absent on the last one.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record AlarmsForm(
        String form,
        StationForm station,
        String asOf,
        boolean timeTrusted,
        List<AlarmStateForm> alarms,
        @Nullable String next) {
    public static final String FORM = "oilbird.alarms/1";

    public AlarmsForm {
        alarms = List.copyOf(alarms);
    }
}
