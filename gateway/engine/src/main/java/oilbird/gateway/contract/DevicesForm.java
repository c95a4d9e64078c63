package oilbird.gateway.contract;

import java.util.List;

/** Every device of the station in short: form {@code oilbird.devices/1}. */
public record DevicesForm(
        String form, StationForm station, String asOf, boolean timeTrusted, List<DeviceForm> devices) {
    public static final String FORM = "oilbird.devices/1";

    public DevicesForm {
        devices = List.copyOf(devices);
    }
}
