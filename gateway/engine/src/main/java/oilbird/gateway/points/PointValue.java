package oilbird.gateway.points;

import java.util.Objects;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/**
 * One point at a moment.
 *
 * @param state null where there is nothing to say; a double point then is indeterminate.
 * @param told false until the first time that anything could be told: {@code state} is then no answer (IV of
 *     IEC 60870-5-104).
 * @param quality bad where {@code state} is the last that could be told (NT of IEC 60870-5-104), or none ever was.
 * @param blocked true for an alarm that is suppressed by design, out of service or disabled: {@code state} is what
 *     there is, and nobody is to be called for it (BL of IEC 60870-5-104). Shelving blocks nothing.
 * @param test true where a point test forces it.
 * @param maintenance true while what it is about is in maintenance; quality is at best uncertain then, but for what is
 *     on for certain.
 * @param at source time: since when it is so, as far as that is known; for a reading when its value came.
 */
public record PointValue(
        ControlPoint point,
        @Nullable PointState state,
        boolean told,
        Quality quality,
        boolean blocked,
        boolean test,
        boolean maintenance,
        Moment at) {

    /** True where it says the last that could be told. */
    public boolean notTopical() {
        return told && quality == Quality.BAD;
    }

    PointValue since(Moment earlier) {
        return new PointValue(point, state, told, quality, blocked, test, maintenance, earlier);
    }

    /** True where the two say the same to a control room, whatever their times. */
    public boolean saysTheSame(PointValue other) {
        return point.equals(other.point)
                && Objects.equals(state, other.state)
                && told == other.told
                && quality == other.quality
                && blocked == other.blocked
                && test == other.test
                && maintenance == other.maintenance;
    }
}
