package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * People are to keep away from an asset, there is another reason, or it was released: form
 * {@code oilbird.keep-away-event/1}.
 *
 * @param kind {@code raised}, {@code another-reason} or {@code released}.
 * @param reasons as recorded: an indication, an alarm or a cause.
 * @param by who released it.
 * @param text the sentence for people.
 * @param comment what the person who released it said; absent otherwise.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record KeepAwayEventForm(
        String form,
        String station,
        String eventId,
        long position,
        boolean recorded,
        String kind,
        String asset,
        String assetName,
        List<String> reasons,
        @Nullable ActorForm by,
        String text,
        @Nullable String comment,
        String at,
        boolean timeTrusted)
        implements EventForm {
    public static final String FORM = "oilbird.keep-away-event/1";

    public KeepAwayEventForm {
        reasons = List.copyOf(reasons);
    }

    @Override
    public String about() {
        return asset;
    }
}
