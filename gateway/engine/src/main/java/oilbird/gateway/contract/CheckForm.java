package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import com.fasterxml.jackson.annotation.JsonProperty;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * One first check with its cautions in words.
 *
 * @param action what to do, in the imperative; the key is {@code do}.
 * @param exposure 0 screen only to 4 outage.
 * @param accept the accepted range or finding; empty when there is none.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record CheckForm(
        String id,
        @JsonProperty("do") String action,
        int exposure,
        String exposureText,
        List<Caution> cautions,
        String accept,
        List<Outcome> outcomes,
        @Nullable Integer minutes,
        List<String> tools) {
    public record Caution(String id, String text) {}

    public record Outcome(String found, String means) {}

    public CheckForm {
        cautions = List.copyOf(cautions);
        outcomes = List.copyOf(outcomes);
        tools = List.copyOf(tools);
    }
}
