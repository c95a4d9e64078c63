package oilbird.gateway.engine.simulation;

/** A fault that a test plants in the chain, to see that the simulation finds it. */
enum PlantedFault {
    NONE,
    /** The disk says it has a commit and lacks its newest event. */
    DISK_LOSES_THE_NEWEST,
    /** The disk says it has a commit and loses its newest event when the power goes. */
    DISK_LIES_UNTIL_THE_POWER_GOES,
    DISK_FLIPS_A_BYTE,
    INCARNATION_NOT_RAISED,
    OCCURRENCE_FORGOTTEN_AT_START,
    BAD_DATA_READ_AS_CLEAR,
    DOUBT_PASSED_OVER,
    SUPPRESSED_ALARM_SOUNDS,
    SUPPRESSED_ALARM_NOT_EVALUATED,
    EVENT_DROPPED_BEFORE_THE_COMMIT,
    LINK_SWAPS_EVENTS,
    LINK_CONFIRMS_WHAT_NEVER_ARRIVED,
    /** A line that confirms notices and never delivers them. */
    LINK_SWALLOWS_NOTICES,
    /** What goes ahead of a backlog leaves behind what the backlog still has of the same alarm. */
    FRESH_ALARM_LEAVES_ITS_PAST_BEHIND,
    FILTER_PASSED_OVER,
    FOLD_THROWS,
    MAINTENANCE_PASSED_OVER,
    FORCED_READING_TAKEN_FOR_TRUE,
    /** A point test does not end by itself. */
    POINT_TEST_NEVER_ENDS
}
