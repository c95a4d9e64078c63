package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import com.fasterxml.jackson.annotation.JsonProperty;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * What an alarm means for people; its keys stand directly in the form that has it.
 *
 * @param trouble {@code transformer}, {@code monitor}, {@code communication} or {@code gateway}.
 * @param within time to respond as an ISO 8601 duration; absent where the rule states none.
 * @param withdrawnChecks how many first checks are left out because people are to keep away.
 * @param keepAway from what people are to keep away; empty for nothing.
 * @param likelyCause what the diagnosis says that the alarm belongs to; absent where there is none.
 * @param causes as the rule states them, likeliest first.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record ExplanationForm(
        @JsonProperty("class") String alarmClass,
        String headline,
        String sentence,
        String trouble,
        String troubleText,
        String trust,
        boolean readingsTrusted,
        List<DoubtForm> doubtfulReadings,
        String call,
        @Nullable String within,
        String response,
        List<CheckForm> firstChecks,
        int withdrawnChecks,
        List<KeepAwayForm> keepAway,
        @Nullable LikelyCauseForm likelyCause,
        List<String> causes,
        String consequence,
        boolean alsoHardwired,
        String standingNote) {
    public ExplanationForm {
        doubtfulReadings = List.copyOf(doubtfulReadings);
        firstChecks = List.copyOf(firstChecks);
        keepAway = List.copyOf(keepAway);
        causes = List.copyOf(causes);
    }
}
