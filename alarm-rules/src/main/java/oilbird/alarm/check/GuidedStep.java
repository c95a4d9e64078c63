package oilbird.alarm.check;

/** What became of an input. */
public sealed interface GuidedStep {
    /** It was taken. */
    record Taken(GuidedSession session, GuidedEvent event) implements GuidedStep {}

    /** It had been taken before, under the same key: nothing changes. */
    record Repeated(GuidedSession session) implements GuidedStep {}

    /**
     * It was not taken, and nothing changed.
     *
     * @param why in words.
     * @param remedy what to do.
     */
    record Refused(Reason reason, String why, String remedy) implements GuidedStep {}

    /** Why an input is refused. */
    enum Reason {
        UNKNOWN_SESSION,
        UNKNOWN_DIAGNOSIS,
        /** So many are under way that another one would be more than people can do. */
        TOO_MANY,
        /** The fault-finding has ended. */
        ENDED,
        /** Another person has done something that this one had not seen. */
        OVERTAKEN,
        UNKNOWN_CHECK,
        UNKNOWN_OUTCOME,
        UNKNOWN_CAUSE,
        /** The value can be read in two ways, has no unit or a wrong one. */
        UNCLEAR_VALUE,
        /** Nobody has said what is accepted. */
        RANGE_UNKNOWN,
        TESTER_NOT_PROVED,
        /** The owner asks for an authorisation that is not recorded. */
        NOT_AUTHORISED,
        NOT_PREPARED,
        /** A restart or an exchange would lose the words. */
        WORDS_NOT_SAVED,
        /** The step does not put this cause right. */
        NOT_A_REPAIR,
        /** A step that changes something is reported as a repair. */
        IS_A_REPAIR,
        NOT_WATCHING
    }
}
