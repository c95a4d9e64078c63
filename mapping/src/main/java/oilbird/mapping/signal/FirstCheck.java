package oilbird.mapping.signal;

import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * One safe step that tells something about a fault.
 *
 * @param id unique within the file that declares it.
 * @param exposure 0 screen only, 1 look from outside, 2 open a cabinet, 3 touch or measure, 4 outage.
 * @param action what to look at or measure, in plain words.
 * @param accepted what is found when all is well; null where the outcomes say it all.
 * @param outcomes what each finding means.
 * @param cautions in the order of {@link Caution}; none of them for a higher exposure than this check's.
 * @param minutes roughly how long it takes; null when nobody said.
 * @param tools what to bring.
 */
public record FirstCheck(
        String id,
        int exposure,
        String action,
        @Nullable String accepted,
        List<Outcome> outcomes,
        List<Caution> cautions,
        @Nullable Integer minutes,
        List<String> tools) {
    public FirstCheck(
            String id,
            int exposure,
            String action,
            @Nullable String accepted,
            List<Outcome> outcomes,
            List<Caution> cautions,
            @Nullable Integer minutes) {
        this(id, exposure, action, accepted, outcomes, cautions, minutes, List.of());
    }

    public FirstCheck {
        if (exposure < 0 || exposure > 4) {
            throw new IllegalArgumentException("exposure is 0 to 4, not " + exposure);
        }
        outcomes = List.copyOf(outcomes);
        cautions = List.copyOf(cautions);
        tools = List.copyOf(tools);
    }

    /**
     * @param finding what was found.
     * @param meaning what follows from it.
     */
    public record Outcome(String finding, String meaning) {}
}
