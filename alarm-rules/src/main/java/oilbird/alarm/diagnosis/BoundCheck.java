package oilbird.alarm.diagnosis;

import java.util.ArrayList;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import oilbird.mapping.signal.FirstCheck;
import org.jspecify.annotations.Nullable;

/**
 * A first check on one device, with what its outcomes say about the causes of the station.
 *
 * @param id {@code gas-t1.look-at-cabinet-fan}.
 * @param device id of the device.
 * @param asset id of the asset near which it is done.
 * @param given how probable each outcome is, in their order, by id of the cause; causes that are not named here are
 *     taken as {@code otherwise}.
 * @param otherwise how probable each outcome is with anything else.
 * @param proves for each outcome the id of the cause that it proves, or an empty text.
 * @param repairs ids of the causes that it puts right.
 */
public record BoundCheck(
        String id,
        FirstCheck check,
        String device,
        String asset,
        Map<String, List<Double>> given,
        List<Double> otherwise,
        List<String> proves,
        List<String> repairs) {
    /** One answer in fifty is taken to be mistaken, so that none makes a cause impossible: our own estimate. */
    public static final double MISTAKEN = 0.02;

    public BoundCheck {
        given = Collections.unmodifiableMap(new LinkedHashMap<>(given));
        otherwise = List.copyOf(otherwise);
        proves = List.copyOf(proves);
        repairs = List.copyOf(repairs);
    }

    /**
     * How probable an outcome is with a cause, mistaken answers included.
     *
     * @param outcome index of the outcome.
     * @param cause id of the cause; null for a reason that nobody has listed.
     */
    public double probability(int outcome, @Nullable String cause) {
        List<Double> of = cause == null ? otherwise : given.getOrDefault(cause, otherwise);
        return of.get(outcome) * (1 - MISTAKEN) + MISTAKEN / of.size();
    }

    /** True where it says something about this cause that it does not say about everything. */
    public boolean tellsOf(String cause) {
        return given.containsKey(cause) || proves.contains(cause);
    }

    /** The outcome with this number is proof of a cause; its id, or null. */
    public @Nullable String provedBy(int outcome) {
        String cause = proves.get(outcome);
        return cause.isEmpty() ? null : cause;
    }

    /** How probable each outcome of a check is with a cause as written. */
    static List<Double> distribution(FirstCheck check, String cause) {
        List<Double> probabilities = new ArrayList<>();
        for (int outcome = 0; outcome < check.outcomes().size(); outcome++) {
            probabilities.add(check.given(outcome, cause));
        }
        return probabilities;
    }
}
