package oilbird.gateway.app.rest;

import jakarta.ws.rs.NotFoundException;
import jakarta.ws.rs.WebApplicationException;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.Response;
import jakarta.ws.rs.core.UriInfo;
import java.util.List;
import oilbird.alarm.check.GuidedStep;
import oilbird.alarm.state.Refusal;
import oilbird.gateway.contract.ProblemForm;
import oilbird.gateway.contract.Written;
import org.jboss.logging.Logger;
import org.jboss.resteasy.reactive.server.ServerExceptionMapper;
import org.jspecify.annotations.Nullable;

/** Says why a request was not done, as problem details by RFC 9457. */
public final class Problems {
    private static final Logger LOG = Logger.getLogger(Problems.class);

    private final AllowedMethods allowed;

    public Problems(AllowedMethods allowed) {
        this.allowed = allowed;
    }

    /** A request that cannot be done, with the answer that says so. */
    static final class ProblemException extends RuntimeException {
        private static final long serialVersionUID = 1L;

        private final transient ProblemForm problem;

        ProblemException(ProblemForm problem) {
            super(problem.detail());
            this.problem = problem;
        }
    }

    static ProblemException missing(String what) {
        return problem(404, "not-found", "Not found", what, null, null);
    }

    /**
     * @param field the key or parameter at fault; null where the whole is.
     */
    static ProblemException wrong(@Nullable String field, String what) {
        return problem(400, "wrong-request", "The request is wrong", what, field, null);
    }

    static ProblemException changed(String what) {
        return problem(412, "changed", "Changed meanwhile", what, null, null);
    }

    /** What the station does not know is missing; anything else stands in the way. */
    static ProblemException refused(Refusal refusal) {
        if (refusal.isOfUnknownName()) {
            return problem(404, "not-found", "Not found", refusal.message(), null, refusal.opcUaStatus());
        }
        return problem(409, "refused", "Refused", refusal.message(), null, refusal.opcUaStatus());
    }

    static ProblemException refused(GuidedStep.Refused refused) {
        int status = switch (refused.reason()) {
            case UNKNOWN_SESSION, UNKNOWN_DIAGNOSIS -> 404;
            case UNCLEAR_VALUE -> 400;
            default -> 409;
        };
        return new ProblemException(new ProblemForm(
                ProblemForm.type("step-refused"),
                "Not taken; nothing changed",
                status,
                refused.why(),
                null,
                refused.reason() == GuidedStep.Reason.UNCLEAR_VALUE ? "written" : null,
                null,
                Written.name(refused.reason()),
                refused.remedy()));
    }

    static ProblemException refusedRules(List<String> why) {
        return problem(409, "refused", "Refused; the old rules go on", String.join("\n", why), null, null);
    }

    static ProblemException unavailable(String why) {
        return problem(503, "not-taken", "Not done", why, null, null);
    }

    /** Says nothing of what is wrong: neither whether there is such a name. */
    static ProblemException notSignedIn() {
        return problem(401, "not-signed-in", "Not signed in", "name and password or code do not fit", null, null);
    }

    static ProblemException later(long seconds) {
        return problem(429, "later", "Too many attempts", "wait " + seconds + " s, then try again", null, null);
    }

    private static ProblemException problem(
            int status, String type, String title, String detail, @Nullable String field, @Nullable String refusal) {
        return new ProblemException(
                new ProblemForm(ProblemForm.type(type), title, status, detail, null, field, refusal));
    }

    @ServerExceptionMapper
    Response problem(ProblemException e) {
        return e.problem.status() == 401
                ? Response.fromResponse(answer(e.problem))
                        .header(HttpHeaders.WWW_AUTHENTICATE, "Bearer")
                        .build()
                : answer(e.problem);
    }

    @ServerExceptionMapper
    Response notFound(NotFoundException e) {
        return answer(missing("there is nothing under this address").problem);
    }

    /** What the server itself refuses: another method, media type, or a parameter that is no number. */
    @ServerExceptionMapper
    Response refusedByServer(WebApplicationException e, UriInfo uri) {
        int status = e.getResponse().getStatus();
        if (status < 400) {
            return e.getResponse();
        }
        String methods = status == 405 ? allowed.of(uri.getPath()) : "";
        String says = switch (status) {
            case 405 -> "this address takes " + methods;
            case 406 -> "this address answers in JSON";
            case 415 -> "this address takes JSON: say Content-Type: application/json";
            default -> String.valueOf(e.getMessage());
        };
        Response answer = answer(new ProblemForm(
                "about:blank", e.getResponse().getStatusInfo().getReasonPhrase(), status, says, null, null, null));
        return methods.isEmpty()
                ? answer
                : Response.fromResponse(answer)
                        .header(HttpHeaders.ALLOW, methods)
                        .build();
    }

    @ServerExceptionMapper
    Response fault(RuntimeException e) {
        LOG.errorf(e, "GW-1101 a request met a fault of the gateway");
        return answer(new ProblemForm(
                "about:blank",
                "Internal fault",
                500,
                "the gateway met a fault of its own; its log has more",
                null,
                null,
                null));
    }

    private static Response answer(ProblemForm problem) {
        return Response.status(problem.status())
                .type(ProblemForm.MEDIA_TYPE)
                .entity(Written.json(problem))
                .build();
    }
}
