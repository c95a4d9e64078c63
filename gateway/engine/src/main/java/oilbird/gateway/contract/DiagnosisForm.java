package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * What is made of signs that hang together, explained: form {@code oilbird.diagnosis/1}. It annotates: each of its
 * alarms stands as it would without it.
 *
 * @param subject id of the asset or of the shared thing that it is about.
 * @param headline equipment and likely cause.
 * @param trouble whose trouble the likeliest cause is; absent where no listed cause is to be reckoned with.
 * @param transformerTrouble a cause to be reckoned with is trouble of the transformer.
 * @param causes the likeliest first.
 * @param signs what is known of every sign of the listed causes.
 * @param unexplained ids of signs that hold and that most likely no listed cause has produced.
 * @param alarms those that are its consequences and may be shown under it.
 * @param alarmsApart those of the safety and equipment-protection classes: they always stand for themselves.
 * @param keepsAway a cause to be reckoned with keeps people away.
 * @param within time to respond, ISO 8601 duration.
 * @param firstChecks of the causes to be reckoned with, in order of exposure.
 * @param withdrawnChecks how many more there are that nobody is asked to do while people are to keep away.
 * @param reasoning the numbers behind it; only where one diagnosis is asked for.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record DiagnosisForm(
        String form,
        String station,
        String diagnosis,
        String subject,
        String subjectName,
        List<String> assets,
        String headline,
        String sentence,
        @Nullable String trouble,
        boolean transformerTrouble,
        String since,
        boolean timeTrusted,
        String asOf,
        List<CauseForm> causes,
        List<SignForm> signs,
        List<String> unexplained,
        FirstOutForm firstOut,
        List<DoubtedForm> doubtfulReadings,
        String trust,
        List<String> alarms,
        List<String> alarmsApart,
        boolean keepsAway,
        List<KeepAwayForm> keepAway,
        String call,
        @Nullable String within,
        @Nullable String actBy,
        List<String> spares,
        List<String> tools,
        List<CheckForm> firstChecks,
        int withdrawnChecks,
        String standingNote,
        @Nullable Reasoning reasoning) {
    public static final String FORM = "oilbird.diagnosis/1";

    public DiagnosisForm {
        assets = List.copyOf(assets);
        causes = List.copyOf(causes);
        signs = List.copyOf(signs);
        unexplained = List.copyOf(unexplained);
        doubtfulReadings = List.copyOf(doubtfulReadings);
        alarms = List.copyOf(alarms);
        alarmsApart = List.copyOf(alarmsApart);
        keepAway = List.copyOf(keepAway);
        spares = List.copyOf(spares);
        tools = List.copyOf(tools);
        firstChecks = List.copyOf(firstChecks);
    }

    /**
     * A cause.
     *
     * @param cause id: device or shared thing, a dot, name in its fault model.
     * @param probability posterior, 0 to 1, rounded to millionths.
     * @param likelihood the same in words.
     * @param prior before any sign was looked at.
     * @param explains ids of the signs that hold and that it produces.
     * @param against ids of those that it should have produced and that do not hold.
     * @param awaited ids of those that it may still produce.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record CauseForm(
            String cause,
            String says,
            String trouble,
            String asset,
            @Nullable String device,
            double probability,
            String likelihood,
            double prior,
            List<String> explains,
            List<String> against,
            List<String> awaited,
            List<SupportForm> support,
            boolean keepsAway,
            String call,
            @Nullable String within,
            List<String> spares,
            List<String> tools) {
        public CauseForm {
            explains = List.copyOf(explains);
            against = List.copyOf(against);
            awaited = List.copyOf(awaited);
            support = List.copyOf(support);
            spares = List.copyOf(spares);
            tools = List.copyOf(tools);
        }
    }

    /**
     * Soft evidence.
     *
     * @param looksFor what is looked for: {@code at most 100 rpm}.
     * @param seen absent where it cannot be told.
     * @param factor what it multiplied the odds of the cause by.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record SupportForm(
            String signal, String looksFor, @Nullable Boolean seen, double factor) {}

    /**
     * A sign.
     *
     * @param sign {@code device/indication}, or {@code alarm asset/rule}.
     * @param text the same in words.
     * @param since when it was first seen to hold.
     * @param uncertainty by how much earlier it may have begun, ISO 8601 duration: its polling period.
     * @param asLastTold cannot be told now and is taken as it was last told.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record SignForm(
            String sign,
            String text,
            String state,
            @Nullable String since,
            String uncertainty,
            boolean asLastTold) {}

    /**
     * Which sign came first.
     *
     * @param certain false where polling cannot tell.
     * @param orOneOf ids of signs that may have come before it.
     */
    public record FirstOutForm(
            String sign, String text, String at, String uncertainty, boolean certain, List<String> orOneOf) {
        public FirstOutForm {
            orOneOf = List.copyOf(orOneOf);
        }
    }

    /** A reading that a likely cause makes doubtful: an annotation, not its quality. */
    public record DoubtedForm(String reading, String label, boolean worthless, String cause) {}

    /**
     * The numbers: everything from which the posterior can be computed again.
     *
     * @param window time in which causes may have begun, ISO 8601 duration.
     * @param prior how a prior follows from a rate and the window.
     * @param model how the posterior follows from the numbers.
     * @param method {@code exact}, {@code conditioned} (exact as well) or {@code bounded}.
     * @param error greatest error of any posterior.
     * @param evidence weight of the signs that hold.
     */
    public record Reasoning(
            String window,
            String prior,
            String model,
            String method,
            double error,
            double evidence,
            List<CauseTermForm> causes,
            List<SignTermForm> signs) {
        public Reasoning {
            causes = List.copyOf(causes);
            signs = List.copyOf(signs);
        }
    }

    /**
     * @param support factor of soft evidence.
     * @param absent factor of the signs that it should have produced and did not.
     */
    public record CauseTermForm(
            String cause,
            double perYear,
            String origin,
            double prior,
            double support,
            double absent,
            double posterior,
            List<LinkForm> produces) {
        public CauseTermForm {
            produces = List.copyOf(produces);
        }
    }

    /**
     * @param within time by which it shows, ISO 8601 duration.
     * @param lasts how long it holds at most with the cause, ISO 8601 duration; absent where it holds as long as the
     *     cause is there.
     * @param counted false where its absence does not count, it cannot be told, or it has held for longer than it lasts.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record LinkForm(
            String sign,
            double probability,
            String within,
            @Nullable String lasts,
            String state,
            boolean counted) {}

    /**
     * A sign that holds.
     *
     * @param otherwise probability that it holds for a reason that no fault model lists.
     * @param unlisted posterior of that.
     */
    public record SignTermForm(String sign, double perYear, String origin, double otherwise, double unlisted) {}
}
