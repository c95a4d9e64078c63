package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import com.fasterxml.jackson.annotation.JsonUnwrapped;
import org.jspecify.annotations.Nullable;

/**
 * Something that happened to an alarm, explained: form {@code oilbird.alarm-event/1}.
 *
 * @param eventId the same for every repetition of the same fact; what a receiver removes duplicates by.
 * @param position place in the gateway's event record.
 * @param recorded false if it was announced from memory because the disk could not be written.
 * @param state state name by IEC 62682 after the event.
 * @param confirmed false while the alarm waits for a confirmation; absent where it asks for none.
 * @param shelved absent while it is not shelved.
 * @param reAlarms how often the present activation was annunciated anew.
 * @param test true for what a point test made up; the alarm itself has not changed.
 * @param at RFC 3339, UTC.
 * @param timeTrusted false while the gateway's clock was known to be unset or unsynchronised.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record AlarmEventForm(
        String form,
        String station,
        String eventId,
        long position,
        boolean recorded,
        String kind,
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
        @Nullable Shelved shelved,
        boolean suppressedByDesign,
        boolean outOfService,
        int reAlarms,
        String annunciate,
        String priority,
        String quality,
        boolean test,
        @Nullable ActorForm by,
        String text,
        String at,
        boolean timeTrusted,
        @JsonUnwrapped ExplanationForm explanation)
        implements EventForm {
    public static final String FORM = "oilbird.alarm-event/1";

    /**
     * @param kind {@code timed} or {@code one-shot}.
     * @param left ISO 8601 duration from the event on; absent without a limit.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record Shelved(String kind, @Nullable String left) {}

    @Override
    public String about() {
        return alarm;
    }
}
