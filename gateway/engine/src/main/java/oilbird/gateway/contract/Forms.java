package oilbird.gateway.contract;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.EnumSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.function.Predicate;
import java.util.stream.Stream;
import oilbird.alarm.check.AcceptedRange;
import oilbird.alarm.check.GuidedInput;
import oilbird.alarm.check.GuidedSession;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.explain.Explainer;
import oilbird.alarm.explain.Explanation;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.PlainNumber;
import oilbird.alarm.rule.RuleInstance;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmEvent;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmState;
import oilbird.alarm.state.OutOfService;
import oilbird.alarm.state.Shelving;
import oilbird.alarm.state.Suppression;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationModel;
import oilbird.alarm.station.StationView;
import oilbird.alarm.transformer.derived.TransformerPicture;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.IndicationState;
import oilbird.mapping.signal.Measurement;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Origin;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.Reading;
import oilbird.mapping.signal.SignalId;
import oilbird.mapping.signal.StatusWordValue;
import org.jspecify.annotations.Nullable;

/** Makes forms of facts. Immutable, thread-safe. */
public final class Forms {
    /** Kinds whose text is the evidence of an evaluation rather than somebody's words. */
    private static final Set<AlarmEvent.Kind> FROM_THE_PROCESS = EnumSet.of(
            AlarmEvent.Kind.RAISED, AlarmEvent.Kind.RETURNED, AlarmEvent.Kind.ESCALATED, AlarmEvent.Kind.EASED);

    /** Kinds after which an alarm stands as before. */
    private static final Set<AlarmEvent.Kind> CHANGES_NOTHING =
            EnumSet.of(AlarmEvent.Kind.REFUSED, AlarmEvent.Kind.TEST_FORCED, AlarmEvent.Kind.TEST_ENDED);

    private final StationFacts facts;
    private final StationForm station;
    private final Explainer explainer;
    private final DiagnosisForms diagnoses;
    private final FaultFindingForms faultFindings;

    /**
     * @param owner whose station it is, for people; empty where the station file does not say.
     */
    public Forms(StationModel model, String owner) {
        this.facts = model.facts();
        this.station = new StationForm(facts.id(), facts.name(), owner, facts.gateway());
        this.explainer = new Explainer(model);
        this.diagnoses = new DiagnosisForms(facts, station, explainer);
        this.faultFindings = new FaultFindingForms(facts, station, explainer);
    }

    public StationForm station() {
        return station;
    }

    /** Open diagnoses and keep-away. */
    public DiagnosesForm diagnoses(StationView view) {
        return diagnoses.diagnoses(view);
    }

    /** One open diagnosis with the numbers behind it; empty if there is none of that id. */
    public Optional<DiagnosisForm> diagnosis(String id, StationView view) {
        return diagnoses.diagnosis(id, view);
    }

    /** A guided fault-finding as it stands. */
    public FaultFindingForm faultFinding(GuidedSession session, StationView view) {
        return faultFindings.state(session, view, diagnoses.keepAways(view));
    }

    /** @param begun the events with which guided fault-findings began, newest first. */
    public FaultFindingsForm faultFindings(List<RecordedEvent> begun, StationView view) {
        return faultFindings.list(begun, view);
    }

    /** Everything that belongs to one guided fault-finding. */
    public FaultFindingRecordForm faultFindingRecord(FaultFindingExport export, StationView view) {
        return export.form(this, facts, view);
    }

    /** Maintenance, point tests, and alarms that may be shelved. */
    public StandingForm standing(StationView view) {
        return new StandingForm(
                StandingForm.FORM,
                station,
                Written.time(view.at()),
                diagnoses.keepAways(view),
                view.standing().maintenance().stream()
                        .map(m -> new StandingForm.Maintained(
                                maintenance(m),
                                m.taken().stream().map(AlarmId::toString).toList()))
                        .toList(),
                tests(view),
                view.standing().releases().stream()
                        .map(r -> new StandingForm.ReleaseForm(
                                r.of(),
                                r.devices(),
                                who(r.by()),
                                r.reason(),
                                Written.time(r.since()),
                                Written.time(r.untilWallMillis())))
                        .toList(),
                view.proposals().stream()
                        .map(p -> new StandingForm.ProposalForm(
                                p.alarm().toString(),
                                "shelve",
                                p.activations(),
                                p.window().toString(),
                                p.longest().toString()))
                        .toList());
    }

    private MaintenanceForm maintenance(Standing.Maintenance of) {
        String name = facts.device(of.of())
                .map(d -> assetName(d.asset()) + ": " + d.name())
                .orElseGet(() -> assetName(of.of()));
        return new MaintenanceForm(
                of.of(),
                name,
                who(of.by()),
                of.reason(),
                of.permit(),
                Written.time(of.since()),
                Written.time(of.untilWallMillis()),
                of.reminded());
    }

    private @Nullable MaintenanceForm maintenanceOrNull(Standing.@Nullable Maintenance of) {
        return of == null ? null : maintenance(of);
    }

    private List<TestForm> tests(StationView view) {
        List<TestForm> tests = new ArrayList<>();
        view.standing().alarmTests().forEach(t -> tests.add(test(t, view)));
        view.standing()
                .readingTests()
                .forEach(t -> tests.add(new TestForm(
                        "reading",
                        t.reading().toString(),
                        facts.device(t.reading().owner())
                                        .map(d -> assetName(d.asset()) + ": " + d.name() + ": ")
                                        .orElse("")
                                + label(t.reading()),
                        PlainNumber.of(t.forced()),
                        who(t.by()),
                        Written.time(t.untilWallMillis()))));
        return tests;
    }

    private TestForm test(Standing.AlarmTest test, StationView view) {
        StationView.AlarmView alarm = view.alarms().get(test.alarm());
        return new TestForm(
                "alarm",
                test.alarm().toString(),
                alarm == null
                        ? test.alarm().toString()
                        : explainer.explain(view, test.alarm()).headline(),
                test.forced() ? "active" : "normal",
                who(test.by()),
                Written.time(test.untilWallMillis()));
    }

    private static ActorForm who(Actor actor) {
        return new ActorForm(actor.name(), actor.door());
    }

    /** The kind of an entry of the event record, as its form writes it. */
    public static String kind(RecordedEvent recorded) {
        StationEvent event = recorded.event();
        if (event instanceof StationEvent.OfAlarm ofAlarm) {
            return Written.name(ofAlarm.event().kind());
        }
        if (event instanceof StationEvent.Diagnosed diagnosed) {
            return Written.name(diagnosed.kind());
        }
        if (event instanceof StationEvent.Accessed accessed) {
            return Written.name(accessed.kind());
        }
        if (event instanceof StationEvent.FaultFinding finding) {
            return GuidedInput.kind(finding.of().input());
        }
        return event instanceof StationEvent.KeptAway keptAway
                ? Written.name(keptAway.kind())
                : Written.name(((StationEvent.Notice) event).kind());
    }

    /** An entry of the event record, explained from the station's present rules. */
    public EventForm event(RecordedEvent recorded, StationView view) {
        if (recorded.event() instanceof StationEvent.OfAlarm ofAlarm) {
            return alarmEvent(recorded, ofAlarm, view);
        }
        if (recorded.event() instanceof StationEvent.Diagnosed diagnosed) {
            return diagnoses.event(recorded, diagnosed);
        }
        if (recorded.event() instanceof StationEvent.KeptAway keptAway) {
            return diagnoses.event(recorded, keptAway, view);
        }
        if (recorded.event() instanceof StationEvent.Accessed accessed) {
            return accessEvent(recorded, accessed);
        }
        if (recorded.event() instanceof StationEvent.FaultFinding finding) {
            return faultFindings.event(recorded, finding);
        }
        StationEvent.Notice notice = (StationEvent.Notice) recorded.event();
        return new NoticeForm(
                NoticeForm.FORM,
                facts.id(),
                notice.id().toString(),
                recorded.position(),
                recorded.recorded(),
                Written.name(notice.kind()),
                notice.subject().toString(),
                notice.text(),
                Written.time(notice.at()),
                notice.at().wallTrusted());
    }

    private AccessEventForm accessEvent(RecordedEvent recorded, StationEvent.Accessed event) {
        return new AccessEventForm(
                AccessEventForm.FORM,
                facts.id(),
                event.id().toString(),
                recorded.position(),
                recorded.recorded(),
                Written.name(event.kind()),
                event.about(),
                who(event.by()),
                event.address(),
                event.text(),
                event.times(),
                Written.time(event.at()),
                event.at().wallTrusted());
    }

    private AlarmEventForm alarmEvent(RecordedEvent recorded, StationEvent.OfAlarm ofAlarm, StationView view) {
        AlarmEvent event = ofAlarm.event();
        StationView.@Nullable AlarmView now = view.alarms().get(event.alarm());
        ExplanationForm explanation =
                now == null ? unexplained(event, ofAlarm.doubted()) : explainedAsOf(ofAlarm, now, view);
        return new AlarmEventForm(
                AlarmEventForm.FORM,
                facts.id(),
                ofAlarm.id().toString(),
                recorded.position(),
                recorded.recorded(),
                Written.name(event.kind()),
                event.alarm().toString(),
                event.alarm().asset(),
                assetName(event.alarm().asset()),
                event.alarm().rule(),
                now == null ? null : deviceId(now.rule()),
                event.occurrence(),
                event.after().name(),
                event.active(),
                event.acknowledged(),
                confirmed(event.confirmed(), now == null ? null : now.rule()),
                event.latched(),
                shelved(event),
                event.suppressedByDesign(),
                event.outOfService(),
                event.reAlarms(),
                Written.name(event.annunciate()),
                Written.name(event.priority()),
                Written.name(event.quality()),
                event.test(),
                actor(event.by()),
                event.text(),
                Written.time(event.at()),
                event.at().wallTrusted(),
                explanation);
    }

    /** Explains an alarm as it was right after the event, however it stands now. */
    private ExplanationForm explainedAsOf(StationEvent.OfAlarm ofAlarm, StationView.AlarmView seen, StationView view) {
        boolean newest = seen.state().lastEvent().equals(ofAlarm.id().toString());
        return explanation(newest ? seen : asAfter(ofAlarm, seen), view);
    }

    /**
     * The alarm at least as it was right after an event, whose own id the state then has: the view's, unless the
     * event was announced after that view was taken.
     *
     * @return null if the view has no such alarm.
     */
    public static StationView.@Nullable AlarmView atLeast(StationView view, StationEvent.OfAlarm ofAlarm) {
        StationView.AlarmView seen = view.alarms().get(ofAlarm.event().alarm());
        return seen == null
                        || CHANGES_NOTHING.contains(ofAlarm.event().kind())
                        || !isBefore(seen.state().lastEvent(), ofAlarm.id())
                ? seen
                : asAfter(ofAlarm, seen);
    }

    private static boolean isBefore(String lastEvent, EventId event) {
        if (lastEvent.isEmpty()) {
            return true;
        }
        EventId last = EventId.parse(lastEvent);
        return last.incarnation() < event.incarnation()
                || (last.incarnation() == event.incarnation() && last.sequence() < event.sequence());
    }

    private static StationView.AlarmView asAfter(StationEvent.OfAlarm ofAlarm, StationView.AlarmView seen) {
        AlarmEvent event = ofAlarm.event();
        return new StationView.AlarmView(
                seen.rule(),
                stateAfter(ofAlarm, seen.state()),
                ofAlarm.doubted(),
                seen.chattering(),
                FROM_THE_PROCESS.contains(event.kind()) ? event.text() : seen.evidence(),
                null,
                seen.limit(),
                event.test());
    }

    private static AlarmState stateAfter(StationEvent.OfAlarm ofAlarm, AlarmState seen) {
        AlarmEvent event = ofAlarm.event();
        Actor by = event.by() == null ? new Actor("gateway", "rule") : event.by();
        OutOfService out = seen.outOfService() != null
                ? seen.outOfService()
                : new OutOfService(
                        by,
                        event.kind() == AlarmEvent.Kind.REMOVED_FROM_SERVICE ? event.text() : "",
                        "",
                        AlarmState.NEVER,
                        0);
        Moment activeSince = event.kind() == AlarmEvent.Kind.RAISED
                ? event.at()
                : event.occurrence() == seen.occurrence() ? seen.activeSince() : null;
        return new AlarmState(
                seen.id(),
                event.enabled(),
                event.active() || seen.condition() != null ? (Boolean) event.active() : null,
                event.active(),
                event.acknowledged(),
                event.confirmed(),
                event.latched(),
                event.shelving() == seen.shelving().kind() ? seen.shelving() : shelvingAfter(event, by),
                event.suppressedByDesign() == seen.suppressedByDesign() ? seen.suppression() : suppressionAfter(event),
                event.outOfService() ? out : null,
                event.occurrence(),
                event.priority(),
                event.quality(),
                null,
                AlarmState.NEVER,
                event.reAlarms(),
                ofAlarm.id().toString(),
                seen.acknowledgedEvent(),
                seen.confirmedEvent(),
                activeSince);
    }

    private static Shelving shelvingAfter(AlarmEvent event, Actor by) {
        if (event.shelving() == Shelving.Kind.NONE) {
            return Shelving.NONE;
        }
        boolean limited = !event.shelvedFor().equals(AlarmEvent.NO_LIMIT);
        return new Shelving(
                event.shelving(),
                limited ? event.at().monotonicNanos() + event.shelvedFor().toNanos() : AlarmState.NEVER,
                limited ? event.at().wallMillis() + event.shelvedFor().toMillis() : 0,
                by,
                event.kind() == AlarmEvent.Kind.SHELVED ? event.text() : "");
    }

    private static Suppression suppressionAfter(AlarmEvent event) {
        Actor by = event.by();
        if (!event.suppressedByDesign()) {
            return Suppression.NONE;
        }
        boolean fromOutside = event.kind() == AlarmEvent.Kind.SUPPRESSED
                && by != null
                && !by.door().equals("rule");
        return fromOutside ? new Suppression(false, false, by, event.text()) : new Suppression(true, false, null, "");
    }

    private ExplanationForm unexplained(AlarmEvent event, List<StationEvent.Doubt> doubted) {
        return new ExplanationForm(
                "unknown",
                event.alarm().toString(),
                "The station folder no longer has the rule of this alarm, so nothing explains it.",
                "unknown",
                "",
                "",
                doubted.isEmpty(),
                doubted.stream().map(this::doubt).toList(),
                "",
                null,
                "",
                List.of(),
                0,
                List.of(),
                null,
                List.of(),
                "",
                false,
                "");
    }

    /** How one alarm stands; empty if the station has no such alarm. */
    public Optional<AlarmStateForm> alarm(AlarmId id, StationView view) {
        return Optional.ofNullable(view.alarms().get(id)).map(alarm -> alarm(alarm, view));
    }

    /** The alarms that maintenance of a device or asset covers. */
    public List<StationView.AlarmView> covered(String deviceOrAsset, StationView view) {
        return view.alarms().values().stream()
                .filter(alarm -> Standing.covers(deviceOrAsset, alarm.rule(), facts))
                .toList();
    }

    /** What a link sends of an alarm: its state, or while a point test forces it the forced one. */
    public AlarmStateForm outgoing(StationView.AlarmView alarm, StationView view) {
        return alarm(view.outgoing(alarm), view);
    }

    /** How one alarm truly stands; a point test is told beside it. */
    public AlarmStateForm alarm(StationView.AlarmView alarm, StationView view) {
        AlarmState state = alarm.state();
        RuleInstance rule = alarm.rule();
        Standing.Maintenance maintenance = view.standing().covering(rule, facts);
        Standing.AlarmTest test = view.standing().testOf(state.id());
        Explanation explanation = explainer.explain(view, alarm);
        ExplanationForm explained = form(explanation, rule, alarm.doubted());
        Duration within = explanation.within();
        String actBy = state.active() && state.activeSince() != null && within != null
                ? Written.time(state.activeSince().wallMillis() + within.toMillis())
                : null;
        return new AlarmStateForm(
                AlarmStateForm.FORM,
                facts.id(),
                state.id().toString(),
                state.id().asset(),
                assetName(state.id().asset()),
                state.id().rule(),
                deviceId(rule),
                state.occurrence(),
                state.name().name(),
                state.active(),
                state.acknowledged(),
                confirmed(state.confirmed(), rule),
                state.latched(),
                state.annunciated(),
                Written.name(state.priority()),
                Written.name(
                        maintenance == null ? state.quality() : state.quality().worse(Quality.UNCERTAIN)),
                alarm.chattering(),
                state.lastEvent(),
                state.activeSince() == null ? null : Written.time(state.activeSince()),
                state.activeSince() == null || state.activeSince().wallTrusted(),
                actBy,
                alarm.evidence(),
                alarm.value(),
                alarm.limit(),
                alarm.limit() == null ? null : unit(rule),
                shelved(state.shelving()),
                state.suppressedByDesign(),
                suppression(state.suppression()),
                outOfService(state),
                maintenanceOrNull(maintenance),
                test == null ? null : test(test, view),
                underDiagnosis(state.id(), view),
                Written.time(view.at()),
                explained);
    }

    private static @Nullable String underDiagnosis(AlarmId alarm, StationView view) {
        Diagnosis diagnosis = view.diagnosisOf(alarm);
        return diagnosis == null || !diagnosis.grouped().contains(alarm) ? null : diagnosis.id();
    }

    private ExplanationForm explanation(StationView.AlarmView alarm, StationView view) {
        return form(explainer.explain(view, alarm), alarm.rule(), alarm.doubted());
    }

    private ExplanationForm form(Explanation explanation, RuleInstance rule, List<StationEvent.Doubt> doubted) {
        Duration within = explanation.within();
        return new ExplanationForm(
                Written.name(rule.policy().alarmClass()),
                explanation.headline(),
                explanation.sentence(),
                Written.name(explanation.trouble()),
                explanation.troubleText(),
                explanation.trust(),
                explanation.readingsTrusted(),
                doubted.stream().map(this::doubt).toList(),
                explanation.call(),
                within == null ? null : within.toString(),
                explanation.response(),
                explanation.checks().stream().map(Forms::check).toList(),
                explanation.withdrawn(),
                DiagnosisForms.forms(explanation.keepAway()),
                DiagnosisForms.likely(explanation.likely()),
                explanation.causes(),
                explanation.consequence(),
                explanation.alsoHardwired(),
                explanation.standingNote());
    }

    static CheckForm check(Explanation.ExplainedCheck explained) {
        var check = explained.check();
        return new CheckForm(
                check.id(),
                check.action(),
                check.exposure(),
                explained.exposureText(),
                explained.cautions().stream()
                        .map(caution -> new CheckForm.Caution(caution.name(), caution.text()))
                        .toList(),
                check.where(),
                accepted(check),
                check.outcomes().stream()
                        .map(outcome -> new CheckForm.Outcome(outcome.finding(), outcome.meaning()))
                        .toList(),
                check.minutes(),
                check.tools(),
                check.authorisation());
    }

    /** As written; else the range of what is measured, and what it is counted from. */
    private static String accepted(FirstCheck check) {
        Measurement measured = check.measurement();
        if (check.accepted() != null || measured == null) {
            return check.accepted() == null ? "" : check.accepted();
        }
        String range = switch (measured.base()) {
            case WRITTEN -> new AcceptedRange.Limits(measured.from(), measured.to(), measured.unit(), "").text();
            case RATED_SUPPLY -> "within what the device is rated for";
            case NOMINAL_SUPPLY ->
                new AcceptedRange.Limits(measured.from(), measured.to(), "%", "of the station's nominal supply").text();
        };
        String of = measured.quantity() + " " + range;
        return measured.load() == null ? of : of + ", " + measured.load();
    }

    private DoubtForm doubt(StationEvent.Doubt doubt) {
        return new DoubtForm(
                doubt.reading().toString(),
                label(doubt.reading()),
                doubt.because().toString(),
                indicationText(doubt.because()),
                doubt.worthless());
    }

    private record Needs(List<AlarmStateForm> open, NeedsSomeoneForm.SetAside setAside) {}

    private Needs needs(StationView view, Predicate<StationView.AlarmView> wanted) {
        List<AlarmStateForm> open = new ArrayList<>();
        List<AlarmStateForm> shelved = new ArrayList<>();
        List<AlarmStateForm> suppressed = new ArrayList<>();
        List<AlarmStateForm> outOfService = new ArrayList<>();
        view.alarms().values().stream()
                .filter(wanted)
                .sorted(Comparator.comparing(StationView.AlarmView::state, BY_NEED))
                .forEach(alarm -> {
                    AlarmState state = alarm.state();
                    if (state.annunciated()) {
                        open.add(alarm(alarm, view));
                    } else if (state.outOfService() != null) {
                        outOfService.add(alarm(alarm, view));
                    } else if (state.shelving().kind() != Shelving.Kind.NONE) {
                        shelved.add(alarm(alarm, view));
                    } else if (state.suppressedByDesign()) {
                        suppressed.add(alarm(alarm, view));
                    }
                });
        return new Needs(open, new NeedsSomeoneForm.SetAside(shelved, suppressed, outOfService));
    }

    /** What needs someone now. */
    public NeedsSomeoneForm needsSomeone(StationView view, long newestEvent) {
        Needs needs = needs(view, alarm -> true);
        return new NeedsSomeoneForm(
                NeedsSomeoneForm.FORM,
                station,
                Written.time(view.at()),
                view.at().wallTrusted(),
                newestEvent,
                view.flood().now(),
                view.standing().maintenance().stream().map(this::maintenance).toList(),
                tests(view),
                diagnoses.keepAways(view),
                diagnoses.all(view),
                needs.open(),
                needs.setAside(),
                devices(view).devices());
    }

    /** Unacknowledged first, returned ones after active ones; then by priority; then the newest first. */
    private static final Comparator<AlarmState> BY_NEED = Comparator.<AlarmState>comparingInt(
                    state -> state.acknowledged() ? 2 : state.active() || state.latched() ? 0 : 1)
            .thenComparing(AlarmState::priority)
            .thenComparing(Comparator.<AlarmState>comparingLong(state -> state.activeSince() == null
                            ? 0
                            : state.activeSince().wallMillis())
                    .reversed())
            .thenComparing(AlarmState::id);

    /**
     * A page of alarms.
     *
     * @param after the last alarm of the page before; null for the first page.
     */
    public AlarmsForm alarms(
            StationView view, Predicate<StationView.AlarmView> wanted, @Nullable AlarmId after, int limit) {
        List<StationView.AlarmView> page = view.alarms().values().stream()
                .filter(alarm -> after == null || alarm.state().id().compareTo(after) > 0)
                .filter(wanted)
                .sorted(Comparator.comparing(alarm -> alarm.state().id()))
                .limit(limit + 1L)
                .toList();
        boolean more = page.size() > limit;
        return new AlarmsForm(
                AlarmsForm.FORM,
                station,
                Written.time(view.at()),
                view.at().wallTrusted(),
                page.stream().limit(limit).map(alarm -> alarm(alarm, view)).toList(),
                more ? page.get(limit - 1).state().id().toString() : null);
    }

    /**
     * A page of readings.
     *
     * @param after the last reading of the page before; null for the first page.
     */
    public ReadingListForm readingList(
            StationView view,
            Predicate<StationFacts.Device> ofDevice,
            Predicate<Reading> wanted,
            @Nullable SignalId after,
            int limit) {
        List<StationView.TrustedReading> page = view.devices().values().stream()
                .filter(device -> ofDevice.test(facts.device(device.id()).orElseThrow()))
                .flatMap(device -> device.readings().stream())
                .filter(trusted -> after == null || trusted.reading().id().compareTo(after) > 0)
                .filter(trusted -> wanted.test(trusted.reading()))
                .sorted(Comparator.comparing(trusted -> trusted.reading().id()))
                .limit(limit + 1L)
                .toList();
        boolean more = page.size() > limit;
        return new ReadingListForm(
                ReadingListForm.FORM,
                station,
                Written.time(view.at()),
                view.at().wallTrusted(),
                page.stream().limit(limit).map(this::reading).toList(),
                more ? page.get(limit - 1).reading().id().toString() : null);
    }

    /** One reading; empty if the station has no such point. */
    public Optional<OneReadingForm> oneReading(SignalId id, StationView view) {
        return Optional.ofNullable(view.devices().get(id.owner()))
                .flatMap(device -> device.readings().stream()
                        .filter(trusted -> trusted.reading().id().equals(id))
                        .findFirst()
                        .map(trusted -> new OneReadingForm(
                                OneReadingForm.FORM,
                                station,
                                device(device, view),
                                Written.time(view.at()),
                                view.at().wallTrusted(),
                                reading(trusted))));
    }

    /** Every asset in short. */
    public AssetsForm assets(StationView view) {
        return new AssetsForm(
                AssetsForm.FORM,
                station,
                Written.time(view.at()),
                view.at().wallTrusted(),
                facts.assets().stream()
                        .map(asset -> {
                            List<AlarmState> open = view.alarms().values().stream()
                                    .map(StationView.AlarmView::state)
                                    .filter(state -> state.id().asset().equals(asset.id()) && state.annunciated())
                                    .toList();
                            return new AssetsForm.ShortForm(
                                    asset.id(),
                                    asset.name(),
                                    asset.kind(),
                                    open.size(),
                                    (int) open.stream()
                                            .filter(state -> !state.acknowledged())
                                            .count(),
                                    devicesOf(asset.id()).toList());
                        })
                        .toList());
    }

    /** One asset; empty if the station has none of this id. */
    public Optional<AssetForm> asset(String id, StationView view) {
        return facts.asset(id).map(asset -> {
            Needs needs = needs(view, alarm -> alarm.state().id().asset().equals(id));
            List<String> devices = devicesOf(id).toList();
            TransformerPicture transformer = view.transformers().get(id);
            return new AssetForm(
                    AssetForm.FORM,
                    station,
                    id,
                    asset.name(),
                    asset.kind(),
                    Written.time(view.at()),
                    view.at().wallTrusted(),
                    view.standing().maintenance().stream()
                            .filter(m -> m.of().equals(id))
                            .findFirst()
                            .map(this::maintenance)
                            .orElse(null),
                    tests(view).stream()
                            .filter(test -> test.point().startsWith(id + "/")
                                    || devices.stream()
                                            .anyMatch(device -> test.point().startsWith(device + "/")))
                            .toList(),
                    needs.open(),
                    needs.setAside(),
                    devices.stream()
                            .flatMap(device -> readings(device, view).stream())
                            .toList(),
                    transformer == null
                            ? List.of()
                            : TransformerForms.pictures(id, transformer).pictures());
        });
    }

    private Stream<String> devicesOf(String asset) {
        return facts.devices().stream()
                .filter(device -> device.asset().equals(asset))
                .map(StationFacts.Device::id);
    }

    public DevicesForm devices(StationView view) {
        return new DevicesForm(
                DevicesForm.FORM,
                station,
                Written.time(view.at()),
                view.at().wallTrusted(),
                view.devices().values().stream().map(d -> device(d, view)).toList());
    }

    private DeviceForm device(StationView.DeviceView view, StationView of) {
        StationFacts.Device device = facts.device(view.id()).orElseThrow();
        int[] counts = new int[Quality.values().length];
        for (StationView.TrustedReading trusted : view.readings()) {
            counts[trusted.reading().quality().ordinal()]++;
        }
        boolean asked = view.readings().stream().anyMatch(t -> t.reading().reason() != QualityReason.NOT_YET_READ)
                || view.indications().stream().anyMatch(i -> i.reason() != QualityReason.NOT_YET_READ);
        return new DeviceForm(
                device.id(),
                device.name(),
                device.asset(),
                assetName(device.asset()),
                device.kind().map(),
                device.kind().product(),
                of.standing().isReleased(device.id())
                        ? "released"
                        : view.lost() ? "silent" : asked ? "answering" : "not-yet-asked",
                lastAnswer(view),
                maintenanceOrNull(of.standing().covering(device)),
                new DeviceForm.Counts(
                        counts[Quality.GOOD.ordinal()],
                        counts[Quality.UNCERTAIN.ordinal()],
                        counts[Quality.BAD.ordinal()]));
    }

    private static @Nullable String lastAnswer(StationView.DeviceView view) {
        long newest = Long.MIN_VALUE;
        for (StationView.TrustedReading trusted : view.readings()) {
            Reading reading = trusted.reading();
            if (reading.number() != null || reading.text() != null) {
                newest = Math.max(newest, reading.at().wallMillis());
            }
        }
        for (Indication indication : view.indications()) {
            if (indication.state() != IndicationState.CANNOT_BE_TOLD
                    && !indication.id().name().equals(DeviceKind.COMMUNICATION_LOST)) {
                newest = Math.max(newest, indication.at().wallMillis());
            }
        }
        return newest == Long.MIN_VALUE ? null : Written.time(newest);
    }

    /** What one device says; empty if the station has no such device. */
    public Optional<ReadingsForm> readings(String deviceId, StationView view) {
        return Optional.ofNullable(view.devices().get(deviceId))
                .map(device -> new ReadingsForm(
                        ReadingsForm.FORM,
                        station,
                        device(device, view),
                        Written.time(view.at()),
                        view.at().wallTrusted(),
                        device.readings().stream().map(this::reading).toList(),
                        device.indications().stream().map(this::indication).toList(),
                        device.words().stream().map(Forms::word).toList()));
    }

    private ReadingsForm.ReadingForm reading(StationView.TrustedReading trusted) {
        Reading reading = trusted.reading();
        Origin origin = reading.origin();
        return new ReadingsForm.ReadingForm(
                reading.id().toString(),
                label(reading.id()),
                reading.number(),
                reading.text(),
                point(reading.id()).map(DeviceKind.Point::unit).orElse(""),
                Written.name(reading.quality()),
                Written.name(reading.reason()),
                trusted.because().stream().map(SignalId::toString).toList(),
                trusted.test(),
                Written.time(reading.at()),
                origin == null ? null : origin.status(),
                origin == null || origin.sourceMillis() == null ? null : Written.time(origin.sourceMillis()),
                origin == null || origin.serverMillis() == null ? null : Written.time(origin.serverMillis()));
    }

    private ReadingsForm.IndicationForm indication(Indication indication) {
        return new ReadingsForm.IndicationForm(
                indication.id().toString(),
                indicationText(indication.id()),
                Written.name(indication.state()),
                Written.name(indication.reason()),
                Written.time(indication.at()));
    }

    private static ReadingsForm.WordForm word(StatusWordValue word) {
        String format = "%0" + word.width() / 4 + "X";
        return new ReadingsForm.WordForm(
                word.id().toString(),
                format.formatted(word.bits()),
                format.formatted(word.undocumented()),
                Written.time(word.at()));
    }

    private Optional<DeviceKind.Point> point(SignalId id) {
        return facts.device(id.owner()).flatMap(device -> device.kind().point(id.name()));
    }

    private String label(SignalId reading) {
        return point(reading).map(DeviceKind.Point::label).orElse(reading.name());
    }

    private String indicationText(SignalId id) {
        if (id.name().equals(DeviceKind.COMMUNICATION_LOST)) {
            return "does not answer";
        }
        return facts.device(id.owner())
                .flatMap(device -> device.kind().indication(id.name()))
                .map(DeviceKind.NamedIndication::text)
                .orElse(id.name());
    }

    private @Nullable String unit(RuleInstance rule) {
        return rule.inputs().stream()
                .findFirst()
                .flatMap(this::point)
                .map(DeviceKind.Point::unit)
                .orElse(null);
    }

    private String assetName(String id) {
        return facts.asset(id).map(StationFacts.Asset::name).orElse(id);
    }

    private static @Nullable String deviceId(RuleInstance rule) {
        StationFacts.Device device = rule.device();
        return device == null ? null : device.id();
    }

    private static @Nullable ActorForm actor(@Nullable Actor actor) {
        return actor == null ? null : new ActorForm(actor.name(), actor.door());
    }

    private static AlarmStateForm.@Nullable Shelved shelved(Shelving shelving) {
        return shelving.kind() == Shelving.Kind.NONE
                ? null
                : new AlarmStateForm.Shelved(
                        Written.name(shelving.kind()),
                        shelving.untilWallMillis() == 0 ? null : Written.time(shelving.untilWallMillis()),
                        actor(shelving.by()),
                        shelving.reason());
    }

    /** Null where the alarm has nothing to do with confirmation. */
    private static @Nullable Boolean confirmed(boolean confirmed, @Nullable RuleInstance rule) {
        boolean asks = rule != null && rule.policy().confirmation();
        return confirmed && !asks ? null : (Boolean) confirmed;
    }

    private static AlarmEventForm.@Nullable Shelved shelved(AlarmEvent event) {
        return event.shelving() == Shelving.Kind.NONE
                ? null
                : new AlarmEventForm.Shelved(
                        Written.name(event.shelving()),
                        event.shelvedFor().equals(AlarmEvent.NO_LIMIT)
                                ? null
                                : event.shelvedFor().toString());
    }

    private static AlarmStateForm.@Nullable SuppressionForm suppression(Suppression suppression) {
        return suppression.equals(Suppression.NONE)
                ? null
                : new AlarmStateForm.SuppressionForm(
                        suppression.logic(), suppression.overruled(), actor(suppression.by()), suppression.reason());
    }

    private static AlarmStateForm.@Nullable OutOfServiceForm outOfService(AlarmState state) {
        var out = state.outOfService();
        return out == null
                ? null
                : new AlarmStateForm.OutOfServiceForm(
                        new ActorForm(out.by().name(), out.by().door()),
                        out.reason(),
                        out.permit(),
                        out.untilWallMillis() == 0 ? null : Written.time(out.untilWallMillis()));
    }
}
