package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DELETE;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.NewCookie;
import jakarta.ws.rs.core.Response;
import java.util.List;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.AccessTable;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Caller;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.door.CurrentCaller;
import oilbird.gateway.app.door.Doorkeeper;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.PasswordForm;
import oilbird.gateway.contract.SessionForm;
import oilbird.gateway.contract.SetUpForm;
import oilbird.gateway.contract.SignInForm;
import org.eclipse.microprofile.openapi.annotations.media.Content;
import org.eclipse.microprofile.openapi.annotations.media.Schema;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponse;
import org.jspecify.annotations.Nullable;

/** Signing in and out; the id of a session goes to the browser as a cookie that no script can read. */
@Path("/api/v1")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
public class SessionResource {
    private final Gateway gateway;
    private final Access access;
    private final CurrentCaller current;

    public SessionResource(Gateway gateway, CurrentCaller current) {
        this.gateway = gateway;
        this.access = gateway.access();
        this.current = current;
    }

    /** Who asks, and what that one may do. */
    @GET
    @Path("session")
    @Needs(Action.SIGN_IN)
    public SessionForm session() {
        return form(current.get());
    }

    /** Signs a person in. Answers 401 without a hint at what is wrong, and 429 after too many wrong attempts. */
    @POST
    @Path("session")
    @Needs(Action.SIGN_IN)
    @APIResponse(responseCode = "200", content = @Content(schema = @Schema(implementation = SessionForm.class)))
    public Response signIn(@Nullable SignInForm form) {
        String name = given("name", form == null ? null : form.name());
        String password = given("password", form == null ? null : form.password());
        return answer(access.signIn(name, password, current.get().address(), current.door()));
    }

    @DELETE
    @Path("session")
    @Needs(Action.SIGN_IN)
    @APIResponse(responseCode = "204", description = "Signed out.")
    public Response signOut() {
        String session = current.session();
        if (session != null) {
            access.signOut(session, current.door());
        }
        return Response.noContent().cookie(cookie("", 0)).build();
    }

    /** Says that the person is still there, so that the session does not become idle. */
    @POST
    @Path("session/active")
    @Consumes(MediaType.WILDCARD)
    @Needs(Action.VIEW)
    public void active() {
        // The doorkeeper counts every request that may change something, and this one does nothing else.
    }

    /** Changes the own password; all sessions of the person end, and a new one begins. */
    @POST
    @Path("session/password")
    @Needs(Action.OWN_PASSWORD)
    @APIResponse(responseCode = "200", content = @Content(schema = @Schema(implementation = SessionForm.class)))
    public Response password(@Nullable PasswordForm form) {
        String old = given("old", form == null ? null : form.old());
        String next = given("next", form == null ? null : form.next());
        if (!(current.get() instanceof Caller.Person person)) {
            throw new IllegalStateException("the table lets only a person do this");
        }
        return answer(access.changePassword(person, old, next, current.door()));
    }

    /** Makes the first user with the code that the gateway printed at its start. */
    @POST
    @Path("set-up")
    @Needs(Action.SIGN_IN)
    @APIResponse(responseCode = "200", content = @Content(schema = @Schema(implementation = SessionForm.class)))
    public Response setUp(@Nullable SetUpForm form) {
        String code = given("code", form == null ? null : form.code());
        String name = given("name", form == null ? null : form.name());
        String password = given("password", form == null ? null : form.password());
        return answer(access.setUp(code, name, password, current.get().address(), current.door()));
    }

    private static String given(String field, @Nullable String value) {
        if (value == null || value.isEmpty() || value.length() > 1_000) {
            throw Problems.wrong(field, "`" + field + "` is needed");
        }
        return value;
    }

    private Response answer(Access.Outcome outcome) {
        if (outcome instanceof Access.Outcome.Later later) {
            long seconds = Math.max(1, later.after().toSeconds() + 1);
            throw Problems.later(seconds);
        }
        if (outcome instanceof Access.Outcome.NotTaken not) {
            throw Problems.wrong(null, not.why());
        }
        if (outcome instanceof Access.Outcome.Granted granted) {
            Caller now = access.caller(current.get().address(), granted.session(), null);
            return Response.ok(form(now))
                    .cookie(cookie(granted.session(), NewCookie.DEFAULT_MAX_AGE))
                    .header(HttpHeaders.CACHE_CONTROL, "no-store")
                    .build();
        }
        throw Problems.notSignedIn();
    }

    private NewCookie cookie(String value, int maxAge) {
        return new NewCookie.Builder(Doorkeeper.cookieName(current.asked()))
                .value(value)
                .path("/")
                .httpOnly(true)
                .secure(current.asked().request().isSSL())
                .sameSite(NewCookie.SameSite.STRICT)
                .maxAge(maxAge)
                .build();
    }

    private SessionForm form(Caller caller) {
        List<String> may = Action.grantable().stream()
                .filter(action -> access.table().answer(caller, action) == AccessTable.Answer.ALLOWED)
                .map(Action::written)
                .toList();
        Caller.Person person = caller instanceof Caller.Person p ? p : null;
        Caller.Program program = caller instanceof Caller.Program p ? p : null;
        return new SessionForm(
                SessionForm.FORM,
                gateway.forms().station().name(),
                person != null ? "person" : program != null ? "program" : "nobody",
                person != null ? person.name() : program != null ? program.name() : null,
                person == null ? null : person.role(),
                may,
                person != null && person.locked(),
                access.awaitsSetUp(),
                access.rules().notice());
    }
}
