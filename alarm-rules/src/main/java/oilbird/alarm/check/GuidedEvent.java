package oilbird.alarm.check;

import java.util.List;
import oilbird.mapping.signal.Verdict;

/**
 * What happened in a guided fault-finding: an input that was taken, and what followed. The events of a session, folded
 * again from its beginning, give the same session.
 *
 * @param version of the session after it, counted from 1.
 */
public record GuidedEvent(long version, GuidedInput input, List<Consequence> consequences) {
    /** What followed from an input. */
    public sealed interface Consequence {}

    /**
     * A measured value was judged.
     *
     * @param value in {@code unit}.
     * @param accepted the range in words.
     * @param outcome index of the outcome that it is.
     */
    public record Judged(double value, String unit, Verdict verdict, String accepted, int outcome)
            implements Consequence {}

    /** A cause is found: proved by a check, or left as the only one likely. */
    public record CauseFound(String cause, double posterior, boolean provedByCheck) implements Consequence {}

    /** A cause that was found is not any more. */
    public record CauseInDoubt(String cause, String why) implements Consequence {}

    /** The word and the readings are watched. */
    public record WatchBegun(String cause) implements Consequence {}

    /** The repair did not help: the search goes on. */
    public record RepairInVain(String cause, String why) implements Consequence {}

    /** The cause's signs stayed away for its proving time: the fault is proved gone. */
    public record ProvedGone(String cause) implements Consequence {}

    public GuidedEvent {
        consequences = List.copyOf(consequences);
    }
}
