package oilbird.alarm.check;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import oilbird.alarm.check.GuidedSession.Answer;
import oilbird.alarm.check.GuidedSession.Ending;
import oilbird.alarm.check.GuidedSession.Found;
import oilbird.alarm.check.GuidedSession.Watching;
import oilbird.alarm.diagnosis.Sign;
import org.jspecify.annotations.Nullable;

/** A session in the making: what of it an input changes is set, the rest stays. */
final class SessionDraft {
    private final GuidedSession of;
    Belief start;
    Map<String, List<Sign>> signs;
    final List<Answer> answers;
    final List<GuidedSession.Vain> vain;
    final List<String> atWork;

    @Nullable
    String secondPerson;

    final List<GuidedSession.Authorisation> authorisations;
    final List<GuidedSession.Confirmation> confirmations;

    @Nullable
    String wordsSaved;

    @Nullable
    String toldBefore;

    @Nullable
    String toldAfter;

    @Nullable
    Found found;

    @Nullable
    Watching watching;

    @Nullable
    Ending ending;

    final List<GuidedSession.Trace> trace;

    SessionDraft(GuidedSession of) {
        this.of = of;
        this.start = of.start();
        this.signs = of.signs();
        this.answers = new ArrayList<>(of.answers());
        this.vain = new ArrayList<>(of.vain());
        this.atWork = new ArrayList<>(of.atWork());
        this.secondPerson = of.secondPerson();
        this.authorisations = new ArrayList<>(of.authorisations());
        this.confirmations = new ArrayList<>(of.confirmations());
        this.wordsSaved = of.wordsSaved();
        this.toldBefore = of.toldBefore();
        this.toldAfter = of.toldAfter();
        this.found = of.found();
        this.watching = of.watching();
        this.ending = of.ending();
        this.trace = new ArrayList<>(of.trace());
    }

    GuidedSession session(long version) {
        return new GuidedSession(
                of.id(),
                of.diagnosis(),
                of.assets(),
                version,
                start,
                signs,
                answers,
                vain,
                atWork,
                secondPerson,
                authorisations,
                confirmations,
                wordsSaved,
                toldBefore,
                toldAfter,
                found,
                watching,
                ending,
                trace);
    }
}
