package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.HeaderParam;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import java.io.IOException;
import java.util.List;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationModel;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.app.wiring.RulesDesk;
import oilbird.gateway.contract.ProblemForm;
import oilbird.gateway.contract.RulesActForm;
import oilbird.gateway.contract.RulesForm;
import org.eclipse.microprofile.openapi.annotations.parameters.Parameter;
import org.jspecify.annotations.Nullable;

/** The alarm rules in force: look, load from the station folder, go back. */
@Path("/api/v1/rules")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
public class RulesResource {
    private final Gateway gateway;

    public RulesResource(Gateway gateway) {
        this.gateway = gateway;
    }

    @GET
    public RulesForm rules() throws IOException {
        return form(gateway.rules().inForce(), List.of());
    }

    /** Answers 409 with every mistake where the folder is refused; the old rules go on then. */
    @POST
    @Path("load")
    public RulesForm load(@Parameter(hidden = true) @HeaderParam("Sec-Fetch-Site") @Nullable String site, @Nullable RulesActForm act)
            throws IOException {
        return form(gateway.rules().load(by(act, site)));
    }

    @POST
    @Path("back")
    public RulesForm back(@Parameter(hidden = true) @HeaderParam("Sec-Fetch-Site") @Nullable String site, @Nullable RulesActForm act)
            throws IOException {
        return form(gateway.rules().back(by(act, site)));
    }

    private Actor by(@Nullable RulesActForm act, @Nullable String site) {
        Actor by = Asking.by(act == null ? null : act.by(), site);
        String folder = act == null ? null : act.folder();
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
