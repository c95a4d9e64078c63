package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * How the links to other systems stand: form {@code oilbird.links/1}.
 *
 * @param asOf RFC 3339, UTC.
 */
public record LinksForm(String form, StationForm station, String asOf, List<LinkForm> links) {
    public static final String FORM = "oilbird.links/1";

    public LinksForm {
        links = List.copyOf(links);
    }

    /**
     * One link.
     *
     * @param kind {@code mqtt}, {@code webhook} or the like, as the station file has it.
     * @param condition {@code up}, {@code connecting}, {@code down} or {@code stopped}.
     * @param confirmedEvent the event that was confirmed last; absent before the first since the start.
     * @param confirmedAt when that was, RFC 3339, UTC.
     * @param waiting events that the other side has not yet confirmed.
     * @param waitingSince when the oldest of them happened; absent where none waits.
     * @param skipped events that the other side will never take, since the start.
     * @param lastError the last failure in words; absent while there was none since the start.
     * @param tries failures in a row.
     * @param nextTry absent unless it waits to try again.
     * @param bytesToday sent in the present day.
     * @param bytesADay the budget; absent where there is none.
     * @param readingsHeld readings are held back until the day is over.
     */
    @JsonInclude(JsonInclude.Include.NON_NULL)
    public record LinkForm(
            String link,
            String name,
            String kind,
            String condition,
            @Nullable String confirmedEvent,
            @Nullable String confirmedAt,
            long waiting,
            @Nullable String waitingSince,
            long skipped,
            @Nullable String lastError,
            int tries,
            @Nullable String nextTry,
            long bytesToday,
            @Nullable Long bytesADay,
            boolean readingsHeld) {}
}
