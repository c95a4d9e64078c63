package oilbird.gateway.app.door;

import jakarta.ws.rs.Priorities;
import jakarta.ws.rs.container.ResourceInfo;
import jakarta.ws.rs.core.Response;
import java.lang.reflect.Method;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.AccessTable;
import oilbird.gateway.access.Caller;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.ProblemForm;
import oilbird.gateway.contract.Written;
import org.jboss.resteasy.reactive.server.ServerRequestFilter;
import org.jspecify.annotations.Nullable;

/** Asks the one table before each method of REST. A method that names no action is refused to everybody. */
public final class TableFilter {
    private final Access access;
    private final CurrentCaller current;

    public TableFilter(Gateway gateway, CurrentCaller current) {
        this.access = gateway.access();
        this.current = current;
    }

    @ServerRequestFilter(priority = Priorities.AUTHORIZATION)
    public @Nullable Response decide(ResourceInfo resource) {
        Method method = resource.getResourceMethod();
        if (method == null) {
            return null;
        }
        Needs needs = method.getAnnotation(Needs.class);
        Caller caller = current.get();
        AccessTable.Answer answer = access.table().answer(caller, needs == null ? null : needs.value());
        String what = needs == null ? "that" : "\"" + needs.value().written() + "\"";
        return switch (answer) {
            case ALLOWED -> null;
            case SIGN_IN_FIRST ->
                refused(
                        caller,
                        what,
                        401,
                        "sign-in-first",
                        "Sign in first",
                        "sign in at the gateway's page, or send a token");
            case SIGN_IN_AGAIN ->
                refused(
                        caller,
                        what,
                        401,
                        "sign-in-again",
                        "Sign in again",
                        "nobody did anything here for a while: sign in again; looking goes on");
            case FORBIDDEN ->
                refused(
                        caller,
                        what,
                        403,
                        "forbidden",
                        "Not allowed",
                        what + " is not among what " + Doorkeeper.said(caller) + " may do");
        };
    }

    private Response refused(Caller caller, String what, int status, String type, String title, String detail) {
        access.refused(caller, "asked for " + what);
        Response.ResponseBuilder answer = Response.status(status)
                .type(ProblemForm.MEDIA_TYPE)
                .header("Cache-Control", "no-store")
                .entity(Written.json(ProblemForm.plain(status, type, title, detail)));
        return status == 401 ? answer.header("WWW-Authenticate", "Bearer").build() : answer.build();
    }
}
