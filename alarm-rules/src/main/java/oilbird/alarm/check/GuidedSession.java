package oilbird.alarm.check;

import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import oilbird.alarm.diagnosis.Proving;
import oilbird.alarm.diagnosis.Sign;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Work;
import org.jspecify.annotations.Nullable;

/**
 * The state of one guided fault-finding: a technician working through first checks until the fault is proved gone, handed
 * over or given up. Immutable; {@link GuidedFaultFinding} makes one from the other.
 *
 * @param id the key of the session.
 * @param diagnosis id of the diagnosis that it started from.
 * @param assets ids of the assets concerned.
 * @param version number of inputs taken.
 * @param start what the diagnosis made of the signs, before any answer.
 * @param signs for each cause the signs that held and that it produces.
 * @param answers in the order in which they were taken; of several to one check the last counts.
 * @param vain repairs that did not help.
 * @param atWork who is at work now, in the order of coming.
 * @param secondPerson null where none was named.
 * @param wordsSaved where the words are kept; null while they are not saved.
 * @param toldBefore whom of the control room was told before the work; null for nobody.
 * @param toldAfter the same after it.
 * @param found the cause that is found; null while it is searched.
 * @param watching null while nothing is watched.
 * @param ending null while it goes on.
 * @param trace who did what up to which version.
 */
public record GuidedSession(
        String id,
        String diagnosis,
        List<String> assets,
        long version,
        Belief start,
        Map<String, List<Sign>> signs,
        List<Answer> answers,
        List<Vain> vain,
        List<String> atWork,
        @Nullable String secondPerson,
        List<Authorisation> authorisations,
        List<Confirmation> confirmations,
        @Nullable String wordsSaved,
        @Nullable String toldBefore,
        @Nullable String toldAfter,
        @Nullable Found found,
        @Nullable Watching watching,
        @Nullable Ending ending,
        List<Trace> trace) {
    /** From this posterior on a cause counts as found, once an answer has spoken for it. */
    public static final double FOUND = 0.95;

    /**
     * An answer to a check.
     *
     * @param check id of the bound check.
     * @param outcome index of the outcome.
     * @param value what was measured; null where nothing was.
     * @param accepted the range in which it is accepted; null likewise.
     * @param who who found it.
     * @param at when it reached the gateway.
     */
    public record Answer(
            String check,
            int outcome,
            MeasuredValue.@Nullable Read value,
            AcceptedRange.@Nullable Limits accepted,
            String who,
            Moment at,
            long version) {}

    /** A repair that did not help. */
    public record Vain(String cause, String why, long version) {}

    /** An authorisation for a check. */
    public record Authorisation(String check, String by, String notedBy) {}

    /** What somebody confirmed before a check. */
    public record Confirmation(String check, Work.Preparation preparation, String who) {}

    /** A cause that is found. */
    public record Found(String cause, double posterior, boolean provedByCheck) {}

    /**
     * What is watched after a repair.
     *
     * @param since when the cause was put right.
     * @param version of the session then.
     * @param signs that must stay away.
     * @param proof id of the check that still has to be answered; null where there is none.
     * @param quietSince since when nothing speaks against it; null while something does.
     * @param analyses finished since the repair.
     */
    public record Watching(
            String cause,
            Moment since,
            long version,
            Proving proving,
            List<Sign> signs,
            @Nullable String proof,
            @Nullable Moment quietSince,
            int analyses) {
        public Watching {
            signs = List.copyOf(signs);
        }
    }

    /** How it ended. */
    public enum Kind {
        PROVED_GONE,
        HANDED_OVER,
        GIVEN_UP
    }

    /**
     * Its end.
     *
     * @param cause id of the cause that was put right; null where none was.
     * @param to whom it was handed over; empty for nobody.
     */
    public record Ending(Kind kind, @Nullable String cause, String to, String why, String who, Moment at) {}

    /** Who did something, to what. */
    public record Trace(
            long version,
            String key,
            String who,
            String did,
            @Nullable String check) {}

    public GuidedSession {
        assets = List.copyOf(assets);
        Map<String, List<Sign>> copied = new LinkedHashMap<>();
        signs.forEach((cause, of) -> copied.put(cause, List.copyOf(of)));
        signs = Collections.unmodifiableMap(copied);
        answers = List.copyOf(answers);
        vain = List.copyOf(vain);
        atWork = List.copyOf(atWork);
        authorisations = List.copyOf(authorisations);
        confirmations = List.copyOf(confirmations);
        trace = List.copyOf(trace);
    }

    /** The answer to a check that counts: the last one. */
    public Optional<Answer> answer(String check) {
        return answers.stream().filter(a -> a.check().equals(check)).reduce((first, second) -> second);
    }

    public boolean ended() {
        return ending != null;
    }
}
