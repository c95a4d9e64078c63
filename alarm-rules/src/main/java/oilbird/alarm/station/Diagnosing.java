package oilbird.alarm.station;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import java.util.Set;
import java.util.TreeSet;
import oilbird.alarm.diagnosis.CauseBinder;
import oilbird.alarm.diagnosis.CauseInstance;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Diagnosis.Told;
import oilbird.alarm.diagnosis.Diagnostician;
import oilbird.alarm.diagnosis.Evidence;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.alarm.rule.RuleDefaults;
import oilbird.alarm.state.AlarmId;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * The last stage of the fold: what is made of the signs that hold. It annotates; it changes no alarm. A group of
 * signs is thought over again when one of its signs, or something that supports one of its causes, has changed, or when
 * a sign that was awaited should have come; never for each reading.
 */
final class Diagnosing implements Evidence {
    /**
     * At least so long a group waits after a start for signs that have not been read: longer than a device that answers
     * takes, and nothing is concluded from half a picture.
     */
    static final Duration PATIENCE_AFTER_START = Duration.ofSeconds(10);

    /** No longer than this: a sign that is heard of every few hours must not keep the others from being explained. */
    private static final Duration LONGEST_PATIENCE = Duration.ofMinutes(1);

    /** From which change of the likeliest cause's posterior on people are told of it. */
    private static final double WORTH_TELLING = 0.1;
    /** Below this posterior a cause no longer counts as a reason to keep away. */
    private static final double NO_REASON_BELOW = Diagnosis.KEEPS_AWAY / 2;

    private final int timer;
    private final Deadlines deadlines;
    private final Diagnostician diagnostician;
    private final List<SignTrack> signs = new ArrayList<>();
    private final Map<SignalId, ReadingTrack> readings = new HashMap<>();
    private final Map<SignalId, IndicationTrack> indications = new HashMap<>();
    private final KeepAways keepAways;
    private final StandingOrders orders;
    private final Naming naming;

    private final boolean[] dirty;
    private boolean anyDirty;
    private final long[] wakeAt;
    private final List<List<Open>> open = new ArrayList<>();
    private final List<List<SignTrack>> signsOfGroup = new ArrayList<>();
    private final List<List<SupportTrack>> supportsOfGroup = new ArrayList<>();
    /** Causes of each group that can keep people away. */
    private final List<List<Reason>> reasonsOfGroup = new ArrayList<>();

    private final Set<Reason> reasons = new LinkedHashSet<>();
    /** Until then a group waits for signs that have not been read since the start. */
    private final long[] patienceUntil;

    private List<StationEvent> events = new ArrayList<>();

    /** Gives the next event its id. */
    interface Naming {
        EventId nextId();
    }

    /** A diagnosis that is open. */
    private static final class Open {
        final String id;
        final Moment since;
        String subject;
        Set<Integer> signs;
        /** As people were last told of it. */
        @Nullable
        Diagnosis told;
        /** As it is now; null until it was thought over for the first time. */
        @Nullable
        Diagnosis now;

        Open(String id, String subject, Moment since, Set<Integer> signs) {
            this.id = id;
            this.subject = subject;
            this.since = since;
            this.signs = signs;
        }
    }

    /** A cause that keeps people away from an asset. */
    private record Reason(String asset, String cause) {
        String text() {
            return "cause " + cause;
        }
    }

    /** Soft evidence, with what was last seen of it. */
    static final class SupportTrack {
        final CauseInstance.BoundSupport support;
        final int group;

        @Nullable
        Boolean seen;

        SupportTrack(CauseInstance.BoundSupport support, int group) {
            this.support = support;
            this.group = group;
        }
    }

    Diagnosing(
            StationCauses causes,
            Map<String, DeviceTrack> devices,
            List<AlarmTrack> alarms,
            Deadlines deadlines,
            int timer,
            StandingOrders orders,
            KeepAways keepAways,
            Naming naming,
            Moment at,
            Duration patience) {
        this.diagnostician = new Diagnostician(causes);
        this.deadlines = deadlines;
        this.timer = timer;
        this.orders = orders;
        this.keepAways = keepAways;
        this.naming = naming;
        this.dirty = new boolean[diagnostician.groupCount()];
        this.wakeAt = new long[dirty.length];
        for (int group = 0; group < dirty.length; group++) {
            wakeAt[group] = Deadlines.NEVER;
            open.add(new ArrayList<>());
            signsOfGroup.add(new ArrayList<>());
            supportsOfGroup.add(new ArrayList<>());
            reasonsOfGroup.add(new ArrayList<>());
        }
        watch(causes, devices, alarms);
        this.patienceUntil = new long[dirty.length];
        for (SignTrack sign : signs) {
            int group = diagnostician.groupOf(sign.index);
            long rounds =
                    patience.isZero() ? 0 : Math.min(2 * sign.uncertainty().toNanos(), LONGEST_PATIENCE.toNanos());
            long until = at.monotonicNanos() + Math.max(patience.toNanos(), rounds);
            patienceUntil[group] = Math.max(patienceUntil[group], until);
        }
    }

    private void watch(StationCauses causes, Map<String, DeviceTrack> devices, List<AlarmTrack> alarms) {
        Map<AlarmId, AlarmTrack> byId = new HashMap<>();
        Map<SignalId, List<AlarmTrack>> tellTheSame = new HashMap<>();
        for (AlarmTrack alarm : alarms) {
            byId.put(alarm.rule.id(), alarm);
            SignalId told = CauseBinder.tellsTheSame(alarm.rule);
            if (told != null) {
                tellTheSame.computeIfAbsent(told, t -> new ArrayList<>()).add(alarm);
            }
        }
        for (int index = 0; index < causes.signs().size(); index++) {
            Sign sign = causes.signs().get(index);
            SignTrack track;
            SignalId id = sign.indication();
            AlarmId alarmId = sign.alarm();
            if (id != null) {
                DeviceTrack device = devices.get(id.owner());
                IndicationTrack indication = device == null ? null : device.indications.get(id.name());
                if (device == null || indication == null) {
                    throw new IllegalArgumentException("the station has no " + id);
                }
                track = new SignTrack(
                        index, sign, indication, device.facts.unverified().contains(id.name()));
                track.alarms.addAll(tellTheSame.getOrDefault(id, List.of()));
                indication.sign = track;
            } else {
                AlarmTrack alarm = byId.get(alarmId);
                if (alarm == null) {
                    throw new IllegalArgumentException("the station has no alarm " + alarmId);
                }
                track = new SignTrack(
                        index, sign, null, !alarm.rule.unverified().isEmpty());
                track.alarms.add(alarm);
            }
            track.alarms.forEach(a -> a.sign = track);
            signs.add(track);
            signsOfGroup.get(diagnostician.groupOf(index)).add(track);
        }
        for (int cause = 0; cause < causes.causes().size(); cause++) {
            int group = diagnostician.groupOfCause(cause);
            CauseInstance instance = causes.causes().get(cause);
            if (instance.cause().keepAway()) {
                instance.assets().forEach(a -> reasonsOfGroup.get(group).add(new Reason(a.id(), instance.id())));
            }
            for (CauseInstance.BoundSupport bound : instance.supports()) {
                SupportTrack support = new SupportTrack(bound, group);
                supportsOfGroup.get(group).add(support);
                attach(support, bound.signal(), devices);
                SignalId over = bound.over();
                if (over != null) {
                    attach(support, over, devices);
                }
            }
        }
    }

    private void attach(SupportTrack support, SignalId id, Map<String, DeviceTrack> devices) {
        DeviceTrack device = devices.get(id.owner());
        ReadingTrack reading = device == null ? null : device.readings.get(id.name());
        IndicationTrack indication = device == null ? null : device.indications.get(id.name());
        if (reading != null) {
            readings.put(id, reading);
            reading.supports.add(support);
        } else if (indication != null) {
            indications.put(id, indication);
            indication.supports.add(support);
        } else {
            throw new IllegalArgumentException("the station has no " + id);
        }
    }

    /** Takes up what a previous process, or the same one with other rules, had found. */
    void restore(List<Standing.OpenDiagnosis> stored) {
        Map<Sign, SignTrack> bySign = new HashMap<>();
        signs.forEach(s -> bySign.put(s.sign, s));
        for (Standing.OpenDiagnosis each : stored) {
            Set<Integer> held = new TreeSet<>();
            for (Standing.HeldSign sign : each.signs()) {
                SignTrack track = bySign.get(sign.sign());
                if (track != null) {
                    track.holds = true;
                    track.asLastTold = true;
                    track.told = Told.HOLDS;
                    track.since = sign.since();
                    held.add(track.index);
                }
            }
            if (!held.isEmpty()) {
                int group = diagnostician.groupOf(held.iterator().next());
                open.get(group).add(new Open(each.id(), each.subject(), each.since(), held));
                soil(group);
            }
        }
    }

    /** Looks at every sign, after a start or after other rules were loaded. */
    void lookAtAll(Moment at) {
        signs.forEach(s -> changed(s, at));
    }

    private void soil(int group) {
        dirty[group] = true;
        anyDirty = true;
    }

    // ---- what changes

    void changed(SignTrack sign, Moment at) {
        if (sign.look(at)) {
            soil(diagnostician.groupOf(sign.index));
        }
        if (sign.calmAt < wakeAt[diagnostician.groupOf(sign.index)]) {
            wakeAt[diagnostician.groupOf(sign.index)] = sign.calmAt;
            setTimer();
        }
    }

    /** An alarm of a sign became active or inactive. */
    void activityChanged(SignTrack sign, Moment at) {
        changed(sign, at);
        soil(diagnostician.groupOf(sign.index));
    }

    /** Something that may support causes has changed; whether it says anything else is looked at only if it matters. */
    void changed(List<SupportTrack> changed) {
        for (int i = 0; i < changed.size(); i++) {
            SupportTrack support = changed.get(i);
            if (!open.get(support.group).isEmpty()
                    && !dirty[support.group]
                    && !Objects.equals(support.seen, Diagnostician.seen(support.support, this))) {
                soil(support.group);
            }
        }
    }

    /** The timer is due. */
    void wake(Moment at) {
        for (int group = 0; group < wakeAt.length; group++) {
            if (wakeAt[group] <= at.monotonicNanos()) {
                wakeAt[group] = Deadlines.NEVER;
                for (SignTrack sign : signsOfGroup.get(group)) {
                    if (sign.calmAt <= at.monotonicNanos()) {
                        changed(sign, at);
                    }
                }
                soil(group);
            }
        }
        setTimer();
    }

    private void setTimer() {
        long earliest = Deadlines.NEVER;
        for (long each : wakeAt) {
            earliest = Math.min(earliest, each);
        }
        deadlines.set(timer, earliest);
    }

    // ---- thinking it over

    /** What has come of the changes since the last call. */
    List<StationEvent> settle(Moment at) {
        if (!anyDirty) {
            return List.of();
        }
        anyDirty = false;
        for (int group = 0; group < dirty.length; group++) {
            if (dirty[group] && awaitsFirstReading(group, at)) {
                anyDirty = true;
                wakeAt[group] = Math.min(wakeAt[group], patienceUntil[group]);
            } else if (dirty[group]) {
                dirty[group] = false;
                thinkOver(group, at);
            }
        }
        setTimer();
        List<StationEvent> told = events;
        events = new ArrayList<>();
        return told;
    }

    /** Right after a start the picture is half: signs that are absent have not been heard of either. */
    private boolean awaitsFirstReading(int group, Moment at) {
        return at.monotonicNanos() < patienceUntil[group]
                && signsOfGroup.get(group).stream().anyMatch(s -> !s.unverified && s.awaitsFirstReading());
    }

    private void thinkOver(int group, Moment at) {
        supportsOfGroup.get(group).forEach(s -> s.seen = Diagnostician.seen(s.support, this));
        List<Open> before = new ArrayList<>(open.get(group));
        List<Open> after = new ArrayList<>();
        Map<String, Double> posteriors = new HashMap<>();
        boolean worthStoring = false;
        long wake = Deadlines.NEVER;
        for (SignTrack sign : signsOfGroup.get(group)) {
            wake = Math.min(wake, sign.calmAt);
        }
        for (Diagnostician.Finding finding : diagnostician.findings(group, this, at)) {
            Set<Integer> held = new TreeSet<>(finding.signs());
            Open known = takeBestMatch(before, held);
            EventId opening = known == null ? naming.nextId() : null;
            Open going =
                    known == null ? new Open(String.valueOf(opening), finding.subject(), finding.since(), held) : known;
            worthStoring |= opening != null || !going.signs.equals(held) || !going.subject.equals(finding.subject());
            going.signs = held;
            going.subject = finding.subject();
            Diagnosis diagnosis = diagnosis(going, finding, at);
            going.now = diagnosis;
            Diagnosis told = going.told;
            if (opening != null) {
                going.told = diagnosis;
                tell(opening, StationEvent.Diagnosed.Kind.OPENED, diagnosis);
            } else if (told == null) {
                going.told = diagnosis; // it goes on from before a start, and people know of it
            } else if (worthTelling(told, diagnosis)) {
                going.told = diagnosis;
                tell(naming.nextId(), StationEvent.Diagnosed.Kind.CHANGED, diagnosis);
            }
            posteriors.putAll(finding.keepAway());
            after.add(going);
            wake = Math.min(wake, finding.changesAt());
        }
        for (Open over : before) {
            worthStoring = true;
            close(over, at);
        }
        keepAway(group, posteriors, at);
        open.set(group, after);
        wakeAt[group] = wake;
        if (worthStoring) {
            store();
        }
    }

    /** The open diagnosis that shares the most signs; of equal ones the oldest. It is taken out of the list. */
    private static @Nullable Open takeBestMatch(List<Open> before, Set<Integer> held) {
        Open best = null;
        long most = 0;
        for (Open each : before) {
            long shared = each.signs.stream().filter(held::contains).count();
            if (shared > most) {
                best = each;
                most = shared;
            }
        }
        if (best != null) {
            before.remove(best);
        }
        return best;
    }

    private Diagnosis diagnosis(Open going, Diagnostician.Finding finding, Moment at) {
        List<AlarmId> grouped = new ArrayList<>();
        List<AlarmId> apart = new ArrayList<>();
        for (int sign : finding.signs()) {
            SignTrack track = signs.get(sign);
            for (AlarmTrack alarm : track.alarms) {
                if (!alarm.state.active()) {
                    continue;
                }
                if (RuleDefaults.protects(alarm.policy.alarmClass())) {
                    apart.add(alarm.rule.id());
                } else if (!finding.unexplained().contains(track.sign)) {
                    grouped.add(alarm.rule.id());
                }
            }
        }
        boolean before = going.now != null && going.now.keepAway();
        boolean keepAway = finding.keepAway().values().stream().anyMatch(p -> reasonFrom(p, before));
        return new Diagnosis(
                going.id,
                finding.subject(),
                finding.assets(),
                going.since,
                at,
                finding.causes(),
                finding.states(),
                finding.unexplained(),
                finding.firstOut(),
                finding.doubtful(),
                grouped,
                apart,
                keepAway,
                finding.inference());
    }

    private static boolean reasonFrom(double posterior, boolean before) {
        return posterior >= (before ? NO_REASON_BELOW : Diagnosis.KEEPS_AWAY);
    }

    private void keepAway(int group, Map<String, Double> posteriors, Moment at) {
        for (Reason reason : reasonsOfGroup.get(group)) {
            if (reasonFrom(posteriors.getOrDefault(reason.cause(), 0.0), reasons.contains(reason))) {
                reasons.add(reason);
                keepAways.holds(reason.asset(), reason.text(), at);
            } else {
                reasons.remove(reason);
                keepAways.isGone(reason.asset(), reason.text());
            }
        }
    }

    private static boolean worthTelling(Diagnosis told, Diagnosis now) {
        Diagnosis.RankedCause then = told.likeliest();
        Diagnosis.RankedCause likeliest = now.likeliest();
        if (then == null || likeliest == null) {
            return then != likeliest || !held(told).equals(held(now));
        }
        return !then.cause().equals(likeliest.cause())
                || Math.abs(then.posterior() - likeliest.posterior()) >= WORTH_TELLING
                || !held(told).equals(held(now))
                || !told.unexplained().equals(now.unexplained())
                || !told.grouped().equals(now.grouped())
                || !told.apart().equals(now.apart())
                || told.keepAway() != now.keepAway();
    }

    private static List<Sign> held(Diagnosis diagnosis) {
        return diagnosis.signs().stream()
                .filter(s -> s.told() == Told.HOLDS)
                .map(Diagnosis.SignState::sign)
                .toList();
    }

    private void tell(EventId id, StationEvent.Diagnosed.Kind kind, Diagnosis diagnosis) {
        List<Sign> holding = new ArrayList<>();
        holding.add(diagnosis.firstOut().sign());
        held(diagnosis).stream()
                .filter(s -> !s.equals(diagnosis.firstOut().sign()))
                .forEach(holding::add);
        events.add(new StationEvent.Diagnosed(
                id,
                kind,
                diagnosis.id(),
                diagnosis.subject(),
                diagnosis.assets(),
                diagnosis.since(),
                likely(diagnosis),
                holding,
                diagnosis.firstOut().orOneOf(),
                diagnosis.unexplained(),
                diagnosis.grouped(),
                diagnosis.apart(),
                diagnosis.keepAway(),
                diagnosis.at()));
    }

    private static List<StationEvent.Diagnosed.Likely> likely(@Nullable Diagnosis diagnosis) {
        return diagnosis == null
                ? List.of()
                : diagnosis.causes().stream()
                        .map(c -> new StationEvent.Diagnosed.Likely(
                                c.cause(), c.says(), c.trouble(), (int) Math.round(c.posterior() * 1e6)))
                        .toList();
    }

    private void close(Open over, Moment at) {
        events.add(new StationEvent.Diagnosed(
                naming.nextId(),
                StationEvent.Diagnosed.Kind.CLOSED,
                over.id,
                over.subject,
                over.now == null ? List.of() : over.now.assets(),
                over.since,
                likely(over.now),
                List.of(),
                List.of(),
                List.of(),
                List.of(),
                List.of(),
                false,
                at));
    }

    private void store() {
        orders.diagnoses(stored());
    }

    /** All that are open, for the next process or other rules to go on from. */
    List<Standing.OpenDiagnosis> stored() {
        List<Standing.OpenDiagnosis> stored = new ArrayList<>();
        for (List<Open> group : open) {
            for (Open each : group) {
                List<Standing.HeldSign> held = new ArrayList<>();
                for (int sign : each.signs) {
                    SignTrack track = signs.get(sign);
                    Moment since = track.since;
                    held.add(new Standing.HeldSign(track.sign, since == null ? each.since : since));
                }
                stored.add(new Standing.OpenDiagnosis(each.id, each.subject, each.since, held));
            }
        }
        return stored;
    }

    /** What is known of a sign; null where no fault model has it any more. */
    @Nullable
    SignTrack track(Sign sign) {
        for (SignTrack track : signs) {
            if (track.sign.equals(sign)) {
                return track;
            }
        }
        return null;
    }

    Naming naming() {
        return naming;
    }

    /** Open ones; those that may be trouble of a transformer first, then the oldest first. */
    List<Diagnosis> view() {
        List<Diagnosis> all = new ArrayList<>();
        for (List<Open> group : open) {
            for (Open each : group) {
                if (each.now != null) {
                    all.add(each.now);
                }
            }
        }
        all.sort(Comparator.comparing((Diagnosis d) -> !d.transformerTrouble())
                .thenComparing(d -> d.since().monotonicNanos()));
        return all;
    }

    // ---- evidence

    @Override
    public Told told(int sign) {
        return signs.get(sign).told;
    }

    @Override
    public @Nullable Moment since(int sign) {
        SignTrack track = signs.get(sign);
        return track.holds ? track.since : null;
    }

    @Override
    public Duration uncertainty(int sign) {
        return signs.get(sign).uncertainty();
    }

    @Override
    public boolean asLastTold(int sign) {
        return signs.get(sign).asLastTold;
    }

    @Override
    public @Nullable Double number(SignalId reading) {
        ReadingTrack track = readings.get(reading);
        boolean usable = track != null
                && track.reason.quality() != Quality.BAD
                && track.reason != QualityReason.DOUBTFUL
                && track.reason != QualityReason.IN_MAINTENANCE;
        return usable && track != null ? track.raw.number() : null;
    }

    @Override
    public @Nullable Boolean holds(SignalId indication) {
        IndicationTrack track = indications.get(indication);
        if (track == null || track.device.inMaintenance || track.now.state() == IndicationState.CANNOT_BE_TOLD) {
            return null;
        }
        return track.now.state() == IndicationState.HOLDS;
    }
}
