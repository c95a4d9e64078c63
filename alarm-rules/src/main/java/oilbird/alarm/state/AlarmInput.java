package oilbird.alarm.state;

import java.time.Duration;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/** Everything that can happen to one alarm. Time is in the input. */
public sealed interface AlarmInput {
    Moment at();

    /**
     * The condition was evaluated on a new sample.
     *
     * @param condition holds, does not hold, or cannot be told (then nothing but quality changes).
     * @param quality worst quality of what it was evaluated from. Uncertain data may raise, never clear.
     * @param priority present priority of a multi-level alarm; otherwise the policy's.
     * @param evidence what was seen, for the record: for example {@code h2 = 180 ppm (limit 150 ppm)}.
     */
    record Evaluated(IndicationState condition, Quality quality, Priority priority, String evidence, Moment at)
            implements AlarmInput {}

    /** Time has passed; sent at or after {@link AlarmStep#wakeAt()}. */
    record Elapsed(Moment at) implements AlarmInput {}

    /**
     * @param eventId the event the person saw, or null to mean the newest; a stale one is refused.
     */
    record Acknowledge(Actor by, String comment, @Nullable String eventId, Moment at) implements AlarmInput {}

    /** Ends a latch. */
    record Reset(Actor by, String comment, Moment at) implements AlarmInput {}

    record ShelveTimed(Actor by, String reason, Duration duration, Moment at) implements AlarmInput {}

    record ShelveOneShot(Actor by, String reason, Moment at) implements AlarmInput {}

    record Unshelve(Actor by, String comment, Moment at) implements AlarmInput {}

    /** The design-suppression logic changed its answer. */
    record SuppressByDesign(boolean suppressed, String logic, Moment at) implements AlarmInput {}

    /**
     * @param duration until the expiry reminder; zero for none.
     */
    record RemoveFromService(Actor by, String reason, String permit, Duration duration, Moment at)
            implements AlarmInput {}

    record PlaceInService(Actor by, String comment, Moment at) implements AlarmInput {}

    record Disable(Actor by, String reason, Moment at) implements AlarmInput {}

    record Enable(Actor by, String reason, Moment at) implements AlarmInput {}

    record Comment(Actor by, String comment, @Nullable String eventId, Moment at) implements AlarmInput {}
}
