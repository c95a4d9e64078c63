package oilbird.gateway.contract;

import com.fasterxml.jackson.annotation.JsonInclude;
import org.jspecify.annotations.Nullable;

/**
 * Why a request was not done: problem details by RFC 9457, media type {@code application/problem+json}.
 *
 * @param type a URI reference that names the kind of problem.
 * @param field the key or parameter of the request that is at fault; absent where none is.
 * @param reason why a guided fault-finding did not take an input, as a name; absent otherwise.
 * @param remedy what to do about it; absent where {@code detail} says it.
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
        @Nullable String refusal,
        @Nullable String reason,
        @Nullable String remedy) {
    /** A problem that is not about a guided fault-finding. */
    public ProblemForm(
            String type,
            String title,
            int status,
            String detail,
            @Nullable String instance,
            @Nullable String field,
            @Nullable String refusal) {
        this(type, title, status, detail, instance, field, refusal, null, null);
    }

    public static final String MEDIA_TYPE = "application/problem+json";

    /** What a name of ours becomes as a type. */
    public static String type(String name) {
        return "urn:oilbird:problem:" + name;
    }

    /**
     * A problem of which there is no more to say.
     *
     * @param name of the kind of problem, of which {@link #type} is made.
     */
    public static ProblemForm plain(int status, String name, String title, String detail) {
        return new ProblemForm(type(name), title, status, detail, null, null, null);
    }
}
