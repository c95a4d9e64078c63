package oilbird.alarm.state;

import java.time.Duration;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import org.jspecify.annotations.Nullable;

/** Everything that can happen to one alarm. Time is in the input. */
public sealed interface AlarmInput {
    Moment at();

    /** What a person asks for. Every call is recorded, refused ones too. */
    sealed interface Act extends AlarmInput {
        Actor by();
    }

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
     * "Seen", which is not "fixed": it never ends the condition.
     *
     * @param eventId the event the person saw, or null to mean the newest; a stale one is refused.
     */
    record Acknowledge(Actor by, String comment, @Nullable String eventId, Moment at) implements Act {}

    /**
     * "What it called for has been done", where the policy asks for that.
     *
     * @param eventId the event the person saw, or null to mean the newest; a stale one is refused.
     */
    record Confirm(Actor by, String comment, @Nullable String eventId, Moment at) implements Act {}

    /** Ends a latch. */
    record Reset(Actor by, String comment, Moment at) implements Act {}

    /** Shelves until the duration is over, however often the alarm comes and goes. */
    record ShelveTimed(Actor by, String reason, Duration duration, Moment at) implements Act {}

    /** Shelves until the alarm returns, at most for the longest shelving time of its policy. */
    record ShelveOneShot(Actor by, String reason, Moment at) implements Act {}

    record Unshelve(Actor by, String comment, Moment at) implements Act {}

    /** Suppresses from outside, until somebody lifts it: for the control room's own logic, or an engineer. */
    record Suppress(Actor by, String reason, Moment at) implements Act {}

    /** Lifts all suppression; the rule's own logic counts again when it next changes its answer. */
    record Unsuppress(Actor by, String comment, Moment at) implements Act {}

    /** The design-suppression logic changed its answer. */
    record SuppressByDesign(boolean suppressed, String logic, Moment at) implements AlarmInput {}

    /**
     * What the alarm was evaluated from during a maintenance does not count: it is as it was before, apart from what
     * persons did meanwhile.
     *
     * @param before its memories when the maintenance began.
     * @param reason for the record.
     */
    record EvidenceVoided(Before before, String reason, Moment at) implements AlarmInput {}

    /** Memories of an alarm at an earlier time. */
    record Before(boolean active, boolean acknowledged, boolean confirmed, boolean latched, Priority priority) {
        /** Of an alarm that asked for no confirmation. */
        public Before(boolean active, boolean acknowledged, boolean latched, Priority priority) {
            this(active, acknowledged, true, latched, priority);
        }
    }

    /**
     * Takes the alarm out of service until a person places it in service again.
     *
     * @param duration until the expiry reminder; zero for none.
     */
    record RemoveFromService(Actor by, String reason, String permit, Duration duration, Moment at) implements Act {}

    record PlaceInService(Actor by, String comment, Moment at) implements Act {}

    record Disable(Actor by, String reason, Moment at) implements Act {}

    record Enable(Actor by, String reason, Moment at) implements Act {}

    record Comment(Actor by, String comment, @Nullable String eventId, Moment at) implements Act {}
}
