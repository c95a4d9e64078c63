package oilbird.alarm.state;

/** Alarm priority, most urgent first; the X.733 perceived severities that an active alarm can have. */
public enum Priority {
    CRITICAL,
    MAJOR,
    MINOR,
    WARNING;

    public boolean moreUrgentThan(Priority other) {
        return compareTo(other) < 0;
    }
}
