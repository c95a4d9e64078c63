package oilbird.gateway.contract;

import java.util.List;

/** Every alarm of the station in the order of the rules: form {@code oilbird.alarms/1}. */
public record AlarmsForm(
        String form, StationForm station, String asOf, boolean timeTrusted, List<AlarmStateForm> alarms) {
    public static final String FORM = "oilbird.alarms/1";

    public AlarmsForm {
        alarms = List.copyOf(alarms);
    }
}
