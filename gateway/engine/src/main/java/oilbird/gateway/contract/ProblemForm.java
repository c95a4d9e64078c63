package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import org.jspecify.annotations.Nullable;

/**
 * Why a request was not done: problem details by RFC 9457, media type {@code application/problem+json}.
 *
 * @param type a URI reference that names the kind of problem.
 * @param field the key or parameter of the request that is at fault; absent where none is.
 * @param refusal the OPC UA status symbol of a refused act; absent otherwise.
 */
@JsonInclude(JsonInclude.Include.NON_NULL)
public record ProblemForm(
        String type,
        String title,
        int status,
        String detail,
        @Nullable String instance,
        @Nullable String field,
        @Nullable String refusal) {
    public static final String MEDIA_TYPE = "application/problem+json";
}
