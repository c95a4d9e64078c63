package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import java.util.List;
import org.jspecify.annotations.Nullable;

/**
 * Who asks, and what that one may do: form {@code oilbird.session/1}.
 *
 * @param kind {@code nobody}, {@code person} or {@code program}.
 * @param name of the user or token; absent for nobody.
 * @param role of a person; absent otherwise.
 * @param may actions that the table gives, as written in role maps.
 * @param locked nothing was done for so long that only looking is left.
 * @param setUp true while there is no user yet, and the set-up code is awaited.
 * @param notice the owner's words for everybody who comes; empty for none.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record SessionForm(
        String form,
        String station,
        String kind,
        @Nullable String name,
        @Nullable String role,
        List<String> may,
        boolean locked,
        boolean setUp,
        String notice) {
    public static final String FORM = "oilbird.session/1";

    public SessionForm {
        may = List.copyOf(may);
    }
}
