package oilbird.gateway.contract;

import java.util.List;
import oilbird.gateway.points.PointFeed;
import oilbird.gateway.points.PointPicture;

/**
 * All points of one link: form {@code oilbird.points/1}.
 *
 * @param list file of the control room's list, empty for the default one.
 */
public record PointsForm(
        String form,
        StationForm station,
        String link,
        String list,
        String asOf,
        boolean timeTrusted,
        List<PointForm> points) {
    public static final String FORM = "oilbird.points/1";

    public PointsForm {
        points = List.copyOf(points);
    }

    public static PointsForm of(StationForm station, String link, PointFeed feed) {
        PointPicture now = feed.now();
        return new PointsForm(
                FORM,
                station,
                link,
                feed.list().file(),
                Written.time(now.at()),
                now.at().wallTrusted(),
                now.values().stream()
                        .map(value -> PointForm.of(station.id(), value))
                        .toList());
    }
}
