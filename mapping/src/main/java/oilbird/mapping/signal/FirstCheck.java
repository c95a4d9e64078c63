package oilbird.mapping.signal;

import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * One step that tells something about a fault, or that changes something and is then proved.
 *
 * <p>There is one kind of check in the whole product; a device map, a rule file and a fault model write it alike. What a
 * simple check leaves out is empty or null here. The owner's rules, permits and law prevail over every check.
 *
 * @param id unique within the file that declares it.
 * @param exposure 0 screen only, 1 look from outside, 2 open a cabinet, 3 touch or measure, 4 outage.
 * @param action what to look at or measure, in plain words.
 * @param accepted what is found when all is well; null where the outcomes say it all.
 * @param outcomes what each finding means.
 * @param cautions in the order of {@link Caution}; none of them for a higher exposure than this check's.
 * @param minutes roughly how long it takes; null when nobody said.
 * @param tools what to bring.
 * @param authorisation what the owner asks for before it may be done, in the owner's words; null where none was written.
 * @param where where to look or to put the meter, in words; null where the action says it.
 * @param work what is touched, and what has to be confirmed before.
 * @param measurement what is measured; null where nothing is.
 * @param after ids of checks that have to be answered before this one is proposed.
 */
public record FirstCheck(
        String id,
        int exposure,
        String action,
        @Nullable String accepted,
        List<Outcome> outcomes,
        List<Caution> cautions,
        @Nullable Integer minutes,
        List<String> tools,
        @Nullable String authorisation,
        @Nullable String where,
        Work work,
        @Nullable Measurement measurement,
        List<String> after) {
    /** A check that only looks. */
    public FirstCheck(
            String id,
            int exposure,
            String action,
            @Nullable String accepted,
            List<Outcome> outcomes,
            List<Caution> cautions,
            @Nullable Integer minutes) {
        this(
                id,
                exposure,
                action,
                accepted,
                outcomes,
                cautions,
                minutes,
                List.of(),
                null,
                null,
                Work.LOOKING,
                null,
                List.of());
    }

    public FirstCheck {
        if (exposure < 0 || exposure > 4) {
            throw new IllegalArgumentException("exposure is 0 to 4, not " + exposure);
        }
        outcomes = List.copyOf(outcomes);
        cautions = List.copyOf(cautions);
        tools = List.copyOf(tools);
        after = List.copyOf(after);
    }

    /** True where it says something about causes, so that it can be chosen by what it tells. */
    public boolean tells() {
        return outcomes.stream().anyMatch(o -> !o.given().isEmpty() || o.proves() != null);
    }

    /**
     * How probable an outcome is with a cause, from 0 to 1: as written; an outcome that does not name the cause has an
     * equal share of what the others leave, so that all outcomes come to 1.
     *
     * @param outcome index in {@link #outcomes}.
     * @param cause as written; one that no outcome names is taken as {@link Outcome#OTHERWISE}.
     */
    public double given(int outcome, String cause) {
        String key = outcomes.stream().anyMatch(o -> o.given().containsKey(cause)) ? cause : Outcome.OTHERWISE;
        Double written = outcomes.get(outcome).given().get(key);
        if (written != null) {
            return written;
        }
        double stated = 0;
        int silent = 0;
        for (Outcome each : outcomes) {
            Double of = each.given().get(key);
            stated += of == null ? 0 : of;
            silent += of == null ? 1 : 0;
        }
        return Math.max(0, 1 - stated) / silent;
    }

    /**
     * What may be found.
     *
     * @param finding what was found.
     * @param meaning what follows from it.
     * @param when the verdicts on a measured value that are this outcome; empty where a person decides.
     * @param given how probable this outcome is with each cause, 0 to 1, by the cause as written; {@code otherwise} for
     *     every cause that the check does not name.
     * @param next id of the check that comes next after it, whatever else would tell more; null where none is fixed.
     * @param proves the cause that it proves, as written; null for none.
     * @param handOver whom the fault goes to after this outcome, in words; null where the search goes on.
     */
    public record Outcome(
            String finding,
            String meaning,
            List<Verdict> when,
            Map<String, Double> given,
            @Nullable String next,
            @Nullable String proves,
            @Nullable String handOver) {
        /** The key under {@link #given} for all causes that the check does not name. */
        public static final String OTHERWISE = "otherwise";

        /** An outcome that says nothing but its meaning. */
        public Outcome(String finding, String meaning) {
            this(finding, meaning, List.of(), Map.of(), null, null, null);
        }

        public Outcome {
            when = List.copyOf(when);
            given = Collections.unmodifiableMap(new LinkedHashMap<>(given));
        }
    }
}
