package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.HeaderParam;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.StandingActForm;
import oilbird.gateway.contract.StandingForm;
import oilbird.mapping.signal.SignalId;
import org.eclipse.microprofile.openapi.annotations.parameters.Parameter;
import org.jspecify.annotations.Nullable;

/**
 * Maintenance, point tests and released connections, and alarms that chatter. Every act needs a name and is answered once it is durable,
 * without content: the next picture of the station has it.
 */
@Path("/api/v1/standing")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
public class StandingResource {
    private static final StandingActForm NOTHING = new StandingActForm(null, null, null, null, null, null);

    private final Gateway gateway;
    private final Asking asking;

    public StandingResource(Gateway gateway, Asking asking) {
        this.gateway = gateway;
        this.asking = asking;
    }

    @GET
    public StandingForm standing() {
        return gateway.forms().standing(gateway.present().view());
    }

    /** Puts a device or asset in maintenance. */
    @POST
    @Path("maintenance/{of}/begin")
    public void beginMaintenance(
            @PathParam("of") String of,
            @Parameter(hidden = true) @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        asking.carryOut(new StationInput.BeginMaintenance(
                of,
                by(act, site),
                Asking.needed("reason", act.reason()),
                Asking.needed("permit", act.permit()),
                Asking.duration("duration", act.duration()),
                asking.now()));
    }

    @POST
    @Path("maintenance/{of}/end")
    public void endMaintenance(
            @PathParam("of") String of,
            @Parameter(hidden = true) @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        asking.carryOut(new StationInput.EndMaintenance(
                of, by(act, site), Asking.text("comment", act.comment()), asking.now()));
    }

    /** Leaves the connection of a device, line or Modbus gateway to somebody else; it ends by itself. */
    @POST
    @Path("release/{of}/begin")
    public void beginRelease(
            @PathParam("of") String of,
            @Parameter(hidden = true) @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        asking.carryOut(new StationInput.BeginRelease(
                of,
                by(act, site),
                Asking.needed("reason", act.reason()),
                Asking.duration("duration", act.duration()),
                asking.now()));
    }

    @POST
    @Path("release/{of}/end")
    public void endRelease(
            @PathParam("of") String of,
            @Parameter(hidden = true) @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        asking.carryOut(new StationInput.EndRelease(of, by(form == null ? NOTHING : form, site), asking.now()));
    }

    /** Forces the outgoing point of an alarm. */
    @POST
    @Path("test/alarm/{asset}/{rule}")
    public void testAlarm(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @Parameter(hidden = true) @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        String forced = Asking.needed("forcedTo", act.forcedTo());
        if (!forced.equals("active") && !forced.equals("normal")) {
            throw Problems.wrong("forcedTo", "`forcedTo` is active or normal, not `" + forced + "`");
        }
        asking.carryOut(new StationInput.TestAlarm(
                new AlarmId(asset, rule),
                forced.equals("active"),
                by(act, site),
                Asking.duration("duration", act.duration()),
                asking.now()));
    }

    @POST
    @Path("test/alarm/{asset}/{rule}/end")
    public void endAlarmTest(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @Parameter(hidden = true) @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        asking.carryOut(new StationInput.EndAlarmTest(
                new AlarmId(asset, rule), by(form == null ? NOTHING : form, site), asking.now()));
    }

    /** Forces the outgoing value of a reading. */
    @POST
    @Path("test/reading/{device}/{point}")
    public void testReading(
            @PathParam("device") String device,
            @PathParam("point") String point,
            @Parameter(hidden = true) @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        String forced = Asking.needed("forcedTo", act.forcedTo());
        double number;
        try {
            number = Double.parseDouble(forced);
        } catch (NumberFormatException e) {
            number = Double.NaN;
        }
        if (!Double.isFinite(number)) {
            throw Problems.wrong("forcedTo", "`forcedTo` is a number, not `" + forced + "`");
        }
        asking.carryOut(new StationInput.TestReading(
                new SignalId(device, point),
                number,
                by(act, site),
                Asking.duration("duration", act.duration()),
                asking.now()));
    }

    @POST
    @Path("test/reading/{device}/{point}/end")
    public void endReadingTest(
            @PathParam("device") String device,
            @PathParam("point") String point,
            @Parameter(hidden = true) @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        asking.carryOut(new StationInput.EndReadingTest(
                new SignalId(device, point), by(form == null ? NOTHING : form, site), asking.now()));
    }

    private static Actor by(StandingActForm act, @Nullable String site) {
        return Asking.by(act.by(), site);
    }
}
