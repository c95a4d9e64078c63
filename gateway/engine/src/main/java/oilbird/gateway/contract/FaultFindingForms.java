package oilbird.gateway.contract;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import oilbird.alarm.check.AcceptedRange;
import oilbird.alarm.check.Belief;
import oilbird.alarm.check.GuidedEvent;
import oilbird.alarm.check.GuidedEvent.Consequence;
import oilbird.alarm.check.GuidedFaultFinding;
import oilbird.alarm.check.GuidedInput;
import oilbird.alarm.check.GuidedSession;
import oilbird.alarm.check.Next;
import oilbird.alarm.diagnosis.BoundCheck;
import oilbird.alarm.diagnosis.CauseInstance;
import oilbird.alarm.diagnosis.DeviceChecks;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.diagnosis.StationCauses;
import oilbird.alarm.explain.Explainer;
import oilbird.alarm.explain.Likelihood;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.PlainNumber;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.DeviceSeen;
import oilbird.alarm.station.Standing;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.FirstCheck;
import oilbird.mapping.signal.Indication;
import oilbird.mapping.signal.Measurement;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.QualityReason;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** Makes forms of guided fault-findings. */
final class FaultFindingForms {
    private final StationFacts facts;
    private final StationForm station;
    private final Explainer explainer;

    FaultFindingForms(StationFacts facts, StationForm station, Explainer explainer) {
        this.facts = facts;
        this.station = station;
        this.explainer = explainer;
    }

    // ---- as it stands

    FaultFindingForm state(GuidedSession session, StationView view, List<KeepAwayForm> keepAways) {
        StationCauses library = view.faultFindings().library();
        GuidedFaultFinding guide = new GuidedFaultFinding(library);
        List<String> keptAway = view.standing().keptAway().stream()
                .map(Standing.KeepAway::asset)
                .toList();
        Belief belief = guide.belief(session);
        Next next = guide.next(session, keptAway);
        GuidedSession.Found found = session.found();
        return new FaultFindingForm(
                FaultFindingForm.FORM,
                station,
                session.id(),
                session.version(),
                session.diagnosis(),
                view.diagnoses().stream().anyMatch(d -> d.id().equals(session.diagnosis())),
                subjectName(session.assets()),
                session.assets(),
                Written.time(view.at()),
                view.at().wallTrusted(),
                keepAways.stream()
                        .filter(k -> session.assets().contains(k.asset()))
                        .toList(),
                Explainer.STANDING_NOTE,
                session.atWork(),
                session.secondPerson(),
                session.toldBefore(),
                session.toldAfter(),
                session.wordsSaved(),
                belief.ranked().stream()
                        .filter(r -> r.probability() >= Diagnosis.LISTED)
                        .map(r -> new FaultFindingForm.CauseForm(
                                r.cause(),
                                says(library, r.cause()),
                                millionths(r.probability()),
                                Likelihood.words(r.probability())))
                        .toList(),
                millionths(belief.unlisted()),
                session.answers().stream().map(a -> answer(a, session, library)).toList(),
                session.vain().stream()
                        .map(v -> new FaultFindingForm.VainForm(v.cause(), says(library, v.cause()), v.why()))
                        .toList(),
                found == null
                        ? null
                        : new FaultFindingForm.FoundForm(
                                found.cause(),
                                says(library, found.cause()),
                                millionths(belief.posterior(found.cause())),
                                found.provedByCheck()),
                next(next, library),
                watching(session, view, library),
                ending(session, library),
                checks(guide, session, next, keptAway, library),
                session.trace().stream().map(GuidedSession.Trace::key).toList());
    }

    private String subjectName(List<String> assets) {
        return String.join(
                ", ",
                assets.stream()
                        .map(a -> facts.asset(a).map(StationFacts.Asset::name).orElse(a))
                        .toList());
    }

    private static String says(StationCauses library, String cause) {
        return library.cause(cause).map(CauseInstance::says).orElse(cause);
    }

    private static FaultFindingForm.AnswerForm answer(
            GuidedSession.Answer answer, GuidedSession session, StationCauses library) {
        FirstCheck check = library.check(answer.check()).map(BoundCheck::check).orElse(null);
        FirstCheck.Outcome outcome = check == null ? null : check.outcomes().get(answer.outcome());
        AcceptedRange.Limits accepted = answer.accepted();
        return new FaultFindingForm.AnswerForm(
                answer.version(),
                answer.check(),
                check == null ? null : check.action(),
                outcome == null ? null : outcome.finding(),
                outcome == null ? null : outcome.meaning(),
                answer.value() == null ? null : answer.value().written(),
                accepted == null ? null : accepted.text(),
                answer.who(),
                Written.time(answer.at()),
                session.answer(answer.check()).filter(answer::equals).isPresent());
    }

    private static FaultFindingForm.NextForm next(Next next, StationCauses library) {
        if (next instanceof Next.Check check) {
            return new FaultFindingForm.NextForm(
                    "check",
                    check.proposal().check().id(),
                    Written.name(check.proposal().why()),
                    ids(check.others()),
                    null,
                    null,
                    check.withdrawn(),
                    false,
                    null,
                    null);
        }
        if (next instanceof Next.PutRight right) {
            return new FaultFindingForm.NextForm(
                    "put-right",
                    right.steps().isEmpty()
                            ? null
                            : right.steps().get(0).check().id(),
                    null,
                    ids(right.steps()),
                    right.cause(),
                    says(library, right.cause()),
                    right.withdrawn(),
                    right.saveWordsFirst(),
                    right.call(),
                    null);
        }
        if (next instanceof Next.Watch watch) {
            String cause = watch.watching().cause();
            return new FaultFindingForm.NextForm(
                    "watch", null, null, List.of(), cause, says(library, cause), 0, false, null, null);
        }
        if (next instanceof Next.HandOver over) {
            return new FaultFindingForm.NextForm(
                    "hand-over",
                    null,
                    null,
                    List.of(),
                    null,
                    null,
                    over.withdrawn(),
                    over.saveWordsFirst(),
                    over.to(),
                    over.why());
        }
        return new FaultFindingForm.NextForm("ended", null, null, List.of(), null, null, 0, false, null, null);
    }

    private static List<String> ids(List<Next.Proposal> proposals) {
        return proposals.stream().map(p -> p.check().id()).toList();
    }

    private List<GuidedCheckForm> checks(
            GuidedFaultFinding guide, GuidedSession session, Next next, List<String> keptAway, StationCauses library) {
        Map<String, Next.Proposal> all = new LinkedHashMap<>();
        if (next instanceof Next.Check check) {
            all.put(check.proposal().check().id(), check.proposal());
            check.others().forEach(p -> all.put(p.check().id(), p));
        } else if (next instanceof Next.PutRight right) {
            right.steps().forEach(p -> all.put(p.check().id(), p));
        }
        if (!session.ended()) {
            guide.sheet(session, keptAway)
                    .forEach(p -> all.putIfAbsent(p.check().id(), p));
        }
        return all.values().stream().map(p -> check(p, library)).toList();
    }

    private GuidedCheckForm check(Next.Proposal proposal, StationCauses library) {
        BoundCheck bound = proposal.check();
        FirstCheck check = bound.check();
        List<GuidedCheckForm.Outcome> outcomes = new ArrayList<>();
        for (int i = 0; i < check.outcomes().size(); i++) {
            FirstCheck.Outcome each = check.outcomes().get(i);
            outcomes.add(new GuidedCheckForm.Outcome(i, each.finding(), each.meaning()));
        }
        return new GuidedCheckForm(
                bound.id(),
                bound.device(),
                facts.device(bound.device()).map(StationFacts.Device::name).orElse(bound.device()),
                bound.asset(),
                subjectName(List.of(bound.asset())),
                check.action(),
                Written.name(check.work().act()),
                check.where(),
                check.exposure(),
                Explainer.exposure(check.exposure()),
                check.cautions().stream()
                        .map(c -> new CheckForm.Caution(c.name(), c.text()))
                        .toList(),
                check.minutes(),
                check.tools(),
                check.accepted() == null ? "" : check.accepted(),
                proposal.toConfirm().stream()
                        .map(p -> new GuidedCheckForm.Confirm(Written.name(p), p.text()))
                        .toList(),
                check.authorisation(),
                proposal.authorisationMissing(),
                bound.repairs(),
                check.tells(),
                millionths(proposal.bits()),
                measure(check.measurement(), library.checksOf(bound.device())),
                outcomes);
    }

    private static GuidedCheckForm.@Nullable Measure measure(@Nullable Measurement of, Optional<DeviceChecks> device) {
        if (of == null) {
            return null;
        }
        AcceptedRange range = device.map(d -> AcceptedRange.of(of, d, null))
                .orElseGet(() -> new AcceptedRange.Unknown("the device is not known", "look at its plate"));
        return new GuidedCheckForm.Measure(
                of.quantity(),
                of.unit(),
                range instanceof AcceptedRange.Limits limits ? limits.text() : null,
                range instanceof AcceptedRange.Unknown unknown ? unknown.why() + ": " + unknown.remedy() : null,
                of.load(),
                of.energised());
    }

    private FaultFindingForm.@Nullable WatchingForm watching(
            GuidedSession session, StationView view, StationCauses library) {
        GuidedSession.Watching watching = session.watching();
        if (watching == null) {
            return null;
        }
        String device = library.cause(watching.cause())
                .map(CauseInstance::device)
                .map(StationFacts.Device::id)
                .orElse(null);
        Moment quiet = watching.quietSince();
        Duration wanted = watching.proving().quiet();
        boolean timeDecides = watching.proof() == null
                && watching.analyses() >= watching.proving().analyses();
        return new FaultFindingForm.WatchingForm(
                watching.cause(),
                says(library, watching.cause()),
                Written.time(watching.since()),
                quiet == null ? null : Written.time(quiet),
                quiet == null || !timeDecides ? null : Written.time(quiet.wallMillis() + wanted.toMillis()),
                watching.proving().settles().toString(),
                wanted.toString(),
                watching.analyses(),
                watching.proving().analyses(),
                watching.proof(),
                watching.signs().stream().map(s -> sign(s, view)).toList(),
                watching.proving().readings().stream()
                        .map(w -> wanted(w.point(), w.from(), w.to(), device, view))
                        .toList(),
                facts.devices().stream()
                        .filter(d -> device == null ? session.assets().contains(d.asset()) : d.id().equals(device))
                        .anyMatch(d -> view.standing().covering(d) != null));
    }

    private FaultFindingForm.SignForm sign(Sign sign, StationView view) {
        SignalId indication = sign.indication();
        AlarmId alarm = sign.alarm();
        String state = "cannot-be-told";
        if (indication != null) {
            StationView.DeviceView device = view.devices().get(indication.owner());
            state = device == null
                    ? state
                    : device.indications().stream()
                            .filter(i -> i.id().equals(indication))
                            .map(Indication::state)
                            .map(Written::name)
                            .findFirst()
                            .orElse(state);
        } else if (alarm != null) {
            StationView.AlarmView seen = view.alarms().get(alarm);
            state = seen == null ? state : seen.state().active() ? "holds" : "does-not-hold";
        }
        return new FaultFindingForm.SignForm(sign.toString(), explainer.text(sign, view), state);
    }

    private FaultFindingForm.WantedForm wanted(
            String point, @Nullable Double from, @Nullable Double to, @Nullable String device, StationView view) {
        DeviceKind.Point known = device == null
                ? null
                : facts.device(device).flatMap(d -> d.kind().point(point)).orElse(null);
        StationView.DeviceView seen = device == null ? null : view.devices().get(device);
        Double value = seen == null
                ? null
                : seen.readings().stream()
                        .map(StationView.TrustedReading::reading)
                        .filter(r -> r.id().name().equals(point)
                                && r.quality() != Quality.BAD
                                && r.reason() != QualityReason.DOUBTFUL)
                        .map(r -> r.number())
                        .findFirst()
                        .orElse(null);
        boolean as = value != null && (from == null || value >= from) && (to == null || value <= to);
        return new FaultFindingForm.WantedForm(
                point, known == null ? point : known.label(), known == null ? "" : known.unit(), from, to, value, as);
    }

    private static FaultFindingForm.@Nullable EndingForm ending(GuidedSession session, StationCauses library) {
        GuidedSession.Ending ending = session.ending();
        return ending == null
                ? null
                : new FaultFindingForm.EndingForm(
                        Written.name(ending.kind()),
                        ending.cause(),
                        ending.cause() == null ? null : says(library, ending.cause()),
                        ending.to(),
                        ending.why(),
                        ending.who(),
                        Written.time(ending.at()));
    }

    /** @param begun the events with which they began, newest first. */
    FaultFindingsForm list(List<RecordedEvent> begun, StationView view) {
        List<FaultFindingsForm.ItemForm> items = new ArrayList<>();
        for (RecordedEvent recorded : begun) {
            if (recorded.event() instanceof StationEvent.FaultFinding event
                    && event.of().input() instanceof GuidedInput.Begun start) {
                GuidedSession session = view.faultFinding(event.session());
                GuidedSession.Ending ending = session == null ? null : session.ending();
                GuidedSession.Found found = session == null ? null : session.found();
                items.add(new FaultFindingsForm.ItemForm(
                        event.session(),
                        start.assessment().diagnosis(),
                        subjectName(start.assessment().assets()),
                        start.assessment().assets(),
                        Written.time(event.at()),
                        start.entry().who().name(),
                        session == null ? "ended" : ending == null ? "under-way" : Written.name(ending.kind()),
                        session == null ? List.of() : session.atWork(),
                        found == null ? null : says(view.faultFindings().library(), found.cause())));
            }
        }
        return new FaultFindingsForm(FaultFindingsForm.FORM, station, items);
    }

    // ---- as an event

    FaultFindingEventForm event(RecordedEvent recorded, StationEvent.FaultFinding event) {
        return event(facts.id(), recorded, event, false);
    }

    /**
     * Made of what is recorded alone, so that whoever has the record can make it again.
     *
     * @param whole with what the gateway had of the devices, which links are not sent.
     */
    static FaultFindingEventForm event(
            String station, RecordedEvent recorded, StationEvent.FaultFinding event, boolean whole) {
        GuidedInput input = event.of().input();
        GuidedInput.Entry entry = input.entry();
        Said said = said(input);
        FaultFindingEventForm.MeasuredForm measured = measured(event.of());
        Long doneAt = entry.doneAt();
        return new FaultFindingEventForm(
                FaultFindingEventForm.FORM,
                station,
                event.id().toString(),
                recorded.position(),
                recorded.recorded(),
                event.session(),
                event.of().version(),
                GuidedInput.kind(input),
                new ActorForm(entry.who().name(), entry.who().door()),
                entry.key(),
                doneAt == null ? null : Written.time(doneAt),
                said.check(),
                said.cause(),
                emptyToNull(event.said().about()),
                emptyToNull(event.said().found()),
                emptyToNull(event.said().means()),
                measured,
                emptyToNull(said.words()),
                event.of().consequences().stream()
                        .map(FaultFindingForms::follows)
                        .toList(),
                !whole || event.seen().isEmpty()
                        ? null
                        : event.seen().stream().map(FaultFindingForms::device).toList(),
                text(event, said, measured),
                Written.time(event.at()),
                event.at().wallTrusted());
    }

    /** What the person said, and of what. */
    private record Said(@Nullable String check, @Nullable String cause, String words) {}

    private static Said said(GuidedInput input) {
        if (input instanceof GuidedInput.SecondPerson second) {
            return new Said(null, null, second.name());
        } else if (input instanceof GuidedInput.Authorised authorised) {
            return new Said(authorised.check(), null, authorised.by());
        } else if (input instanceof GuidedInput.ControlRoomTold told) {
            return new Said(null, null, told.whom());
        } else if (input instanceof GuidedInput.WordsSaved saved) {
            return new Said(null, null, saved.where());
        } else if (input instanceof GuidedInput.Prepared prepared) {
            return new Said(prepared.check(), null, "");
        } else if (input instanceof GuidedInput.Answered answered) {
            return new Said(answered.check(), null, answered.note());
        } else if (input instanceof GuidedInput.Measured measured) {
            return new Said(measured.check(), null, measured.note());
        } else if (input instanceof GuidedInput.Repaired repaired) {
            return new Said(repaired.check(), repaired.cause(), repaired.note());
        } else if (input instanceof GuidedInput.HandedOver over) {
            return new Said(null, null, "to " + over.to() + ": " + over.why());
        } else if (input instanceof GuidedInput.GivenUp up) {
            return new Said(null, null, up.why());
        } else if (input instanceof GuidedInput.Watched watched) {
            return new Said(null, null, watched(watched));
        }
        return new Said(null, null, "");
    }

    private static String watched(GuidedInput.Watched watched) {
        List<String> parts = new ArrayList<>();
        watched.holding().forEach(s -> parts.add(s + " holds"));
        watched.untellable().forEach(s -> parts.add(s + " cannot be told"));
        watched.readings().forEach((point, value) -> parts.add(point + " " + PlainNumber.of(value)));
        if (watched.analyses() > 0) {
            parts.add(watched.analyses() + " analyses finished");
        }
        return parts.isEmpty() ? "no sign holds" : String.join("; ", parts);
    }

    private static FaultFindingEventForm.@Nullable MeasuredForm measured(GuidedEvent event) {
        if (!(event.input() instanceof GuidedInput.Measured measured)) {
            return null;
        }
        GuidedEvent.Judged judged = event.consequences().stream()
                .filter(GuidedEvent.Judged.class::isInstance)
                .map(GuidedEvent.Judged.class::cast)
                .findFirst()
                .orElse(null);
        return new FaultFindingEventForm.MeasuredForm(
                measured.written(),
                judged == null ? null : judged.value(),
                judged == null ? null : judged.unit(),
                judged == null ? null : Written.name(judged.verdict()),
                judged == null ? null : judged.accepted(),
                measured.testerProvedBefore(),
                measured.testerProvedAfter());
    }

    private static FaultFindingEventForm.FollowsForm follows(Consequence consequence) {
        if (consequence instanceof GuidedEvent.Judged judged) {
            return new FaultFindingEventForm.FollowsForm(
                    "judged",
                    null,
                    PlainNumber.of(judged.value()) + " " + judged.unit() + " is " + Written.name(judged.verdict())
                            + ": " + judged.accepted());
        } else if (consequence instanceof GuidedEvent.CauseFound found) {
            return new FaultFindingEventForm.FollowsForm(
                    "cause-found",
                    found.cause(),
                    found.provedByCheck()
                            ? "the check proves the cause"
                            : "the cause is the only one likely, " + Likelihood.percent(found.posterior()));
        } else if (consequence instanceof GuidedEvent.CauseInDoubt doubt) {
            return new FaultFindingEventForm.FollowsForm("cause-in-doubt", doubt.cause(), doubt.why());
        } else if (consequence instanceof GuidedEvent.WatchBegun begun) {
            return new FaultFindingEventForm.FollowsForm(
                    "watch-begun", begun.cause(), "the word and the readings are watched");
        } else if (consequence instanceof GuidedEvent.RepairInVain vain) {
            return new FaultFindingEventForm.FollowsForm("repair-in-vain", vain.cause(), vain.why());
        }
        GuidedEvent.ProvedGone gone = (GuidedEvent.ProvedGone) consequence;
        return new FaultFindingEventForm.FollowsForm(
                "proved-gone", gone.cause(), "its signs stayed away for its proving time");
    }

    private static FaultFindingEventForm.DeviceSeenForm device(DeviceSeen seen) {
        return new FaultFindingEventForm.DeviceSeenForm(
                seen.device(),
                seen.lost(),
                seen.answers().stream()
                        .map(a -> new FaultFindingEventForm.AnswerForm(a.block(), a.text(), Written.time(a.at())))
                        .toList(),
                seen.words().stream()
                        .map(w -> new FaultFindingEventForm.WordForm(
                                w.word(), hex(w.bits(), w.width()), w.width(), Written.time(w.at())))
                        .toList(),
                seen.holding(),
                seen.readings().stream()
                        .map(r -> new FaultFindingEventForm.ValueForm(
                                r.point(),
                                r.number(),
                                r.text(),
                                Written.name(r.quality().quality()),
                                Written.name(r.quality()),
                                Written.time(r.at())))
                        .toList());
    }

    private static String hex(long bits, int width) {
        String digits = Long.toHexString(bits);
        return "0".repeat(Math.max(0, width / 4 - digits.length())) + digits;
    }

    private static String text(
            StationEvent.FaultFinding event, Said said, FaultFindingEventForm.@Nullable MeasuredForm measured) {
        String who = event.of().input().entry().who().name();
        String about = event.said().about();
        String words = said.words();
        String text = switch (GuidedInput.kind(event.of().input())) {
            case "begun" -> who + " began the fault-finding.";
            case "joined" -> who + " joined.";
            case "left" -> who + " left.";
            case "second-person" -> "A second person is there: " + words + ".";
            case "authorised" -> "Authorised: " + about + " By " + words + ".";
            case "control-room-told" ->
                "The control room was told "
                        + (((GuidedInput.ControlRoomTold) event.of().input()).before() ? "before" : "after")
                        + " the work: " + words + ".";
            case "words-saved" -> "The status words are saved: " + words + ".";
            case "prepared" -> who + " confirmed: " + event.said().found() + ".";
            case "answered" -> who + " found: " + event.said().found() + ". " + about + noted(words);
            case "measured" ->
                who + " measured " + (measured == null ? "" : measured.written()) + ": "
                        + event.said().found() + ". " + about + noted(words);
            case "repaired" -> who + " put right: " + about + "." + noted(words);
            case "watched" -> "Watched: " + words + ".";
            case "reassessed" -> "The diagnosis has changed.";
            case "handed-over" -> who + " handed it over " + words + ".";
            default -> who + " gave it up: " + words + ".";
        };
        for (Consequence each : event.of().consequences()) {
            if (!(each instanceof GuidedEvent.Judged)) {
                text += " " + sentence(follows(each));
            }
        }
        return text;
    }

    private static String noted(String words) {
        return words.isEmpty() ? "" : " Noted: " + words;
    }

    private static String sentence(FaultFindingEventForm.FollowsForm follows) {
        String what = follows.what().replace('-', ' ');
        return Character.toUpperCase(what.charAt(0)) + what.substring(1)
                + (follows.cause() == null ? "" : ", " + follows.cause()) + ": " + follows.text() + ".";
    }

    private static @Nullable String emptyToNull(String text) {
        return text.isEmpty() ? null : text;
    }

    private static double millionths(double probability) {
        return Math.round(probability * 1e6) / 1e6;
    }
}
