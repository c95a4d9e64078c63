package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.core.MediaType;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.station.StationInput;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.StandingActForm;
import oilbird.gateway.contract.StandingForm;
import oilbird.mapping.signal.SignalId;
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
    @Needs(Action.VIEW)
    public StandingForm standing() {
        return gateway.forms().standing(gateway.present().view());
    }

    /** Puts a device or asset in maintenance. */
    @POST
    @Path("maintenance/{of}/begin")
    @Needs(Action.MAINTAIN)
    public void beginMaintenance(@PathParam("of") String of, @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        asking.carryOut(new StationInput.BeginMaintenance(
                of,
                asking.by(act.by()),
                Asking.needed("reason", act.reason()),
                Asking.needed("permit", act.permit()),
                Asking.duration("duration", act.duration()),
                asking.now()));
    }

    @POST
    @Path("maintenance/{of}/end")
    @Needs(Action.MAINTAIN)
    public void endMaintenance(@PathParam("of") String of, @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        asking.carryOut(new StationInput.EndMaintenance(
                of, asking.by(act.by()), Asking.text("comment", act.comment()), asking.now()));
    }

    /** Leaves the connection of a device, line or Modbus gateway to somebody else; it ends by itself. */
    @POST
    @Path("release/{of}/begin")
    @Needs(Action.RELEASE_CONNECTION)
    public void beginRelease(@PathParam("of") String of, @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        asking.carryOut(new StationInput.BeginRelease(
                of,
                asking.by(act.by()),
                Asking.needed("reason", act.reason()),
                Asking.duration("duration", act.duration()),
                asking.now()));
    }

    @POST
    @Path("release/{of}/end")
    @Needs(Action.RELEASE_CONNECTION)
    public void endRelease(@PathParam("of") String of, @Nullable StandingActForm form) {
        asking.carryOut(new StationInput.EndRelease(of, asking.by(form == null ? null : form.by()), asking.now()));
    }

    /** Forces the outgoing point of an alarm. */
    @POST
    @Path("test/alarm/{asset}/{rule}")
    @Needs(Action.TEST_POINTS)
    public void testAlarm(
            @PathParam("asset") String asset, @PathParam("rule") String rule, @Nullable StandingActForm form) {
        StandingActForm act = form == null ? NOTHING : form;
        String forced = Asking.needed("forcedTo", act.forcedTo());
        if (!forced.equals("active") && !forced.equals("normal")) {
            throw Problems.wrong("forcedTo", "`forcedTo` is active or normal, not `" + forced + "`");
        }
        asking.carryOut(new StationInput.TestAlarm(
                new AlarmId(asset, rule),
                forced.equals("active"),
                asking.by(act.by()),
                Asking.duration("duration", act.duration()),
                asking.now()));
    }

    @POST
    @Path("test/alarm/{asset}/{rule}/end")
    @Needs(Action.TEST_POINTS)
    public void endAlarmTest(
            @PathParam("asset") String asset, @PathParam("rule") String rule, @Nullable StandingActForm form) {
        asking.carryOut(new StationInput.EndAlarmTest(
                new AlarmId(asset, rule), asking.by(form == null ? null : form.by()), asking.now()));
    }

    /** Forces the outgoing value of a reading. */
    @POST
    @Path("test/reading/{device}/{point}")
    @Needs(Action.TEST_POINTS)
    public void testReading(
            @PathParam("device") String device, @PathParam("point") String point, @Nullable StandingActForm form) {
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
                asking.by(act.by()),
                Asking.duration("duration", act.duration()),
                asking.now()));
    }

    @POST
    @Path("test/reading/{device}/{point}/end")
    @Needs(Action.TEST_POINTS)
    public void endReadingTest(
            @PathParam("device") String device, @PathParam("point") String point, @Nullable StandingActForm form) {
        asking.carryOut(new StationInput.EndReadingTest(
                new SignalId(device, point), asking.by(form == null ? null : form.by()), asking.now()));
    }
}
