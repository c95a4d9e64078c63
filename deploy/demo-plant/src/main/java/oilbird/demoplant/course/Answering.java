package oilbird.demoplant.course;

/** Whether and how a device answers at a time. */
public enum Answering {
    /** Rightly. */
    ANSWERS,
    /** Not at all. */
    SILENT,
    /** No connection is taken: what stands before the device is down. */
    REFUSES,
    /** What stands before it answers for it: exception 0B, gateway target device failed to respond. */
    TARGET_FAILED
}
