package oilbird.gateway.station;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.station.StationModel;
import oilbird.gateway.access.AccessRules;
import oilbird.gateway.engine.record.RecordBound;
import oilbird.gateway.points.PointList;

/**
 * A station folder that was read without an error.
 *
 * @param owner whose station it is, for people; empty where the file does not say.
 * @param model what the fold knows: assets, devices, alarms.
 * @param devices what is polled, in the order of the station file.
 * @param access who may do what; the default where the folder does not say.
 * @param manners what each link tells and how much, by its id.
 * @param record how large the event record may grow.
 * @param points the points of the links that have some, by the link's id.
 */
public record Station(
        String owner,
        StationModel model,
        List<PolledDevice> devices,
        List<LinkSettings> links,
        AccessRules access,
        Map<String, LinkManner> manners,
        RecordBound record,
        Map<String, PointList> points) {
    public Station {
        devices = List.copyOf(devices);
        links = List.copyOf(links);
        manners = new LinkedHashMap<>(manners);
        points = new LinkedHashMap<>(points);
    }

    /** A station whose links tell everything, and whose record has the usual bound. */
    public Station(
            String owner,
            StationModel model,
            List<PolledDevice> devices,
            List<LinkSettings> links,
            AccessRules access) {
        this(owner, model, devices, links, access, Map.of(), RecordBound.DEFAULT, Map.of());
    }

    /** The points of a link: the control room's list, or the default one where it dictates none. */
    public PointList pointsOf(String link) {
        PointList dictated = points.get(link);
        return dictated == null ? PointList.byDefault(model.facts()) : dictated;
    }

    /** What a link tells, and how much. */
    public LinkManner manner(String link) {
        return manners.getOrDefault(link, LinkManner.PLAIN);
    }
}
