package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.ActForm;
import oilbird.gateway.contract.DiagnosesForm;
import oilbird.gateway.contract.DiagnosisForm;
import org.jspecify.annotations.Nullable;

/** Diagnoses with the numbers behind them, and keep-away, which the control room releases. */
@Path("/api/v1")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
public class DiagnosisResource {
    private static final ActForm NOTHING = new ActForm(null, null, null, null, null, null);

    private final Gateway gateway;
    private final Asking asking;

    public DiagnosisResource(Gateway gateway, Asking asking) {
        this.gateway = gateway;
        this.asking = asking;
    }

    @GET
    @Path("diagnoses")
    @Needs(Action.VIEW)
    public DiagnosesForm diagnoses() {
        return gateway.forms().diagnoses(gateway.present().view());
    }

    /** One diagnosis with the network, the evidence and the posterior behind it. */
    @GET
    @Path("diagnoses/{diagnosis}")
    @Needs(Action.VIEW)
    public DiagnosisForm diagnosis(@PathParam("diagnosis") String diagnosis) {
        return gateway.forms()
                .diagnosis(diagnosis, gateway.present().view())
                .orElseThrow(() -> Problems.missing("no diagnosis `" + diagnosis + "` is open"));
    }

    /** Says for the control room that people may go near the asset again, as the owner's rules allow. */
    @POST
    @Path("keep-away/{asset}/release")
    @Needs(Action.RELEASE_KEEP_AWAY)
    public void releaseKeepAway(@PathParam("asset") String asset, @Nullable ActForm form) {
        ActForm act = form == null ? NOTHING : form;
        asking.carryOut(new StationInput.ReleaseKeepAway(
                asset, asking.by(act.by()), Asking.needed("comment", act.comment()), asking.now()));
    }
}
