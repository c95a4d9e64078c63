package oilbird.gateway.points;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import oilbird.alarm.rule.StationFacts;

/**
 * The points of one link.
 *
 * @param file name of the file that the control room's list is in, empty for the default list.
 * @param points in the order of the list.
 * @param lifeSign how often the life sign changes.
 */
public record PointList(String file, List<ControlPoint> points, Duration lifeSign) {
    public static final Duration LIFE_SIGN = Duration.ofSeconds(10);
    private static final String TRANSFORMER = "transformer";

    public PointList {
        points = List.copyOf(points);
        if (lifeSign.isNegative() || lifeSign.isZero()) {
            throw new IllegalArgumentException("a life sign has a period");
        }
    }

    /**
     * The list where the control room dictates none: four summary points a transformer, and the gateway's life sign.
     * Its addresses are made of ids, which are never reused.
     */
    public static PointList byDefault(StationFacts facts) {
        List<ControlPoint> points = new ArrayList<>();
        for (StationFacts.Asset asset : facts.assets()) {
            if (asset.kind().equals(TRANSFORMER)) {
                for (Summary summary : Summary.ofEveryTransformer()) {
                    points.add(new ControlPoint(
                            asset.id() + "." + summary.written(),
                            new PointSubject.OfSummary(asset.id(), summary),
                            PointType.SINGLE_POINT,
                            false,
                            PlainAscii.of(asset.name()) + " " + summary.text(),
                            ""));
                }
            }
        }
        points.add(new ControlPoint(
                "gateway.life-sign",
                new PointSubject.LifeSign(),
                PointType.SINGLE_POINT,
                false,
                "Gateway life sign",
                ""));
        return new PointList("", points, LIFE_SIGN);
    }

    /** True where the control room has dictated nothing. */
    public boolean isDefault() {
        return file.isEmpty();
    }

    public Optional<ControlPoint> at(String address) {
        return points.stream().filter(p -> p.address().equals(address)).findFirst();
    }
}
