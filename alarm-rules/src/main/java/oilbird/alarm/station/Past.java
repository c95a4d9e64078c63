package oilbird.alarm.station;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.Rebase;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/**
 * What a fold goes on from: everything as the process before stored it, in that one's monotonic time.
 *
 * @param states memories of alarms.
 * @param standing maintenance and point tests.
 * @param remembered by key, each once.
 * @param recent alarm events of the last {@link #RECENT_MILLIS} that were annunciated or raised an alarm, in order.
 * @param faultFindings events of guided fault-findings that were under way, in order.
 * @param savedAt the last moment at which that process is known to have lived; null if unknown, which ends all
 *     shelving and forgets what depends on time.
 */
public record Past(
        List<AlarmState> states,
        Standing standing,
        List<Remembered> remembered,
        List<StationEvent.OfAlarm> recent,
        List<StationEvent.FaultFinding> faultFindings,
        @Nullable Moment savedAt) {
    /** How far back floods and chattering are counted. */
    public static final long RECENT_MILLIS = 600_000;

    public static final Past NONE = new Past(List.of(), Standing.NONE, List.of(), List.of(), null);
    private static final long NANOS_PER_MILLI = 1_000_000L;

    public Past {
        states = List.copyOf(states);
        remembered = List.copyOf(remembered);
        recent = List.copyOf(recent);
        faultFindings = List.copyOf(faultFindings);
    }

    /** What a fold goes on from where no guided fault-finding was under way. */
    public Past(
            List<AlarmState> states,
            Standing standing,
            List<Remembered> remembered,
            List<StationEvent.OfAlarm> recent,
            @Nullable Moment savedAt) {
        this(states, standing, remembered, recent, List.of(), savedAt);
    }

    /** Ids of the guided fault-findings that were under way when these pieces were stored. */
    public static List<String> faultFindingsUnderWay(List<Remembered> pieces) {
        return pieces.stream()
                .filter(p -> p.key().startsWith(Memories.FAULT_FINDING))
                .map(p -> p.key().substring(Memories.FAULT_FINDING.length()))
                .toList();
    }

    /** Number of the newest entry of the journal of changes in access that is recorded; 0 for none. */
    public long journalled() {
        return remembered.stream()
                .filter(piece -> piece.key().equals(Memories.JOURNAL))
                .mapToLong(piece -> Long.parseLong(piece.texts().get(0)))
                .findFirst()
                .orElse(0);
    }

    /** The way to the time of a process that starts now; null where the time away is not known at all. */
    @Nullable
    Rebase rebase(Moment now) {
        return savedAt == null ? null : Rebase.between(savedAt, now);
    }

    /** Pieces by key. Those with instants are left out where the time away is not known. */
    Map<String, Remembered> remembered(Moment now) {
        Rebase rebase = rebase(now);
        Map<String, Remembered> pieces = new LinkedHashMap<>();
        for (Remembered piece : remembered) {
            if (rebase != null) {
                List<Long> moved = piece.instants().stream()
                        .map(i -> i == AlarmState.NEVER ? i : (Long) rebase.instant(i))
                        .toList();
                pieces.put(
                        piece.key(),
                        new Remembered(piece.key(), piece.texts(), moved, piece.numbers(), piece.atOnce()));
            } else if (piece.instants().isEmpty()) {
                pieces.put(piece.key(), piece);
            }
        }
        return pieces;
    }

    /** When a recent event happened, in the time of the process that starts now; null if that cannot be told. */
    @Nullable
    Long instant(StationEvent.OfAlarm event, Moment now) {
        Rebase rebase = rebase(now);
        boolean ofLastProcess =
                event.id().incarnation() == recent.get(recent.size() - 1).id().incarnation();
        if (rebase != null && ofLastProcess) {
            return rebase.instant(event.at().monotonicNanos());
        }
        long age = now.wallMillis() - event.at().wallMillis();
        return now.wallTrusted() && event.at().wallTrusted() && age >= 0 && age <= RECENT_MILLIS
                ? (Long) (now.monotonicNanos() - age * NANOS_PER_MILLI)
                : null;
    }
}
