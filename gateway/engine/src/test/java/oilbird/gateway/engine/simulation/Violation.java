package oilbird.gateway.engine.simulation;

/** A promise was broken. An Error, so that nothing on the way up takes it for an ordinary fault. */
final class Violation extends AssertionError {
    private static final long serialVersionUID = 1L;

    private final transient Promise promise;

    /** What must be true after every step. */
    enum Promise {
        NO_ANNOUNCED_EVENT_LOST,
        NOTHING_ANNOUNCED_BEFORE_IT_IS_STORED,
        EVERYTHING_FOLDED_IS_ANNOUNCED,
        NO_EVENT_ID_TWICE,
        NOTHING_CLEARED_BY_BAD_OR_DOUBTFUL_DATA,
        SUPPRESSED_IS_NEVER_ANNUNCIATED,
        WHAT_HOLDS_IS_ACTIVE_IN_THE_RECORD,
        ORDER_KEPT_AT_THE_PEER,
        OCCURRENCE_NEVER_DECREASES,
        HASH_CHAIN_VALID,
        EVERYTHING_REACHES_THE_PEER,
        THE_FOLD_NEVER_THROWS,
        MAINTENANCE_IS_NO_SAMPLE,
        A_POINT_TEST_CHANGES_NOTHING,
        WHAT_PERSONS_SET_ASIDE_COMES_BACK,
        WHAT_IS_FILTERED_IS_NOT_TOLD
    }

    Violation(Promise promise, String what) {
        super(promise + ": " + what);
        this.promise = promise;
    }

    Promise promise() {
        return promise;
    }
}
