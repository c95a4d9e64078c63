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
 * @param where where to look or to put the meter; absent where the action says it.
 * @param accept the accepted range or finding; empty when there is none.
 * @param authorisation what the owner asks for before it may be done; absent for nothing.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record CheckForm(
        String id,
        @JsonProperty("do") String action,
        int exposure,
        String exposureText,
        List<Caution> cautions,
        @Nullable String where,
        String accept,
        List<Outcome> outcomes,
        @Nullable Integer minutes,
        List<String> tools,
        @Nullable String authorisation) {
    public record Caution(String id, String text) {}

    public record Outcome(String found, String means) {}

    public CheckForm {
        cautions = List.copyOf(cautions);
        outcomes = List.copyOf(outcomes);
        tools = List.copyOf(tools);
    }
}
