package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.Locale;
import oilbird.gateway.points.PointState;
import oilbird.gateway.points.PointValue;
import org.jspecify.annotations.Nullable;

/**
 * One point of a control room at a moment: form {@code oilbird.point/1}.
 *
 * @param address never given to anything else again.
 * @param subject what it stands for, as a point list writes it.
 * @param type {@code single-point}, {@code double-point}, {@code measured-value} or {@code text}.
 * @param inverted true where the control room wants {@code off} for what holds; {@code state} has that applied.
 * @param state {@code on} or {@code off}, of a double point also {@code intermediate} or {@code indeterminate}; absent
 *     for other types.
 * @param told false until the first time that anything could be told.
 * @param quality bad where it says the last that could be told.
 * @param blocked nobody is to be called for it: suppressed by design, out of service or disabled.
 * @param at RFC 3339, UTC: since when it is so.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record PointForm(
        String form,
        String station,
        String address,
        String subject,
        String type,
        String text,
        String unit,
        boolean inverted,
        @Nullable String state,
        @Nullable Double number,
        @Nullable String words,
        boolean told,
        String quality,
        boolean blocked,
        boolean test,
        boolean maintenance,
        String at,
        boolean timeTrusted) {
    public static final String FORM = "oilbird.point/1";

    /** @param station id of the station. */
    public static PointForm of(String station, PointValue value) {
        PointState state = value.state();
        return new PointForm(
                FORM,
                station,
                value.point().address(),
                value.point().subject().toString(),
                value.point().type().written(),
                value.point().text(),
                value.point().unit(),
                value.point().inverted(),
                onOff(state),
                state instanceof PointState.Measured measured ? (Double) measured.number() : null,
                state instanceof PointState.Words words ? words.words() : null,
                value.told(),
                Written.name(value.quality()),
                value.blocked(),
                value.test(),
                value.maintenance(),
                Written.time(value.at()),
                value.at().wallTrusted());
    }

    private static @Nullable String onOff(@Nullable PointState state) {
        if (state instanceof PointState.Single single) {
            return single.on() ? "on" : "off";
        }
        return state instanceof PointState.Position position
                ? position.position().name().toLowerCase(Locale.ROOT)
                : null;
    }
}
