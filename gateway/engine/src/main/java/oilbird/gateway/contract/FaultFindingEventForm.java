package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Something happened in a guided fault-finding: form {@code oilbird.fault-finding-event/1}.
 *
 * @param session id of the event with which it began.
 * @param version of the session after it; 0 for the beginning.
 * @param kind {@code begun}, {@code answered}, {@code measured}, {@code repaired}, {@code watched} and the like.
 * @param key of the input.
 * @param doneAt when it was done, where that was before it reached the gateway: from a queue or a printed sheet.
 * @param asked what was asked for, or the cause, in the words of the library then; absent where neither is.
 * @param found the outcome in words.
 * @param means what it means.
 * @param words what the person said: a note, whom, where, why.
 * @param follows what followed from it.
 * @param devices what the gateway had of the devices; absent where nothing was recorded.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record FaultFindingEventForm(
        String form,
        String station,
        String eventId,
        long position,
        boolean recorded,
        String session,
        long version,
        String kind,
        ActorForm by,
        String key,
        @Nullable String doneAt,
        @Nullable String check,
        @Nullable String cause,
        @Nullable String asked,
        @Nullable String found,
        @Nullable String means,
        @Nullable MeasuredForm measured,
        @Nullable String words,
        List<FollowsForm> follows,
        @Nullable List<DeviceSeenForm> devices,
        String text,
        String at,
        boolean timeTrusted)
        implements EventForm {
    public static final String FORM = "oilbird.fault-finding-event/1";

    /** A measured value as written and as judged; the judgement is absent where it was refused. */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record MeasuredForm(
            String written,
            @Nullable Double value,
            @Nullable String unit,
            @Nullable String verdict,
            @Nullable String accepted,
            boolean testerProvedBefore,
            boolean testerProvedAfter) {}

    /** What followed: {@code cause-found}, {@code watch-begun}, {@code repair-in-vain}, {@code proved-gone} and the like. */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record FollowsForm(String what, @Nullable String cause, String text) {}

    /**
     * What the gateway had of a device.
     *
     * @param answers to its requests, as they came.
     */
    public record DeviceSeenForm(
            String device,
            boolean silent,
            List<AnswerForm> answers,
            List<WordForm> words,
            List<String> holding,
            List<ValueForm> readings) {
        public DeviceSeenForm {
            answers = List.copyOf(answers);
            words = List.copyOf(words);
            holding = List.copyOf(holding);
            readings = List.copyOf(readings);
        }
    }

    /** The last answer to a request. */
    public record AnswerForm(String block, String raw, String at) {}

    /** A status word; {@code bits} is hexadecimal. */
    public record WordForm(String word, String bits, int width, String at) {}

    /** A reading. */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record ValueForm(
            String point, @Nullable Double value, @Nullable String text, String quality, String reason, String at) {}

    public FaultFindingEventForm {
        follows = List.copyOf(follows);
    }

    @Override
    public String about() {
        return session;
    }
}
