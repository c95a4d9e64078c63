package oilbird.gateway.contract;

import java.math.BigDecimal;
import java.math.MathContext;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import oilbird.alarm.diagnosis.Diagnosis;
import oilbird.alarm.diagnosis.Inference;
import oilbird.alarm.diagnosis.Sign;
import oilbird.alarm.explain.DiagnosisExplanation;
import oilbird.alarm.explain.Explainer;
import oilbird.alarm.explain.Explanation;
import oilbird.alarm.explain.KeepAwayNotice;
import oilbird.alarm.explain.Likelihood;
import oilbird.alarm.rule.DeviceKind;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationView;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/** Makes forms of diagnoses and of keep-away. */
final class DiagnosisForms {
    private static final String PRIOR = "1 - exp(-perYear x window in years)";
    private static final String MODEL = "Noisy-OR: a sign that holds is produced by at least one of the causes that are"
            + " there, each with its probability, or for an unlisted reason with probability otherwise. A cause that is"
            + " there weighs prior x support x absent, one that is not there 1 - prior. The posterior is the weight of all"
            + " combinations with the cause over that of all combinations.";

    private final StationFacts facts;
    private final StationForm station;
    private final Explainer explainer;

    DiagnosisForms(StationFacts facts, StationForm station, Explainer explainer) {
        this.facts = facts;
        this.station = station;
        this.explainer = explainer;
    }

    // ---- keep-away

    List<KeepAwayForm> keepAways(StationView view) {
        return forms(explainer.keepAways(view));
    }

    static List<KeepAwayForm> forms(List<KeepAwayNotice> notices) {
        return notices.stream()
                .map(n -> new KeepAwayForm(
                        n.asset(),
                        n.assetName(),
                        Written.time(n.since()),
                        n.since().wallTrusted(),
                        n.reasons(),
                        n.text()))
                .toList();
    }

    KeepAwayEventForm event(RecordedEvent recorded, StationEvent.KeptAway event, StationView view) {
        boolean released = event.kind() == StationEvent.KeptAway.Kind.RELEASED;
        String name = facts.asset(event.asset()).map(StationFacts.Asset::name).orElse(event.asset());
        ActorForm by = event.by() == null
                ? null
                : new ActorForm(event.by().name(), event.by().door());
        return new KeepAwayEventForm(
                KeepAwayEventForm.FORM,
                facts.id(),
                event.id().toString(),
                recorded.position(),
                recorded.recorded(),
                Written.name(event.kind()),
                event.asset(),
                name,
                event.reasons(),
                by,
                released
                        ? "Keep-away from " + name + " was released" + (by == null ? "." : " by " + by.name() + ".")
                        : explainer.keepAway(name, event, view),
                released ? event.text() : null,
                Written.time(event.at()),
                event.at().wallTrusted());
    }

    // ---- diagnosis

    DiagnosesForm diagnoses(StationView view) {
        return new DiagnosesForm(
                DiagnosesForm.FORM,
                station,
                Written.time(view.at()),
                view.at().wallTrusted(),
                keepAways(view),
                all(view));
    }

    List<DiagnosisForm> all(StationView view) {
        return view.diagnoses().stream().map(d -> diagnosis(d, view, false)).toList();
    }

    Optional<DiagnosisForm> diagnosis(String id, StationView view) {
        return view.diagnoses().stream()
                .filter(d -> d.id().equals(id))
                .findFirst()
                .map(d -> diagnosis(d, view, true));
    }

    private DiagnosisForm diagnosis(Diagnosis diagnosis, StationView view, boolean withReasoning) {
        DiagnosisExplanation explained = explainer.explain(view, diagnosis);
        Diagnosis.RankedCause likeliest = diagnosis.likeliest();
        Duration within = likeliest == null ? null : likeliest.respondWithin();
        return new DiagnosisForm(
                DiagnosisForm.FORM,
                facts.id(),
                diagnosis.id(),
                diagnosis.subject(),
                explained.subjectName(),
                diagnosis.assets(),
                explained.headline(),
                explained.sentence(),
                explained.trouble() == null ? null : Written.name(explained.trouble()),
                diagnosis.transformerTrouble(),
                Written.time(diagnosis.since()),
                diagnosis.since().wallTrusted(),
                Written.time(view.at()),
                diagnosis.causes().stream().map(DiagnosisForms::cause).toList(),
                diagnosis.signs().stream().map(s -> sign(s, view)).toList(),
                written(diagnosis.unexplained()),
                firstOut(diagnosis.firstOut(), view),
                diagnosis.doubtful().stream()
                        .map(d -> new DiagnosisForm.DoubtedForm(
                                d.reading().toString(), label(d.reading()), d.worthless(), d.cause()))
                        .toList(),
                explained.trust(),
                diagnosis.grouped().stream().map(AlarmId::toString).toList(),
                diagnosis.apart().stream().map(AlarmId::toString).toList(),
                diagnosis.keepAway(),
                forms(explained.keepAway()),
                likeliest == null ? "" : likeliest.call(),
                within == null ? null : within.toString(),
                within == null ? null : Written.time(diagnosis.since().wallMillis() + within.toMillis()),
                likeliest == null ? List.of() : likeliest.spares(),
                likeliest == null ? List.of() : likeliest.tools(),
                explained.checks().stream().map(Forms::check).toList(),
                explained.withdrawn(),
                explained.standingNote(),
                withReasoning ? reasoning(diagnosis.inference()) : null);
    }

    private static DiagnosisForm.CauseForm cause(Diagnosis.RankedCause cause) {
        Duration within = cause.respondWithin();
        return new DiagnosisForm.CauseForm(
                cause.cause(),
                cause.says(),
                Written.name(cause.trouble()),
                cause.asset(),
                cause.device(),
                millionths(cause.posterior()),
                Likelihood.words(cause.posterior()),
                digits(cause.prior()),
                written(cause.explains()),
                written(cause.against()),
                written(cause.awaited()),
                cause.support().stream()
                        .map(s -> new DiagnosisForm.SupportForm(s.signal().toString(), s.text(), s.seen(), s.factor()))
                        .toList(),
                cause.keepAway(),
                cause.call(),
                within == null ? null : within.toString(),
                cause.spares(),
                cause.tools());
    }

    private DiagnosisForm.SignForm sign(Diagnosis.SignState state, StationView view) {
        return new DiagnosisForm.SignForm(
                state.sign().toString(),
                explainer.text(state.sign(), view),
                Written.name(state.told()),
                state.since() == null ? null : Written.time(state.since()),
                state.uncertainty().toString(),
                state.asLastTold());
    }

    private DiagnosisForm.FirstOutForm firstOut(Diagnosis.FirstOut first, StationView view) {
        return new DiagnosisForm.FirstOutForm(
                first.sign().toString(),
                explainer.text(first.sign(), view),
                Written.time(first.at()),
                first.uncertainty().toString(),
                first.orOneOf().isEmpty(),
                written(first.orOneOf()));
    }

    private static DiagnosisForm.Reasoning reasoning(Inference inference) {
        return new DiagnosisForm.Reasoning(
                inference.window().toString(),
                PRIOR,
                MODEL,
                Written.name(inference.method()),
                inference.error(),
                inference.evidence(),
                inference.causes().stream()
                        .map(c -> new DiagnosisForm.CauseTermForm(
                                c.cause(),
                                c.perYear(),
                                c.origin(),
                                c.prior(),
                                c.support(),
                                c.absent(),
                                c.posterior(),
                                c.links().stream()
                                        .map(l -> new DiagnosisForm.LinkForm(
                                                l.sign().toString(),
                                                l.probability(),
                                                l.within().toString(),
                                                iso(l.lasts()),
                                                Written.name(l.told()),
                                                l.counted()))
                                        .toList()))
                        .toList(),
                inference.signs().stream()
                        .map(s -> new DiagnosisForm.SignTermForm(
                                s.sign().toString(), s.perYear(), s.origin(), s.otherwise(), s.unlisted()))
                        .toList());
    }

    private static @Nullable String iso(@Nullable Duration duration) {
        return duration == null ? null : duration.toString();
    }

    DiagnosisEventForm event(RecordedEvent recorded, StationEvent.Diagnosed event) {
        String subject = explainer.name(event.subject());
        return new DiagnosisEventForm(
                DiagnosisEventForm.FORM,
                facts.id(),
                event.id().toString(),
                recorded.position(),
                recorded.recorded(),
                Written.name(event.kind()),
                event.diagnosis(),
                event.subject(),
                subject,
                event.assets(),
                Written.time(event.since()),
                event.causes().stream()
                        .map(c -> new DiagnosisEventForm.LikelyForm(
                                c.cause(),
                                c.says(),
                                Written.name(c.trouble()),
                                c.millionths() / 1e6,
                                Likelihood.words(c.millionths() / 1e6)))
                        .toList(),
                written(event.signs()),
                written(event.orOneOf()),
                written(event.unexplained()),
                event.grouped().stream().map(AlarmId::toString).toList(),
                event.apart().stream().map(AlarmId::toString).toList(),
                event.keepAway(),
                subject + ": " + text(event),
                Written.time(event.at()),
                event.at().wallTrusted());
    }

    private static String text(StationEvent.Diagnosed event) {
        if (event.kind() == StationEvent.Diagnosed.Kind.CLOSED) {
            return "none of the signs holds any more.";
        }
        if (event.causes().isEmpty()) {
            return "no listed cause explains the signs.";
        }
        StationEvent.Diagnosed.Likely likeliest = event.causes().get(0);
        double probability = likeliest.millionths() / 1e6;
        return Likelihood.words(probability) + " cause (" + Likelihood.percent(probability) + "): " + likeliest.says()
                + ".";
    }

    static @Nullable LikelyCauseForm likely(Explanation.@Nullable LikelyCause likely) {
        if (likely == null) {
            return null;
        }
        boolean known = !likely.cause().isEmpty();
        return new LikelyCauseForm(
                likely.diagnosis(),
                known ? likely.cause() : null,
                known ? likely.says() : null,
                known ? (Double) millionths(likely.probability()) : null,
                likely.text());
    }

    private static List<String> written(List<Sign> signs) {
        return signs.stream().map(Sign::toString).toList();
    }

    private String label(SignalId reading) {
        return facts.device(reading.owner())
                .flatMap(d -> d.kind().point(reading.name()))
                .map(DeviceKind.Point::label)
                .orElse(reading.name());
    }

    private static double millionths(double probability) {
        return Math.round(probability * 1e6) / 1e6;
    }

    private static double digits(double prior) {
        return new BigDecimal(prior).round(new MathContext(6)).doubleValue();
    }
}
