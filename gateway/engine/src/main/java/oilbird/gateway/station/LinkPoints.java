package oilbird.gateway.station;

import java.nio.file.InvalidPathException;
import java.nio.file.Path;
import oilbird.gateway.points.PointListReader;
import oilbird.mapping.text.Position;
import oilbird.mapping.text.YamlMapping;
import org.jspecify.annotations.Nullable;

/**
 * What a link says of its points.
 *
 * @param list file of the control room's list below the station folder, with slashes; null for the default list.
 * @param position of that name.
 */
record LinkPoints(@Nullable String list, Position position, PointListReader.Limits limits) {
    /** Null where the link says nothing of points, or nothing that can be used, which has then been told. */
    static @Nullable LinkPoints of(YamlMapping link) {
        if (!link.has("points")) {
            return null;
        }
        YamlMapping points = link.mapping("points");
        PointListReader.Limits none = PointListReader.Limits.NONE;
        PointListReader.Limits limits = new PointListReader.Limits(
                (int) points.whole("most_points", none.mostPoints()),
                (int) points.whole("longest_text", none.longestText()),
                points.has("life_sign") ? points.duration("life_sign", none.lifeSign()) : none.lifeSign());
        if (limits.lifeSign().toMillis() < 1_000) {
            points.error("a life sign that changes more often than once a second floods the link", "write 1 s or more");
            return null;
        }
        String list = points.textOrNull("list");
        if (list == null) {
            return new LinkPoints(null, points.position(), limits);
        }
        if (!isInside(list)) {
            points.problems()
                    .error(
                            points.valuePosition("list"),
                            "`" + list + "` is not in the station folder",
                            "put the list into the station folder and write its name, for example control-room.csv");
            return null;
        }
        return new LinkPoints(list, points.valuePosition("list"), limits);
    }

    private static boolean isInside(String list) {
        try {
            Path path = Path.of(list);
            return !path.isAbsolute() && !path.normalize().startsWith("..") && !list.contains("\\");
        } catch (InvalidPathException noPath) {
            return false;
        }
    }
}
