package oilbird.alarm.station;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import oilbird.alarm.check.Assessment;
import oilbird.alarm.check.GuidedEvent;
import oilbird.alarm.check.GuidedFaultFinding;
import oilbird.alarm.check.GuidedInput;
import oilbird.alarm.check.GuidedSession;
import oilbird.alarm.check.GuidedSession.Watching;
import oilbird.alarm.check.GuidedStep;
import oilbird.alarm.check.GuidedStep.Reason;
import oilbird.alarm.check.GuidedStep.Refused;
import oilbird.alarm.diagnosis.BoundCheck;
import oilbird.alarm.diagnosis.CauseInstance;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.Rebase;
import oilbird.alarm.station.StationEvent.FaultFinding.Said;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import org.jspecify.annotations.Nullable;

/**
 * Guided fault-findings of the station: what people say in them, and what the gateway itself sees after a repair or when
 * the diagnosis changes. The one place where a session changes.
 */
final class FaultFindings implements Timed {
    /** While something is watched, this often at least it is looked at for the record, change or not. */
    private static final long RECORDED_EVERY_NANOS = Duration.ofMinutes(10).toNanos();

    /** So many that have ended are still shown; all of them are in the event record. */
    private static final int ENDED_SHOWN = 20;
    /** More people than that do not work at one station at once. */
    private static final int MOST_UNDER_WAY = 50;

    private static final Actor GATEWAY = new Actor("gateway", "rule");
    private static final long NANOS_PER_MILLI = 1_000_000L;

    final int timer;
    private final Deadlines deadlines;
    private final Map<String, DeviceTrack> devices;
    private final Map<String, Session> sessions = new LinkedHashMap<>();
    private StationCauses network = StationCauses.NONE;
    private GuidedFaultFinding guide = new GuidedFaultFinding(network);
    private List<StationEvent> events = new ArrayList<>();

    /** A session, with what the watch after a repair needs besides. */
    private static final class Session {
        GuidedSession now;
        /** What was last seen of what is watched; null while nothing is. */
        @Nullable
        Looked looked;

        long recordedAt;
        /** What the counter of analyses stood at when the watch began. */
        long analysesBefore;
        /** A person has said something since the last look. */
        boolean stirred;

        Session(GuidedSession now) {
            this.now = now;
        }
    }

    /** What decides whether there is something new to be recorded. */
    private record Looked(long watch, List<Sign> holding, List<Sign> untellable, int analyses, List<String> asWanted) {}

    FaultFindings(Deadlines deadlines, Map<String, DeviceTrack> devices) {
        this.timer = deadlines.newOwner();
        this.deadlines = deadlines;
        this.devices = devices;
    }

    /** The causes and checks from now on; what was found stays. */
    void library(StationCauses causes) {
        network = causes;
        guide = new GuidedFaultFinding(causes);
    }

    // ---- a new process

    /** Takes up what was under way, by folding its events again. */
    void restore(Past past, Memories memories, Moment now) {
        Map<String, List<StationEvent.FaultFinding>> bySession = new LinkedHashMap<>();
        past.faultFindings()
                .forEach(e -> bySession
                        .computeIfAbsent(e.session(), s -> new ArrayList<>())
                        .add(e));
        bySession.forEach((id, stored) -> {
            if (!memories.wasUnderWay(id)) {
                return;
            }
            guide.restore(id, moved(stored, past, now)).ifPresent(session -> {
                if (session.ended()) {
                    memories.over(id);
                    return;
                }
                memories.underWay(id);
                sessions.put(id, new Session(session));
            });
        });
    }

    /**
     * The events in the time of this process. Those of one process are moved together, so that what lies between them
     * stays; where nobody knows how long ago a process ran, its last event counts as of now, and no time has passed.
     */
    private static List<GuidedEvent> moved(List<StationEvent.FaultFinding> stored, Past past, Moment now) {
        Map<Long, Moment> lastOf = new LinkedHashMap<>();
        stored.forEach(e -> lastOf.put(e.id().incarnation(), e.at()));
        long newest = stored.get(stored.size() - 1).id().incarnation();
        Rebase rebase = past.rebase(now);
        List<GuidedEvent> events = new ArrayList<>();
        for (StationEvent.FaultFinding each : stored) {
            Moment last = Objects.requireNonNull(lastOf.get(each.id().incarnation()));
            boolean wall = now.wallTrusted() && last.wallTrusted() && last.wallMillis() <= now.wallMillis();
            long lastNow = each.id().incarnation() == newest && rebase != null
                    ? rebase.instant(last.monotonicNanos())
                    : now.monotonicNanos() - (wall ? (now.wallMillis() - last.wallMillis()) * NANOS_PER_MILLI : 0);
            Moment at = each.at();
            Moment then = new Moment(
                    at.monotonicNanos() - last.monotonicNanos() + lastNow, at.wallMillis(), at.wallTrusted());
            GuidedInput input = each.of().input();
            events.add(new GuidedEvent(
                    each.of().version(),
                    input.with(input.entry().at(then)),
                    each.of().consequences()));
        }
        return events;
    }

    // ---- what people say

    /**
     * @param open the diagnosis that it is to begin from; null where none of that id is open.
     * @return why it was not taken; null when it was.
     */
    @Nullable
    Refused begin(
            StationInput.BeginFaultFinding begin,
            @Nullable Diagnosis open,
            Diagnosing.Naming naming,
            Memories memories) {
        for (Session session : sessions.values()) {
            boolean sent = session.now.trace().stream()
                    .anyMatch(t -> t.key().equals(begin.entry().key()));
            boolean same = session.now.diagnosis().equals(begin.diagnosis()) && !session.now.ended();
            if (sent || same) {
                return take(session, new GuidedInput.Joined(begin.entry()), naming, memories);
            }
        }
        if (open == null) {
            return new Refused(
                    Reason.UNKNOWN_DIAGNOSIS,
                    "there is no open diagnosis `" + begin.diagnosis() + "`",
                    "look which are open now");
        }
        if (sessions.values().stream().filter(s -> !s.now.ended()).count() >= MOST_UNDER_WAY) {
            return new Refused(
                    Reason.TOO_MANY,
                    MOST_UNDER_WAY + " fault-findings are under way already",
                    "end those that nobody works on");
        }
        EventId id = naming.nextId();
        GuidedStep.Taken taken = guide.begin(id.toString(), new GuidedInput.Begun(begin.entry(), Assessment.of(open)));
        Session session = new Session(taken.session());
        sessions.put(id.toString(), session);
        memories.underWay(id.toString());
        events.add(
                new StationEvent.FaultFinding(id, id.toString(), taken.event(), Said.NOTHING, seen(taken.session())));
        return null;
    }

    @Nullable
    Refused take(StationInput.InFaultFinding said, Diagnosing.Naming naming, Memories memories) {
        Session session = sessions.get(said.session());
        return session == null
                ? new Refused(
                        Reason.UNKNOWN_SESSION,
                        "there is no fault-finding `" + said.session() + "` under way",
                        "begin one from the diagnosis")
                : take(session, said.input(), naming, memories);
    }

    private @Nullable Refused take(Session session, GuidedInput input, Diagnosing.Naming naming, Memories memories) {
        GuidedStep step = guide.step(session.now, input);
        if (step instanceof Refused refused) {
            return refused;
        }
        if (step instanceof GuidedStep.Taken taken) {
            session.now = taken.session();
            session.stirred = true;
            events.add(new StationEvent.FaultFinding(
                    naming.nextId(),
                    session.now.id(),
                    taken.event(),
                    said(taken.event()),
                    changesThings(taken.event(), session.now) ? seen(session.now) : List.of()));
            if (session.now.ended()) {
                memories.over(session.now.id());
                forgetTheOldest();
            }
        }
        return null;
    }

    /** What the monitors said belongs to the record at the beginning, when the words are saved, at a repair and at the end. */
    private static boolean changesThings(GuidedEvent event, GuidedSession session) {
        GuidedInput input = event.input();
        boolean ends = session.ended()
                && !(input instanceof GuidedInput.ControlRoomTold)
                && !(input instanceof GuidedInput.Left);
        return ends
                || input instanceof GuidedInput.WordsSaved
                || input instanceof GuidedInput.Repaired
                || event.consequences().stream().anyMatch(c -> c instanceof GuidedEvent.RepairInVain);
    }

    private void forgetTheOldest() {
        long ended = sessions.values().stream().filter(s -> s.now.ended()).count();
        for (Iterator<Session> each = sessions.values().iterator(); ended > ENDED_SHOWN && each.hasNext(); ) {
            if (each.next().now.ended()) {
                each.remove();
                ended--;
            }
        }
    }

    private List<DeviceSeen> seen(GuidedSession session) {
        return devices.values().stream()
                .filter(d -> session.assets().contains(d.facts.asset()))
                .map(DeviceTrack::seen)
                .toList();
    }

    private Said said(GuidedEvent event) {
        GuidedInput input = event.input();
        if (input instanceof GuidedInput.Answered answered) {
            return said(answered.check(), answered.outcome());
        } else if (input instanceof GuidedInput.Measured measured) {
            return said(measured.check(), outcome(event));
        } else if (input instanceof GuidedInput.Authorised authorised) {
            return said(authorised.check(), -1);
        } else if (input instanceof GuidedInput.Prepared prepared) {
            Said of = said(prepared.check(), -1);
            return new Said(of.about(), prepared.preparation().text(), "");
        } else if (input instanceof GuidedInput.Repaired repaired) {
            String cause =
                    network.cause(repaired.cause()).map(CauseInstance::says).orElse(repaired.cause());
            String step = repaired.check();
            return new Said(cause, step == null ? "" : said(step, -1).about(), "");
        }
        return Said.NOTHING;
    }

    private static int outcome(GuidedEvent event) {
        return event.consequences().stream()
                .filter(GuidedEvent.Judged.class::isInstance)
                .map(c -> ((GuidedEvent.Judged) c).outcome())
                .findFirst()
                .orElse(-1);
    }

    private Said said(String check, int outcome) {
        return network.check(check)
                .map(BoundCheck::check)
                .map(c -> {
                    String where = c.where();
                    String about = where == null ? c.action() : c.action() + " (" + where + ")";
                    FirstCheck.Outcome found = outcome < 0 ? null : c.outcomes().get(outcome);
                    return found == null ? new Said(about, "", "") : new Said(about, found.finding(), found.meaning());
                })
                .orElse(Said.NOTHING);
    }

    // ---- what the gateway sees by itself

    /**
     * Looks at what is watched, and whether a diagnosis has changed.
     *
     * @param told what this step has brought about so far.
     * @return what follows.
     */
    List<StationEvent> settle(Moment at, List<StationEvent> told, Diagnosing diagnosing, Memories memories) {
        if (sessions.isEmpty()) {
            return List.of();
        }
        long wake = Deadlines.NEVER;
        for (Session session : List.copyOf(sessions.values())) {
            if (!session.now.ended()) {
                reassess(session, at, told, diagnosing, memories);
                wake = Math.min(wake, watch(session, at, diagnosing, memories));
            }
        }
        deadlines.set(timer, wake);
        if (events.isEmpty()) {
            return List.of();
        }
        List<StationEvent> brought = events;
        events = new ArrayList<>();
        return brought;
    }

    private void reassess(
            Session session, Moment at, List<StationEvent> told, Diagnosing diagnosing, Memories memories) {
        boolean changed = false;
        for (StationEvent event : told) {
            changed |= event instanceof StationEvent.Diagnosed diagnosed
                    && diagnosed.kind() == StationEvent.Diagnosed.Kind.CHANGED
                    && diagnosed.diagnosis().equals(session.now.diagnosis());
        }
        if (changed && session.now.watching() == null) {
            reassess(session, at, diagnosing, memories);
        }
    }

    private void reassess(Session session, Moment at, Diagnosing diagnosing, Memories memories) {
        diagnosing.view().stream()
                .filter(d -> d.id().equals(session.now.diagnosis()))
                .findFirst()
                .ifPresent(d -> take(
                        session,
                        new GuidedInput.Reassessed(entry(session, at), Assessment.of(d)),
                        diagnosing.naming(),
                        memories));
    }

    private static GuidedInput.Entry entry(Session session, Moment at) {
        long next = session.now.version() + 1;
        return new GuidedInput.Entry("gateway " + next, GATEWAY, at, session.now.version(), null);
    }

    /** Returns when it has to be looked at again without any change. */
    private long watch(Session session, Moment at, Diagnosing diagnosing, Memories memories) {
        Watching watching = session.now.watching();
        if (watching == null) {
            session.looked = null;
            return Deadlines.NEVER;
        }
        Looked before = session.looked;
        DeviceTrack device = network.cause(watching.cause())
                .map(CauseInstance::device)
                .map(StationFacts.Device::id)
                .map(devices::get)
                .orElse(null);
        if (before == null || before.watch() != watching.version()) {
            // Anew in this process: what was counted before goes on.
            session.analysesBefore = counted(device) - watching.analyses();
        }
        Map<String, Double> readings = readings(watching, device);
        Looked now = new Looked(
                watching.version(),
                signs(watching, diagnosing, true),
                signs(watching, diagnosing, false),
                (int) Math.max(0, counted(device) - session.analysesBefore),
                watching.proving().readings().stream()
                        .filter(w -> readings.containsKey(w.point()) && w.holds(readings.get(w.point())))
                        .map(w -> w.point())
                        .toList());
        if (!now.equals(before) || session.stirred || at.monotonicNanos() >= due(session, watching)) {
            session.looked = now;
            session.recordedAt = at.monotonicNanos();
            take(
                    session,
                    new GuidedInput.Watched(
                            entry(session, at), now.holding(), now.untellable(), now.analyses(), readings),
                    diagnosing.naming(),
                    memories);
            session.stirred = false;
            Watching after = session.now.watching();
            if (after == null && !session.now.ended()) {
                reassess(session, at, diagnosing, memories);
            }
            return after == null ? Deadlines.NEVER : due(session, after);
        }
        return due(session, watching);
    }

    /** When time alone decides something, or the record wants another look. */
    private static long due(Session session, Watching watching) {
        long due = session.recordedAt + RECORDED_EVERY_NANOS;
        Looked looked = session.looked;
        long settled =
                watching.since().monotonicNanos() + watching.proving().settles().toNanos();
        if (looked != null && !looked.holding().isEmpty() && settled > session.recordedAt) {
            due = Math.min(due, settled);
        }
        Moment quiet = watching.quietSince();
        long proved = quiet == null
                ? Deadlines.NEVER
                : quiet.monotonicNanos() + watching.proving().quiet().toNanos();
        return proved > session.recordedAt ? Math.min(due, proved) : due;
    }

    private static List<Sign> signs(Watching watching, Diagnosing diagnosing, boolean holding) {
        List<Sign> signs = new ArrayList<>();
        for (Sign sign : watching.signs()) {
            SignTrack track = diagnosing.track(sign);
            boolean told = track != null && !track.asLastTold && track.told != Diagnosis.Told.CANNOT_BE_TOLD;
            boolean holds = told && track != null && track.told == Diagnosis.Told.HOLDS;
            if (holding ? holds : !told) {
                signs.add(sign);
            }
        }
        return signs;
    }

    /** Analyses that the device has finished since this process began, by the counter that its readings name. */
    private static long counted(@Nullable DeviceTrack device) {
        if (device == null) {
            return 0;
        }
        Set<ReadingTrack> counters = new LinkedHashSet<>();
        for (ReadingTrack reading : device.readings.values()) {
            ReadingTrack counter = reading.counter;
            if (counter != null && counter != reading) {
                counters.add(counter);
            }
        }
        return counters.stream().mapToLong(c -> c.analyses).min().orElse(0);
    }

    /** Only what can be taken at face value. */
    private static Map<String, Double> readings(Watching watching, @Nullable DeviceTrack device) {
        Map<String, Double> readings = new LinkedHashMap<>();
        if (device == null) {
            return readings;
        }
        watching.proving().readings().forEach(wanted -> {
            ReadingTrack reading = device.readings.get(wanted.point());
            Double number = reading == null ? null : reading.now().number();
            boolean usable = reading != null
                    && reading.reason.quality() != Quality.BAD
                    && reading.reason != QualityReason.DOUBTFUL
                    && reading.reason != QualityReason.IN_MAINTENANCE;
            if (usable && number != null) {
                readings.put(wanted.point(), number);
            }
        });
        return readings;
    }

    StationView.FaultFindings view() {
        return new StationView.FaultFindings(
                sessions.values().stream().map(s -> s.now).toList(), network);
    }
}
