package oilbird.gateway.opcua.server.condition;

import java.util.ArrayDeque;
import java.util.HashMap;
import java.util.Map;
import oilbird.alarm.state.AlarmEvent.Kind;
import oilbird.alarm.state.AlarmId;
import oilbird.mapping.signal.Moment;

/**
 * The eight figures of AlarmMetricsType (OPC 10000-9, 9.2 to 9.4) over all alarms of the station, since this server began
 * or they were reset. Thread-safe.
 */
final class AlarmMetrics {
    /** Window of the rates: they compare with the limits of ISA-18.2, which are alarms in ten minutes. */
    static final int RATE_MINUTES = 10;

    private static final long WINDOW_NANOS = RATE_MINUTES * 60_000_000_000L;
    private static final double NANOS_PER_MILLI = 1_000_000.0;

    private final Map<AlarmId, Long> activeSince = new HashMap<>();
    private final Map<AlarmId, Long> unacknowledgedSince = new HashMap<>();
    private final ArrayDeque<Long> raised = new ArrayDeque<>();
    private Moment start;
    private long count;
    private long longestActive;
    private long longestUnacknowledged;
    private int mostReAlarms;
    private int mostInWindow;

    AlarmMetrics(Moment start) {
        this.start = start;
    }

    /** Counts everything from now on; alarms that are active go on being so from now. */
    synchronized void reset(Moment now) {
        start = now;
        count = 0;
        longestActive = 0;
        longestUnacknowledged = 0;
        mostReAlarms = 0;
        mostInWindow = 0;
        raised.clear();
        activeSince.replaceAll((id, since) -> now.monotonicNanos());
        unacknowledgedSince.replaceAll((id, since) -> now.monotonicNanos());
    }

    /** Takes an image in as it is at the start. */
    synchronized void begin(ConditionImage image, Moment now) {
        follow(image, now.monotonicNanos());
    }

    synchronized void changed(ConditionStore.Change change) {
        ConditionImage after = change.after();
        long at = change.event().at().monotonicNanos();
        if (after.test() || change.before().test()) {
            // nothing has happened; what is true goes on
            return;
        }
        if (change.event().kind() == Kind.RAISED) {
            count++;
            raised.add(at);
            forget(at);
            mostInWindow = Math.max(mostInWindow, raised.size());
        }
        mostReAlarms = Math.max(mostReAlarms, after.reAlarms());
        follow(after, at);
    }

    private void follow(ConditionImage image, long at) {
        AlarmId id = image.rule().id();
        longestActive = Math.max(longestActive, follow(activeSince, id, image.active(), at));
        longestUnacknowledged =
                Math.max(longestUnacknowledged, follow(unacknowledgedSince, id, !image.acknowledged(), at));
    }

    /** Returns how long it was so, if it has just ended. */
    private static long follow(Map<AlarmId, Long> since, AlarmId id, boolean now, long at) {
        if (now) {
            since.putIfAbsent(id, at);
            return 0;
        }
        Long began = since.remove(id);
        return began == null ? 0 : at - began;
    }

    private void forget(long now) {
        while (!raised.isEmpty() && now - raised.peekFirst() > WINDOW_NANOS) {
            raised.removeFirst();
        }
    }

    /**
     * @param count activations.
     * @param maximumActiveMillis longest time that an alarm was active, those included that are.
     * @param currentRate activations in the last window.
     * @param averageRate activations a window since the start; of less than one window, of one.
     */
    record Figures(
            long count,
            long startMillis,
            double maximumActiveMillis,
            double maximumUnacknowledgedMillis,
            double currentRate,
            double maximumRate,
            double averageRate,
            long maximumReAlarms) {}

    synchronized Figures figures(Moment now) {
        forget(now.monotonicNanos());
        double windows = Math.max(1.0, (now.monotonicNanos() - start.monotonicNanos()) / (double) WINDOW_NANOS);
        return new Figures(
                count,
                start.wallMillis(),
                longest(longestActive, activeSince, now),
                longest(longestUnacknowledged, unacknowledgedSince, now),
                raised.size(),
                mostInWindow,
                count / windows,
                mostReAlarms);
    }

    private static double longest(long ended, Map<AlarmId, Long> since, Moment now) {
        long longest = ended;
        for (long began : since.values()) {
            longest = Math.max(longest, now.monotonicNanos() - began);
        }
        return longest / NANOS_PER_MILLI;
    }
}
