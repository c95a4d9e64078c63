package oilbird.gateway.station;

import java.util.List;
import oilbird.alarm.station.StationModel;
import oilbird.gateway.access.AccessRules;

/**
 * A station folder that was read without an error.
 *
 * @param owner whose station it is, for people; empty where the file does not say.
 * @param model what the fold knows: assets, devices, alarms.
 * @param devices what is polled, in the order of the station file.
 * @param access who may do what; the default where the folder does not say.
 */
public record Station(
        String owner, StationModel model, List<PolledDevice> devices, List<LinkSettings> links, AccessRules access) {
    public Station {
        devices = List.copyOf(devices);
        links = List.copyOf(links);
    }
}
