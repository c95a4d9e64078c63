package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import com.fasterxml.jackson.annotation.JsonUnwrapped;
import org.jspecify.annotations.Nullable;

/**
 * How one alarm stands now, explained: form {@code oilbird.alarm-state/1}.
 *
 * @param lastEvent id of the newest event of this alarm; what an acknowledgement refers to. Empty before the
 *     first.
 * @param since when the present or last activation began; absent before the first.
 * @param actBy when the time to respond is over; absent when the alarm is not active or states no time.
 * @param confirmed false while the alarm waits for a confirmation that what it called for has been done; absent where
 *     it asks for none.
 * @param suppression by what it is suppressed, or would be had nobody lifted it; absent for nothing.
 * @param quality at best {@code uncertain} in maintenance.
 * @param maintenance present while something that the alarm is about is in maintenance.
 * @param test present while a point test forces the alarm. What a link sends then has the forced state; what is
 *     asked of the gateway itself has the true one.
 * @param underDiagnosis id of the open diagnosis under which a list may show it; absent for an alarm that stands for
 *     itself, as those of the safety and equipment-protection classes always do.
 * @param value present value of a level alarm, in {@code unit}.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record AlarmStateForm(
        String form,
        String station,
        String alarm,
        String asset,
        String assetName,
        String rule,
        @Nullable String device,
        long occurrence,
        String state,
        boolean active,
        boolean acknowledged,
        @Nullable Boolean confirmed,
        boolean latched,
        boolean annunciated,
        String priority,
        String quality,
        boolean chattering,
        String lastEvent,
        @Nullable String since,
        boolean timeTrusted,
        @Nullable String actBy,
        String evidence,
        @Nullable Double value,
        @Nullable Double limit,
        @Nullable String unit,
        @Nullable Shelved shelved,
        boolean suppressedByDesign,
        @Nullable SuppressionForm suppression,
        @Nullable OutOfServiceForm outOfService,
        @Nullable MaintenanceForm maintenance,
        @Nullable TestForm test,
        @Nullable String underDiagnosis,
        String asOf,
        @JsonUnwrapped ExplanationForm explanation) {
    public static final String FORM = "oilbird.alarm-state/1";

    /**
     * @param kind {@code timed} or {@code one-shot}.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record Shelved(
            String kind, @Nullable String until, @Nullable ActorForm by, String reason) {}

    /**
     * @param byLogic the rule's own logic asks for it.
     * @param lifted somebody has lifted what the logic asks for, until it changes its answer.
     * @param by who suppressed it from outside; absent for nobody.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record SuppressionForm(
            boolean byLogic, boolean lifted, @Nullable ActorForm by, String reason) {}

    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record OutOfServiceForm(
            ActorForm by,
            String reason,
            String permit,
            @Nullable String until) {}
}
