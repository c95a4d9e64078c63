package oilbird.gateway.app.rest;

import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import java.io.IOException;
import java.time.Instant;
import java.util.Collection;
import java.util.List;
import java.util.Map;
import oilbird.gateway.access.Access;
import oilbird.gateway.access.Accounts;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.door.CurrentCaller;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.UsersForm;
import oilbird.gateway.contract.Written;
import org.jspecify.annotations.Nullable;

/** Who has an account here, and ending other people's sessions; accounts are made with commands on the machine. */
@Path("/api/v1/users")
@Produces(MediaType.APPLICATION_JSON)
public class UsersResource {
    private final Gateway gateway;
    private final Access access;
    private final Asking asking;
    private final CurrentCaller current;

    public UsersResource(Gateway gateway, Asking asking, CurrentCaller current) {
        this.gateway = gateway;
        this.access = gateway.access();
        this.asking = asking;
        this.current = current;
    }

    @GET
    @Needs(Action.MANAGE_USERS)
    public UsersForm users() {
        Accounts accounts = access.accounts();
        Map<String, Long> sessions = access.sessionCounts();
        return new UsersForm(
                UsersForm.FORM,
                gateway.forms().station().id(),
                accounts.users().values().stream()
                        .map(user -> new UsersForm.UserForm(
                                user.name(), user.role(), time(user.since()), sessions.getOrDefault(user.name(), 0L)))
                        .toList(),
                accounts.tokens().values().stream()
                        .map(token -> new UsersForm.TokenForm(
                                token.name(), written(token.scope()), time(token.since()), time(token.expires())))
                        .toList(),
                access.rules().roles().actions().entrySet().stream()
                        .map(role -> new UsersForm.RoleForm(role.getKey(), written(role.getValue())))
                        .toList(),
                breakGlass(accounts.breakGlass()));
    }

    /** Ends all sessions of a user. */
    @POST
    @Path("{user}/sign-out")
    @Needs(Action.MANAGE_USERS)
    public void signOut(@PathParam("user") String user) throws IOException {
        Accounts.Outcome outcome = access.signOutEverywhere(
                user, new Accounts.Hand(asking.by(null), current.get().address(), Instant.now()));
        if (outcome instanceof Accounts.Outcome.Refused refused) {
            throw Problems.missing(refused.why());
        }
    }

    private static List<String> written(Collection<Action> actions) {
        return actions.stream().map(Action::written).toList();
    }

    private static String time(Instant at) {
        return Written.time(at.toEpochMilli());
    }

    private static UsersForm.BreakGlassForm breakGlass(Accounts.@Nullable BreakGlass of) {
        if (of == null) {
            return new UsersForm.BreakGlassForm("none", null);
        }
        Instant spent = of.spent();
        return spent == null
                ? new UsersForm.BreakGlassForm("ready", time(of.made()))
                : new UsersForm.BreakGlassForm("spent", time(spent));
    }
}
