package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.HeaderParam;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import java.time.Duration;
import java.util.concurrent.CompletionException;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.ActForm;
import oilbird.gateway.contract.StandingActForm;
import oilbird.gateway.contract.StandingForm;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.SignalId;
import org.jspecify.annotations.Nullable;

/**
 * Maintenance and point tests, and alarms that chatter. Every act needs a name and is answered once it is durable,
 * without content: the next picture of the station has it.
 */
@Path("/api/v1/standing")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
public class StandingResource {
    private static final long PATIENCE_SECONDS = 15;
    private static final StandingActForm NOTHING = new StandingActForm(null, null, null, null, null, null);

    private final Gateway gateway;

    public StandingResource(Gateway gateway) {
        this.gateway = gateway;
    }

    @GET
    public StandingForm standing() {
        return gateway.forms().standing(gateway.present().view());
    }

    /** Puts a device or asset in maintenance. */
    @POST
    @Path("maintenance/{of}/begin")
    public void begin(
            @PathParam("of") String of,
            @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        done(new StationInput.BeginMaintenance(
                of,
                by(act, site),
                AlarmResource.needed("reason", act.reason()),
                AlarmResource.needed("permit", act.permit()),
                duration(act),
                now()));
    }

    @POST
    @Path("maintenance/{of}/end")
    public void end(
            @PathParam("of") String of,
            @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        done(new StationInput.EndMaintenance(of, by(act, site), AlarmResource.text(act.comment()), now()));
    }

    /** Forces the outgoing point of an alarm. */
    @POST
    @Path("test/alarm/{asset}/{rule}")
    public void testAlarm(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        String forced = AlarmResource.needed("forcedTo", act.forcedTo());
        if (!forced.equals("active") && !forced.equals("normal")) {
            throw Problems.wrong("`forcedTo` is active or normal, not `" + forced + "`");
        }
        done(new StationInput.TestAlarm(
                new AlarmId(asset, rule), forced.equals("active"), by(act, site), duration(act), now()));
    }

    @POST
    @Path("test/alarm/{asset}/{rule}/end")
    public void endAlarmTest(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        done(new StationInput.EndAlarmTest(new AlarmId(asset, rule), by(form == null ? NOTHING : form, site), now()));
    }

    /** Forces the outgoing value of a reading. */
    @POST
    @Path("test/reading/{device}/{point}")
    public void testReading(
            @PathParam("device") String device,
            @PathParam("point") String point,
            @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        String forced = AlarmResource.needed("forcedTo", act.forcedTo());
        double number;
        try {
            number = Double.parseDouble(forced);
        } catch (NumberFormatException e) {
            throw Problems.wrong("`forcedTo` is a number, not `" + forced + "`");
        }
        done(new StationInput.TestReading(new SignalId(device, point), number, by(act, site), duration(act), now()));
    }

    @POST
    @Path("test/reading/{device}/{point}/end")
    public void endReadingTest(
            @PathParam("device") String device,
            @PathParam("point") String point,
            @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable StandingActForm form) {
        done(new StationInput.EndReadingTest(
                new SignalId(device, point), by(form == null ? NOTHING : form, site), now()));
    }

    private void done(StationInput.Asked asked) {
        ActResult result;
        try {
            result = gateway.engine()
                    .acts()
                    .act(asked)
                    .orTimeout(PATIENCE_SECONDS, TimeUnit.SECONDS)
                    .join();
        } catch (CompletionException e) {
            throw Problems.unavailable("the disk did not confirm it within " + PATIENCE_SECONDS
                    + " s; it may still be done: look before you try again");
        }
        if (result instanceof ActResult.Refused refused) {
            throw Problems.refused(refused.refusal());
        }
        if (result instanceof ActResult.NotTaken notTaken) {
            throw Problems.unavailable(notTaken.why());
        }
    }

    private static Actor by(StandingActForm act, @Nullable String site) {
        return AlarmResource.by(new ActForm(act.by(), null, null, null, null), site);
    }

    private static Duration duration(StandingActForm act) {
        return AlarmResource.duration(AlarmResource.needed("duration", act.duration()));
    }

    private Moment now() {
        return gateway.clock().now();
    }
}
