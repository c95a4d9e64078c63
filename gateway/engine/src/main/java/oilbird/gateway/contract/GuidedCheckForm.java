package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import com.fasterxml.jackson.annotation.JsonProperty;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * A first check of one device as a guided fault-finding proposes it.
 *
 * @param check id of the check on its device.
 * @param action what to do, in the imperative; the key is {@code do}.
 * @param act {@code look}, {@code measure}, {@code replace} and the like.
 * @param where where to look or to put the meter; absent where the action says it.
 * @param confirm what has still to be confirmed before.
 * @param authorisation what the owner asks for; absent for nothing.
 * @param authorisationMissing true while nobody has recorded it.
 * @param repairs ids of the causes that it puts right; it is reported as a repair where it has no outcome that tells.
 * @param bits what it is expected to tell.
 * @param measure what is measured; absent where nothing is.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record GuidedCheckForm(
        String check,
        String device,
        String deviceName,
        String asset,
        String assetName,
        @JsonProperty("do") String action,
        String act,
        @Nullable String where,
        int exposure,
        String exposureText,
        List<CheckForm.Caution> cautions,
        @Nullable Integer minutes,
        List<String> tools,
        String accept,
        List<Confirm> confirm,
        @Nullable String authorisation,
        boolean authorisationMissing,
        List<String> repairs,
        boolean tells,
        double bits,
        @Nullable Measure measure,
        List<Outcome> outcomes) {
    /** What is measured; {@code accepted} is absent where the range cannot be told, and {@code unknown} says why. */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record Measure(
            String quantity,
            String unit,
            @Nullable String accepted,
            @Nullable String unknown,
            @Nullable String load,
            boolean energised) {}

    /** What has to be so before. */
    public record Confirm(String preparation, String text) {}

    /** What may be found; {@code outcome} is its number. */
    public record Outcome(int outcome, String found, String means) {}

    public GuidedCheckForm {
        cautions = List.copyOf(cautions);
        tools = List.copyOf(tools);
        confirm = List.copyOf(confirm);
        repairs = List.copyOf(repairs);
        outcomes = List.copyOf(outcomes);
    }
}
