package oilbird.gateway.contract;

import java.util.List;

/** Every asset of the station in short: form {@code oilbird.assets/1}. */
public record AssetsForm(String form, StationForm station, String asOf, boolean timeTrusted, List<ShortForm> assets) {
    public static final String FORM = "oilbird.assets/1";

    /**
     * @param alarms how many of its alarms need someone.
     * @param unacknowledged how many of these nobody has acknowledged.
     * @param devices ids of its devices.
     */
    public record ShortForm(
            String asset, String name, String kind, int alarms, int unacknowledged, List<String> devices) {
        public ShortForm {
            devices = List.copyOf(devices);
        }
    }

    public AssetsForm {
        assets = List.copyOf(assets);
    }
}
