package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * A guided fault-finding as it stands: form {@code oilbird.fault-finding/1}.
 *
 * @param session its id: of the event with which it began.
 * @param version number of inputs taken; what a person sends names the version that the person saw.
 * @param atWork who is at work now.
 * @param causes the likeliest first.
 * @param unlisted probability that no listed cause is there.
 * @param answers what was found, in the order in which it was taken; of several to one check the last counts.
 * @param inVain repairs that did not help.
 * @param found the cause that is found; absent while it is searched.
 * @param next what comes next.
 * @param watching what is watched after a repair; absent while nothing is.
 * @param ending how it ended; absent while it goes on.
 * @param checks every check that may be done now, the next one first; those that put something right last.
 * @param keys of the inputs that were taken, so that a page knows which of its own came through.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record FaultFindingForm(
        String form,
        StationForm station,
        String session,
        long version,
        String diagnosis,
        boolean diagnosisOpen,
        String subjectName,
        List<String> assets,
        String asOf,
        boolean timeTrusted,
        List<KeepAwayForm> keepAway,
        String standingNote,
        List<String> atWork,
        @Nullable String secondPerson,
        @Nullable String toldBefore,
        @Nullable String toldAfter,
        @Nullable String wordsSaved,
        List<CauseForm> causes,
        double unlisted,
        List<AnswerForm> answers,
        List<VainForm> inVain,
        @Nullable FoundForm found,
        NextForm next,
        @Nullable WatchingForm watching,
        @Nullable EndingForm ending,
        List<GuidedCheckForm> checks,
        List<String> keys) {
    public static final String FORM = "oilbird.fault-finding/1";

    /** A cause with its probability now. */
    public record CauseForm(String cause, String says, double probability, String likelihood) {}

    /** An answer to a check. */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record AnswerForm(
            long version,
            String check,
            @Nullable String action,
            @Nullable String found,
            @Nullable String means,
            @Nullable String written,
            @Nullable String accepted,
            String who,
            String at,
            boolean counts) {}

    public record VainForm(String cause, String says, String why) {}

    public record FoundForm(String cause, String says, double probability, boolean provedByCheck) {}

    /**
     * What comes next.
     *
     * @param kind {@code check}, {@code put-right}, {@code watch}, {@code hand-over} or {@code ended}.
     * @param check id of the check that is proposed, among {@code checks}.
     * @param why why it is this one.
     * @param others ids of other useful ones, or of the steps that put the cause right.
     * @param withdrawn how many checks are withdrawn while people are to keep away.
     * @param saveWordsFirst true where a step is held back until the status words are saved.
     * @param call whom to call, in words that follow "call the"; empty where nobody said.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record NextForm(
            String kind,
            @Nullable String check,
            @Nullable String why,
            List<String> others,
            @Nullable String cause,
            @Nullable String says,
            int withdrawn,
            boolean saveWordsFirst,
            @Nullable String call,
            @Nullable String reason) {
        public NextForm {
            others = List.copyOf(others);
        }
    }

    /**
     * What is watched.
     *
     * @param quietSince since when nothing speaks against it; absent while something does.
     * @param provedAt when it counts as gone if nothing comes; absent while that cannot be told.
     * @param proof id of a check that has to be answered besides.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record WatchingForm(
            String cause,
            String says,
            String since,
            @Nullable String quietSince,
            @Nullable String provedAt,
            String settles,
            String quiet,
            int analyses,
            int analysesWanted,
            @Nullable String proof,
            List<SignForm> signs,
            List<WantedForm> readings,
            boolean maintenance) {}

    /** A sign that must stay away. */
    public record SignForm(String sign, String text, String state) {}

    /** A reading that has to be as wanted. */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record WantedForm(
            String point,
            String label,
            String unit,
            @Nullable Double from,
            @Nullable Double to,
            @Nullable Double value,
            boolean asWanted) {}

    /** @param kind {@code proved-gone}, {@code handed-over} or {@code given-up}. */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record EndingForm(
            String kind, @Nullable String cause, @Nullable String says, String to, String why, String who, String at) {}

    public FaultFindingForm {
        assets = List.copyOf(assets);
        keepAway = List.copyOf(keepAway);
        atWork = List.copyOf(atWork);
        causes = List.copyOf(causes);
        answers = List.copyOf(answers);
        inVain = List.copyOf(inVain);
        checks = List.copyOf(checks);
        keys = List.copyOf(keys);
    }
}
