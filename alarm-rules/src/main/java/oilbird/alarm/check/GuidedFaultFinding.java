package oilbird.alarm.check;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Collection;
import java.util.List;
import java.util.Optional;
import java.util.function.Predicate;
import oilbird.alarm.check.GuidedEvent.Consequence;
import oilbird.alarm.check.GuidedSession.Answer;
import oilbird.alarm.check.GuidedSession.Ending;
import oilbird.alarm.check.GuidedSession.Found;
import oilbird.alarm.check.GuidedSession.Watching;
import oilbird.alarm.check.GuidedStep.Reason;
import oilbird.alarm.diagnosis.BoundCheck;
import oilbird.alarm.diagnosis.CauseInstance;
import oilbird.alarm.diagnosis.DeviceChecks;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.Measurement;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Verdict;
import oilbird.mapping.signal.Work;
import org.jspecify.annotations.Nullable;

/**
 * Guided fault-finding on the causes and checks of one station: a pure fold over what people and the gateway say.
 *
 * <p>{@link #step} is the only place where a session changes. Time is in the input. Immutable, thread-safe.
 */
public final class GuidedFaultFinding {
    private final StationCauses network;

    public GuidedFaultFinding(StationCauses network) {
        this.network = network;
    }

    /** A session that begins with what a diagnosis says. */
    public GuidedSession begin(String id, Diagnosis diagnosis) {
        return begin(id, Assessment.of(diagnosis), List.of(), List.of());
    }

    /**
     * A session that begins; its first event has version 0.
     *
     * @param id the key of the session.
     */
    public GuidedStep.Taken begin(String id, GuidedInput.Begun begun) {
        String who = begun.entry().who().name();
        GuidedSession session = begin(
                id,
                begun.assessment(),
                List.of(who),
                List.of(new GuidedSession.Trace(0, begun.entry().key(), who, NOTED, null)));
        return new GuidedStep.Taken(session, new GuidedEvent(0, begun, List.of()));
    }

    private static GuidedSession begin(
            String id, Assessment assessment, List<String> atWork, List<GuidedSession.Trace> trace) {
        return new GuidedSession(
                id,
                assessment.diagnosis(),
                assessment.assets(),
                0,
                Belief.of(assessment.inference()),
                assessment.signs(),
                List.of(),
                List.of(),
                atWork,
                null,
                List.of(),
                List.of(),
                null,
                null,
                null,
                null,
                null,
                null,
                trace);
    }

    /**
     * The session that these events made, all of them from its beginning; their moments are those of one clock. An event
     * that this library does not take any more leaves the session as it was, and the next one its version.
     *
     * @return empty where the first of them is not the beginning.
     */
    public Optional<GuidedSession> restore(String id, List<GuidedEvent> events) {
        if (events.isEmpty() || !(events.get(0).input() instanceof GuidedInput.Begun begun)) {
            return Optional.empty();
        }
        GuidedSession session = begin(id, begun).session();
        for (GuidedEvent event : events.subList(1, events.size())) {
            if (step(session, event.input()) instanceof GuidedStep.Taken taken) {
                session = taken.session();
            }
            session = new SessionDraft(session).session(event.version());
        }
        return Optional.of(session);
    }

    /**
     * The checks that tell something about the causes that are reckoned with, for a sheet of paper: the least exposed
     * first, and last what puts right a cause to be reckoned with, and proves it.
     *
     * @param keptAway ids of the assets from which people are to keep away now; what is near them is left out.
     */
    public List<Next.Proposal> sheet(GuidedSession session, Collection<String> keptAway) {
        Belief belief = belief(session);
        List<BoundCheck> open = CheckChoice.about(network, belief).stream()
                .filter(c -> session.answer(c.id()).isEmpty() && !CheckChoice.withdrawn(c, keptAway))
                .toList();
        List<Next.Proposal> telling = new ArrayList<>();
        List<Next.Proposal> changing = new ArrayList<>();
        List<String> proofs = new ArrayList<>();
        for (BoundCheck check : CheckChoice.inOrder(belief, open)) {
            boolean worthwhile = check.repairs().stream().anyMatch(c -> belief.posterior(c) >= WORTH_PUTTING_RIGHT);
            if (check.check().work().act().changes() && worthwhile) {
                changing.add(proposal(session, check, belief, Next.Why.PUTS_RIGHT));
                proofs.add(check.device() + "." + check.check().work().proof());
            } else if (check.check().tells() && belief.bits(check) >= WORTH_PRINTING) {
                telling.add(proposal(session, check, belief, Next.Why.TELLS_MOST));
            }
        }
        telling.addAll(changing);
        open.stream()
                .filter(c -> proofs.contains(c.id()))
                .filter(c -> telling.stream().noneMatch(p -> p.check().id().equals(c.id())))
                .forEach(c -> telling.add(proposal(session, c, belief, Next.Why.PROVES_REPAIR)));
        return telling;
    }

    /** What is believed now: where the session began, with every answer that counts and every repair in vain. */
    public Belief belief(GuidedSession session) {
        Belief belief = session.start();
        for (Answer answer : session.answers()) {
            BoundCheck check = network.check(answer.check()).orElse(null);
            boolean counts =
                    session.answer(answer.check()).filter(answer::equals).isPresent();
            // An answer from before a repair in vain still says what was so; the repair changed nothing.
            if (check != null && counts) {
                belief = belief.after(check, answer.outcome());
            }
        }
        for (GuidedSession.Vain vain : session.vain()) {
            belief = belief.afterVainRepairOf(vain.cause());
        }
        return belief;
    }

    // ---- the fold

    /** What an input makes of a session; nothing changes where it is refused. */
    public GuidedStep step(GuidedSession session, GuidedInput input) {
        GuidedInput.Entry entry = input.entry();
        if (session.trace().stream().anyMatch(t -> t.key().equals(entry.key()))) {
            return new GuidedStep.Repeated(session);
        }
        if (session.ended()
                && !(input instanceof GuidedInput.ControlRoomTold)
                && !(input instanceof GuidedInput.Left)) {
            return new GuidedStep.Refused(
                    Reason.ENDED, "this fault-finding has ended", "start another one from the diagnosis");
        }
        return new Taking(session, input).step();
    }

    /** One input on one session. */
    private final class Taking {
        private final GuidedSession before;
        private final GuidedInput input;
        private final GuidedInput.Entry entry;
        private final List<Consequence> consequences = new ArrayList<>();
        private final SessionDraft draft;

        Taking(GuidedSession before, GuidedInput input) {
            this.before = before;
            this.input = input;
            this.entry = input.entry();
            this.draft = new SessionDraft(before);
        }

        // Java 17 has no switch over sealed types; the last case is what is left.
        GuidedStep step() {
            GuidedStep.Refused refused;
            if (input instanceof GuidedInput.Answered answered) {
                refused = answered(answered);
            } else if (input instanceof GuidedInput.Measured measured) {
                refused = measured(measured);
            } else if (input instanceof GuidedInput.Repaired repaired) {
                refused = repaired(repaired);
            } else if (input instanceof GuidedInput.Watched watched) {
                refused = watched(watched);
            } else if (input instanceof GuidedInput.Reassessed reassessed) {
                refused = null;
                draft.start = Belief.of(reassessed.assessment().inference());
                draft.signs = reassessed.assessment().signs();
                look();
            } else if (input instanceof GuidedInput.HandedOver over) {
                refused = end(
                        new Ending(GuidedSession.Kind.HANDED_OVER, found(), over.to(), over.why(), who(), entry.at()));
            } else if (input instanceof GuidedInput.GivenUp up) {
                refused = end(new Ending(GuidedSession.Kind.GIVEN_UP, found(), "", up.why(), who(), entry.at()));
            } else {
                refused = noted();
            }
            if (refused != null) {
                return refused;
            }
            long version = before.version() + 1;
            draft.trace.add(new GuidedSession.Trace(version, entry.key(), who(), did(), touched()));
            return new GuidedStep.Taken(draft.session(version), new GuidedEvent(version, input, consequences));
        }

        private String who() {
            return entry.who().name();
        }

        private @Nullable String found() {
            return before.found() == null ? null : before.found().cause();
        }

        /** What is only recorded. */
        private GuidedStep.@Nullable Refused noted() {
            if (input instanceof GuidedInput.Joined || input instanceof GuidedInput.Begun) {
                if (!draft.atWork.contains(who())) {
                    draft.atWork.add(who());
                }
            } else if (input instanceof GuidedInput.Left) {
                draft.atWork.remove(who());
            } else if (input instanceof GuidedInput.SecondPerson second) {
                draft.secondPerson = second.name();
            } else if (input instanceof GuidedInput.ControlRoomTold told) {
                if (told.before()) {
                    draft.toldBefore = told.whom();
                } else {
                    draft.toldAfter = told.whom();
                }
            } else if (input instanceof GuidedInput.WordsSaved saved) {
                draft.wordsSaved = saved.where();
            } else if (input instanceof GuidedInput.Authorised authorised) {
                if (network.check(authorised.check()).isEmpty()) {
                    return unknown(authorised.check());
                }
                draft.authorisations.add(new GuidedSession.Authorisation(authorised.check(), authorised.by(), who()));
            } else if (input instanceof GuidedInput.Prepared prepared) {
                if (network.check(prepared.check()).isEmpty()) {
                    return unknown(prepared.check());
                }
                draft.confirmations.add(
                        new GuidedSession.Confirmation(prepared.check(), prepared.preparation(), who()));
            }
            return null;
        }

        private GuidedStep.Refused unknown(String check) {
            return new GuidedStep.Refused(
                    Reason.UNKNOWN_CHECK,
                    "there is no first check `" + check + "` on this station",
                    "take one that is proposed or listed");
        }

        // ---- answers

        private GuidedStep.@Nullable Refused answered(GuidedInput.Answered answered) {
            BoundCheck check = network.check(answered.check()).orElse(null);
            if (check == null) {
                return unknown(answered.check());
            }
            if (answered.outcome() < 0
                    || answered.outcome() >= check.check().outcomes().size()) {
                return new GuidedStep.Refused(
                        Reason.UNKNOWN_OUTCOME,
                        "the check has no outcome " + answered.outcome(),
                        "take one of 0 to " + (check.check().outcomes().size() - 1));
            }
            GuidedStep.Refused refused = mayBeDone(check);
            if (refused != null) {
                return refused;
            }
            take(new Answer(check.id(), answered.outcome(), null, null, who(), entry.at(), before.version() + 1));
            return null;
        }

        private GuidedStep.@Nullable Refused measured(GuidedInput.Measured measured) {
            BoundCheck check = network.check(measured.check()).orElse(null);
            if (check == null) {
                return unknown(measured.check());
            }
            Measurement of = check.check().measurement();
            if (of == null) {
                return new GuidedStep.Refused(
                        Reason.UNKNOWN_OUTCOME,
                        "at `" + check.check().id() + "` nothing is measured",
                        "choose what was found");
            }
            GuidedStep.Refused refused = mayBeDone(check);
            if (refused != null) {
                return refused;
            }
            if (of.energised() && !(measured.testerProvedBefore() && measured.testerProvedAfter())) {
                return new GuidedStep.Refused(
                        Reason.TESTER_NOT_PROVED,
                        "the tester was not proved before and after",
                        "prove it on a known source, measure again, prove it again");
            }
            MeasuredValue value = MeasuredValue.read(measured.written(), of.unit());
            if (value instanceof MeasuredValue.Unclear unclear) {
                return new GuidedStep.Refused(Reason.UNCLEAR_VALUE, unclear.why(), unclear.remedy());
            }
            MeasuredValue.Read read = (MeasuredValue.Read) value;
            AcceptedRange range = network.checksOf(check.device())
                    .map(d -> AcceptedRange.of(of, d, read.current()))
                    .orElseThrow(() -> new IllegalStateException("no checks of " + check.device()));
            if (range instanceof AcceptedRange.Unknown none) {
                return new GuidedStep.Refused(Reason.RANGE_UNKNOWN, none.why(), none.remedy());
            }
            AcceptedRange.Limits limits = (AcceptedRange.Limits) range;
            Verdict verdict = limits.verdict(read.value());
            int outcome = outcome(check.check(), verdict);
            if (outcome < 0) {
                return new GuidedStep.Refused(
                        Reason.UNKNOWN_OUTCOME,
                        "the check does not say what a value outside " + limits.text() + " means",
                        "choose what was found instead");
            }
            consequences.add(new GuidedEvent.Judged(read.value(), read.unit(), verdict, limits.text(), outcome));
            take(new Answer(check.id(), outcome, read, limits, who(), entry.at(), before.version() + 1));
            return null;
        }

        /** The outcome for a verdict; nothing at all is below, where nobody said more. */
        private static int outcome(FirstCheck check, Verdict verdict) {
            for (int i = 0; i < check.outcomes().size(); i++) {
                if (check.outcomes().get(i).when().contains(verdict)) {
                    return i;
                }
            }
            return verdict == Verdict.NONE ? outcome(check, Verdict.BELOW) : -1;
        }

        private GuidedStep.@Nullable Refused mayBeDone(BoundCheck check) {
            if (check.check().work().act().changes()
                    && !check.repairs().isEmpty()
                    && !check.check().tells()) {
                return new GuidedStep.Refused(
                        Reason.IS_A_REPAIR,
                        "`" + check.check().id() + "` puts something right and tells nothing",
                        "report it as a repair");
            }
            GuidedStep.Refused overtaken = overtaken(check.id());
            return overtaken != null ? overtaken : notReady(check);
        }

        /** What has to be recorded before a step counts. */
        private GuidedStep.@Nullable Refused notReady(BoundCheck check) {
            String authorisation = check.check().authorisation();
            if (authorisation != null && !authorised(before, check)) {
                return new GuidedStep.Refused(
                        Reason.NOT_AUTHORISED,
                        "the owner asks for: " + authorisation,
                        "record who gave it, then answer again");
            }
            List<Work.Preparation> missing = toConfirm(before, check);
            if (missing.contains(Work.Preparation.WORDS_SAVED)) {
                return new GuidedStep.Refused(
                        Reason.WORDS_NOT_SAVED,
                        "the status words are not saved, and this step may lose them",
                        "save the words first");
            }
            if (!missing.isEmpty()) {
                return new GuidedStep.Refused(
                        Reason.NOT_PREPARED,
                        "not confirmed: "
                                + String.join(
                                        "; ",
                                        missing.stream()
                                                .map(Work.Preparation::text)
                                                .toList()),
                        "confirm each, or do not do this step");
            }
            return null;
        }

        /** Another person has done something to the same check, or something decisive, that was not seen. */
        private GuidedStep.@Nullable Refused overtaken(@Nullable String check) {
            for (GuidedSession.Trace trace : before.trace()) {
                boolean unseen = trace.version() > entry.seen() && !trace.who().equals(who());
                boolean same = check == null ? trace.check() != null : check.equals(trace.check());
                if (unseen && (same || trace.did().equals(REPAIRED))) {
                    return new GuidedStep.Refused(
                            Reason.OVERTAKEN,
                            "meanwhile " + trace.who() + " has " + trace.did()
                                    + (trace.check() == null ? "" : " `" + trace.check() + "`"),
                            "look at what was found, then decide again");
                }
            }
            return null;
        }

        private void take(Answer answer) {
            draft.answers.add(answer);
            Watching watching = before.watching();
            BoundCheck check = network.check(answer.check()).orElseThrow();
            String proved = check.provedBy(answer.outcome());
            if (watching != null && check.id().equals(watching.proof())) {
                if (proved != null) {
                    inVain(
                            watching,
                            check.check().outcomes().get(answer.outcome()).finding());
                    return;
                }
                draft.watching = with(watching, null, watching.quietSince(), watching.analyses());
            }
            look();
        }

        /** Looks whether a cause is found, or no longer. */
        private void look() {
            if (draft.watching != null) {
                return;
            }
            GuidedSession session = draft.session(before.version() + 1);
            Found now = cause(session);
            Found was = draft.found;
            if (was != null && (now == null || !now.cause().equals(was.cause()))) {
                consequences.add(new GuidedEvent.CauseInDoubt(was.cause(), "what was found since speaks against it"));
            }
            if (now != null && (was == null || !now.cause().equals(was.cause()))) {
                consequences.add(new GuidedEvent.CauseFound(now.cause(), now.posterior(), now.provedByCheck()));
            }
            draft.found = now;
        }

        // ---- repair and watch

        private GuidedStep.@Nullable Refused repaired(GuidedInput.Repaired repaired) {
            CauseInstance cause = network.cause(repaired.cause()).orElse(null);
            if (cause == null) {
                return new GuidedStep.Refused(
                        Reason.UNKNOWN_CAUSE,
                        "there is no cause `" + repaired.cause() + "` on this station",
                        "take one that is listed, or hand over");
            }
            String step = repaired.check();
            String proof = null;
            if (step != null) {
                BoundCheck check = network.check(step).orElse(null);
                if (check == null) {
                    return unknown(step);
                }
                if (!check.repairs().contains(cause.id())) {
                    return new GuidedStep.Refused(
                            Reason.NOT_A_REPAIR,
                            "`" + check.check().id() + "` does not put `" + cause.id() + "` right",
                            "name the cause that it was for, or leave the step out and say what was done");
                }
                GuidedStep.Refused refused = notReady(check);
                if (refused != null) {
                    return refused;
                }
                String named = check.check().work().proof();
                proof = named == null ? null : check.device() + "." + named;
            }
            GuidedStep.Refused overtaken = overtaken(null);
            if (overtaken != null) {
                return overtaken;
            }
            draft.watching = new Watching(
                    cause.id(),
                    entry.at(),
                    before.version() + 1,
                    cause.cause().proving(),
                    before.signs().getOrDefault(cause.id(), List.of()),
                    proof,
                    null,
                    0);
            consequences.add(new GuidedEvent.WatchBegun(cause.id()));
            return null;
        }

        private GuidedStep.@Nullable Refused watched(GuidedInput.Watched watched) {
            Watching watching = before.watching();
            if (watching == null) {
                return new GuidedStep.Refused(
                        Reason.NOT_WATCHING, "nothing was repaired yet", "report the repair first");
            }
            List<Sign> still = watching.signs().stream()
                    .filter(watched.holding()::contains)
                    .toList();
            long since = entry.at().monotonicNanos() - watching.since().monotonicNanos();
            if (!still.isEmpty() && since >= watching.proving().settles().toNanos()) {
                inVain(watching, "still there: " + still.get(0));
                look();
                return null;
            }
            boolean quiet = still.isEmpty()
                    && watching.signs().stream().noneMatch(watched.untellable()::contains)
                    && watching.proving().readings().stream().allMatch(wanted -> {
                        Double value = watched.readings().get(wanted.point());
                        return value != null && wanted.holds(value);
                    });
            Moment from = watching.quietSince();
            Moment quietSince = !quiet ? null : from == null ? entry.at() : from;
            draft.watching = with(watching, watching.proof(), quietSince, watched.analyses());
            if (quietSince != null
                    && watching.proof() == null
                    && watched.analyses() >= watching.proving().analyses()
                    && nanos(quietSince, entry.at())
                            >= watching.proving().quiet().toNanos()) {
                consequences.add(new GuidedEvent.ProvedGone(watching.cause()));
                draft.ending = new Ending(
                        GuidedSession.Kind.PROVED_GONE,
                        watching.cause(),
                        "",
                        "its signs stayed away for "
                                + minutes(watching.proving().quiet()),
                        who(),
                        entry.at());
            }
            return null;
        }

        private void inVain(Watching watching, String why) {
            draft.vain.add(new GuidedSession.Vain(watching.cause(), why, before.version() + 1));
            draft.watching = null;
            draft.found = null;
            consequences.add(new GuidedEvent.RepairInVain(watching.cause(), why));
        }

        private GuidedStep.@Nullable Refused end(Ending ending) {
            GuidedStep.Refused overtaken = overtaken(null);
            if (overtaken != null) {
                return overtaken;
            }
            draft.ending = ending;
            draft.watching = null;
            return null;
        }

        private String did() {
            if (input instanceof GuidedInput.Answered || input instanceof GuidedInput.Measured) {
                return "answered";
            }
            return input instanceof GuidedInput.Repaired ? REPAIRED : NOTED;
        }

        private @Nullable String touched() {
            if (input instanceof GuidedInput.Answered answered) {
                return answered.check();
            }
            return input instanceof GuidedInput.Measured measured ? measured.check() : null;
        }
    }

    /** A check is printed from this many bits on: less than makes it useful now, since answers will have changed that. */
    private static final double WORTH_PRINTING = 0.02;

    /** From this probability on the steps that put a cause right are printed. */
    private static final double WORTH_PUTTING_RIGHT = 0.05;

    private static final String REPAIRED = "reported a repair";
    private static final String NOTED = "noted something";

    private static Watching with(Watching watching, @Nullable String proof, @Nullable Moment quietSince, int analyses) {
        return new Watching(
                watching.cause(),
                watching.since(),
                watching.version(),
                watching.proving(),
                watching.signs(),
                proof,
                quietSince,
                analyses);
    }

    private static long nanos(Moment from, Moment to) {
        return to.monotonicNanos() - from.monotonicNanos();
    }

    private static String minutes(Duration duration) {
        return duration.toMinutes() + " min";
    }

    /** The cause that is found: proved by an answer, or the only one likely once an answer has spoken for it. */
    private @Nullable Found cause(GuidedSession session) {
        Belief belief = belief(session);
        Found proved = null;
        for (Answer answer : session.answers()) {
            BoundCheck check = network.check(answer.check()).orElse(null);
            String cause = check == null ? null : check.provedBy(answer.outcome());
            boolean counts =
                    session.answer(answer.check()).filter(answer::equals).isPresent();
            if (cause != null && counts && answer.version() > lastVain(session, cause)) {
                proved = new Found(cause, belief.posterior(cause), true);
            }
        }
        if (proved != null) {
            return proved;
        }
        Belief.Ranked first = belief.ranked().stream().findFirst().orElse(null);
        if (first == null || first.probability() < GuidedSession.FOUND) {
            return null;
        }
        boolean spokenFor = session.answers().stream()
                .filter(a -> a.version() > lastVain(session, first.cause()))
                .anyMatch(a -> network.check(a.check())
                        .filter(c -> c.probability(a.outcome(), first.cause())
                                > CheckChoice.SPEAKS * c.probability(a.outcome(), null))
                        .isPresent());
        return spokenFor ? new Found(first.cause(), first.probability(), false) : null;
    }

    private static long lastVain(GuidedSession session, String cause) {
        return session.vain().stream()
                .filter(v -> v.cause().equals(cause))
                .mapToLong(GuidedSession.Vain::version)
                .max()
                .orElse(-1);
    }

    private static boolean authorised(GuidedSession session, BoundCheck check) {
        return session.authorisations().stream().anyMatch(a -> a.check().equals(check.id()));
    }

    /** What still has to be confirmed before a check. */
    private static List<Work.Preparation> toConfirm(GuidedSession session, BoundCheck check) {
        List<Work.Preparation> missing = new ArrayList<>();
        for (Work.Preparation each : check.check().work().prepared()) {
            boolean confirmed = each == Work.Preparation.WORDS_SAVED
                    ? session.wordsSaved() != null
                    : session.confirmations().stream()
                            .anyMatch(c -> c.check().equals(check.id()) && c.preparation() == each);
            if (!confirmed) {
                missing.add(each);
            }
        }
        return missing;
    }

    private static boolean losesWords(GuidedSession session, BoundCheck check) {
        return check.check().work().act().restarts() && session.wordsSaved() == null
                || check.check().work().prepared().contains(Work.Preparation.WORDS_SAVED)
                        && session.wordsSaved() == null;
    }

    // ---- what comes next

    /**
     * What comes next.
     *
     * @param keptAway ids of the assets from which people are to keep away now.
     */
    public Next next(GuidedSession session, Collection<String> keptAway) {
        Ending ending = session.ending();
        if (ending != null) {
            return new Next.Ended(ending);
        }
        Watching watching = session.watching();
        if (watching != null) {
            return watch(session, watching, keptAway);
        }
        Found found = session.found();
        return found != null ? putRight(session, found.cause(), keptAway) : search(session, keptAway);
    }

    private Next watch(GuidedSession session, Watching watching, Collection<String> keptAway) {
        String proof = watching.proof();
        BoundCheck check = proof == null ? null : network.check(proof).orElse(null);
        return check == null || CheckChoice.withdrawn(check, keptAway)
                ? new Next.Watch(watching)
                : new Next.Check(proposal(session, check, belief(session), Next.Why.PROVES_REPAIR), List.of(), 0);
    }

    private Next putRight(GuidedSession session, String cause, Collection<String> keptAway) {
        List<Next.Proposal> steps = new ArrayList<>();
        int withdrawn = 0;
        boolean held = false;
        Belief belief = belief(session);
        for (DeviceChecks device : network.checks()) {
            for (BoundCheck check : device.checks()) {
                if (!check.repairs().contains(cause)) {
                    continue;
                }
                if (CheckChoice.withdrawn(check, keptAway)) {
                    withdrawn++;
                } else if (losesWords(session, check)) {
                    held = true;
                } else {
                    steps.add(proposal(session, check, belief, Next.Why.PUTS_RIGHT));
                }
            }
        }
        String call = network.cause(cause).map(c -> c.cause().call()).orElse("");
        return new Next.PutRight(cause, steps, call, held, withdrawn);
    }

    private Next search(GuidedSession session, Collection<String> keptAway) {
        Belief belief = belief(session);
        List<BoundCheck> about = CheckChoice.about(network, belief);
        Predicate<BoundCheck> due = c -> session.answer(c.id()).isEmpty()
                && c.check().after().stream()
                        .allMatch(id -> session.answer(c.device() + "." + id).isPresent());
        Predicate<BoundCheck> searching = due.and(
                c -> !c.check().work().act().changes() || c.check().work().act().restarts());
        Predicate<BoundCheck> open =
                searching.and(c -> !CheckChoice.withdrawn(c, keptAway)).and(c -> !losesWords(session, c));
        int withdrawn = (int) about.stream()
                .filter(searching)
                .filter(c -> CheckChoice.withdrawn(c, keptAway))
                .count();
        boolean held = about.stream().filter(searching).anyMatch(c -> losesWords(session, c));
        List<Next.Proposal> useful = CheckChoice.computed(belief, about, open).stream()
                .map(w -> proposal(session, w, Next.Why.TELLS_MOST))
                .toList();
        Answer last = session.answers().isEmpty()
                ? null
                : session.answers().get(session.answers().size() - 1);
        BoundCheck lastCheck = last == null ? null : network.check(last.check()).orElse(null);
        if (last != null && lastCheck != null) {
            FirstCheck.Outcome outcome = lastCheck.check().outcomes().get(last.outcome());
            String to = outcome.handOver();
            if (to != null) {
                return new Next.HandOver(to, outcome.meaning(), held, withdrawn);
            }
            Optional<BoundCheck> named = Optional.ofNullable(outcome.next())
                    .flatMap(id -> network.check(lastCheck.device() + "." + id))
                    .filter(open);
            if (named.isPresent()) {
                return check(session, named.get(), belief, Next.Why.NAMED_BY_OUTCOME, useful, withdrawn);
            }
        }
        Optional<CauseInstance> likeliest = belief.ranked().stream().findFirst().flatMap(r -> network.cause(r.cause()));
        DeviceChecks device = likeliest
                .map(CauseInstance::device)
                .flatMap(d -> network.checksOf(d.id()))
                .orElse(null);
        if (device != null && !device.order().isEmpty()) {
            Optional<BoundCheck> fixed = CheckChoice.fixed(device, open);
            if (fixed.isPresent()) {
                return check(session, fixed.get(), belief, Next.Why.FIXED_ORDER, useful, withdrawn);
            }
        } else {
            Optional<BoundCheck> confirming = belief.ranked().stream()
                    .findFirst()
                    .filter(r -> r.probability() >= GuidedSession.FOUND)
                    .flatMap(r -> CheckChoice.confirming(r.cause(), about, open));
            // What would tell of other causes beside it waits, unless it asks less of people.
            if (confirming
                    .filter(c -> useful.isEmpty()
                            || c.check().exposure()
                                    <= useful.get(0).check().check().exposure())
                    .isPresent()) {
                return check(session, confirming.get(), belief, Next.Why.CONFIRMS, useful, withdrawn);
            }
            if (!useful.isEmpty()) {
                return new Next.Check(useful.get(0), useful.subList(1, useful.size()), withdrawn);
            }
        }
        String to = likeliest.map(c -> c.cause().call()).orElse("");
        return new Next.HandOver(
                to,
                withdrawn > 0
                        ? "every further check is near an asset from which people are to keep away"
                        : "no further check tells enough",
                held,
                withdrawn);
    }

    private static Next check(
            GuidedSession session,
            BoundCheck check,
            Belief belief,
            Next.Why why,
            List<Next.Proposal> useful,
            int withdrawn) {
        return new Next.Check(
                proposal(session, check, belief, why),
                useful.stream().filter(p -> !p.check().id().equals(check.id())).toList(),
                withdrawn);
    }

    private static Next.Proposal proposal(GuidedSession session, BoundCheck check, Belief belief, Next.Why why) {
        return proposal(session, CheckChoice.weighed(belief, check), why);
    }

    private static Next.Proposal proposal(GuidedSession session, CheckChoice.Weighed weighed, Next.Why why) {
        BoundCheck check = weighed.check();
        return new Next.Proposal(
                check,
                weighed.bits(),
                weighed.bitsPerMinute(),
                why,
                toConfirm(session, check),
                missesAuthorisation(session, check));
    }

    private static boolean missesAuthorisation(GuidedSession session, BoundCheck check) {
        return check.check().authorisation() != null && !authorised(session, check);
    }
}
