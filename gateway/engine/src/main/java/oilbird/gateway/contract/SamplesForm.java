package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * The laboratory samples of an asset, the oldest first, and how the monitor compares with the newest: form
 * {@code oilbird.samples/1}.
 *
 * @param notCompared why the newest cannot be compared; null where it was, or where there is none.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record SamplesForm(
        String form,
        String asset,
        List<LaboratoryForm> samples,
        List<DifferenceForm> comparison,
        @Nullable String notCompared) {
    public static final String FORM = "oilbird.samples/1";

    /**
     * @param gases ppm by name of the gas, as {@code 12.5}, {@code <1} or {@code >2000}.
     */
    public record LaboratoryForm(
            String laboratory,
            String sampledAt,
            String reference,
            Map<String, String> gases,
            ActorForm by,
            String enteredAt) {}

    /**
     * @param explained how much of a difference the errors of both explain, in ppm.
     */
    public record DifferenceForm(
            String gas, double laboratory, double monitor, double explained, boolean disagrees, String monitorAt) {}

    public SamplesForm {
        samples = List.copyOf(samples);
        comparison = List.copyOf(comparison);
    }
}
