package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import org.jspecify.annotations.Nullable;

/**
 * What a diagnosis says of an alarm.
 *
 * @param diagnosis its id.
 * @param cause id of the likeliest cause that produces the alarm; absent where no listed one is likely to have.
 * @param probability 0 to 1, rounded; absent likewise.
 * @param text the whole as a sentence.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record LikelyCauseForm(
        String diagnosis,
        @Nullable String cause,
        @Nullable String says,
        @Nullable Double probability,
        String text) {}
