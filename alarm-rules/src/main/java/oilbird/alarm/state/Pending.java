package oilbird.alarm.state;

/**
 * A change that the samples ask for and that the delays still hold back.
 *
 * <p>Anything but a further sample asking for the same change drops it: bad data, doubtful data that
 * would clear, a sample that asks for nothing or for something else. The delay then starts from zero.
 *
 * @param since monotonic nanoseconds of the first sample that asked for it.
 * @param samples consecutive samples so far, at least 1; counted no further than the policy asks for.
 * @param priority priority told by the newest sample.
 * @param evidence evidence of the newest sample.
 */
public record Pending(Change change, long since, int samples, Priority priority, String evidence) {
    public enum Change {
        RAISE,
        RETURN,
        /** Becomes more urgent while active; held back by the on-delay. */
        ESCALATE,
        /** Becomes less urgent while active; held back by the off-delay. */
        EASE
    }
}
