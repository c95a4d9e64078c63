package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.QueryParam;
import jakarta.ws.rs.core.MediaType;
import java.io.IOException;
import java.util.List;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationModel;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.app.wiring.RulesDesk;
import oilbird.gateway.contract.ActForm;
import oilbird.gateway.contract.RulesForm;
import org.jspecify.annotations.Nullable;

/** The alarm rules in force: look, load from the station folder, go back. */
@Path("/api/v1/rules")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
public class RulesResource {
    private final Gateway gateway;
    private final Asking asking;

    public RulesResource(Gateway gateway, Asking asking) {
        this.gateway = gateway;
        this.asking = asking;
    }

    @GET
    @Needs(Action.VIEW)
    public RulesForm rules() throws IOException {
        return form(gateway.rules().inForce(), List.of());
    }

    /**
     * Answers 409 with every mistake where the folder is refused; the old rules go on then.
     *
     * @param folder the station folder that is meant, on the gateway's own machine; refused if the gateway runs on
     *     another one.
     */
    @POST
    @Path("load")
    @Needs(Action.LOAD_RULES)
    public RulesForm load(@QueryParam("folder") @Nullable String folder, @Nullable ActForm act) throws IOException {
        return form(gateway.rules().load(by(folder, act)));
    }

    /**
     * @param folder as for {@link #load}.
     */
    @POST
    @Path("back")
    @Needs(Action.LOAD_RULES)
    public RulesForm back(@QueryParam("folder") @Nullable String folder, @Nullable ActForm act) throws IOException {
        return form(gateway.rules().back(by(folder, act)));
    }

    private Actor by(@Nullable String folder, @Nullable ActForm act) {
        Actor by = asking.by(act == null ? null : act.by());
        String other = folder == null ? null : gateway.rules().otherFolder(folder);
        if (other != null) {
            throw Problems.refusedRules(List.of(other));
        }
        return by;
    }

    private RulesForm form(RulesDesk.Outcome outcome) throws IOException {
        if (outcome instanceof RulesDesk.Outcome.Refused refused) {
            throw Problems.refusedRules(refused.why());
        }
        RulesDesk.Outcome.InForce now = (RulesDesk.Outcome.InForce) outcome;
        return form(now.model(), now.told());
    }

    private RulesForm form(StationModel model, List<String> told) throws IOException {
        return new RulesForm(
                RulesForm.FORM,
                gateway.forms().station(),
                model.rulesVersion(),
                model.rules().size(),
                gateway.rules().history(),
                told);
    }
}
