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
import java.time.format.DateTimeParseException;
import java.util.List;
import java.util.concurrent.CompletionException;
import java.util.concurrent.TimeUnit;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationView;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.ActForm;
import oilbird.gateway.contract.AlarmStateForm;
import oilbird.gateway.contract.AlarmsForm;
import oilbird.gateway.contract.EventForm;
import oilbird.gateway.contract.RecordPageForm;
import oilbird.gateway.engine.writer.ActResult;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/** Alarms and what people do about them. Every act needs a name, and is answered only after it is durable. */
@Path("/api/v1/alarms")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
public class AlarmResource {
    private static final int LONGEST_NAME = 60;
    private static final int LONGEST_TEXT = 1_000;
    private static final int NEWEST_EVENTS = 200;
    private static final long PATIENCE_SECONDS = 15;

    private final Gateway gateway;

    public AlarmResource(Gateway gateway) {
        this.gateway = gateway;
    }

    @GET
    public AlarmsForm alarms() {
        return gateway.forms().alarms(gateway.present().view());
    }

    @GET
    @Path("{asset}/{rule}")
    public AlarmStateForm alarm(@PathParam("asset") String asset, @PathParam("rule") String rule) {
        return state(new AlarmId(asset, rule));
    }

    /** The newest events of one alarm, newest first. */
    @GET
    @Path("{asset}/{rule}/events")
    public RecordPageForm events(@PathParam("asset") String asset, @PathParam("rule") String rule) {
        AlarmId id = new AlarmId(asset, rule);
        StationView view = gateway.present().view();
        List<EventForm> events = gateway.engine().record().ofAlarm(id, Long.MAX_VALUE, NEWEST_EVENTS).stream()
                .map(event -> gateway.forms().event(event, view))
                .toList();
        return new RecordPageForm(RecordPageForm.FORM, gateway.forms().station(), events, null);
    }

    @POST
    @Path("{asset}/{rule}/acknowledge")
    public AlarmStateForm acknowledge(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable ActForm act) {
        return done(
                asset,
                rule,
                new AlarmInput.Acknowledge(
                        by(act, site), text(comment(act)), blankToNull(act == null ? null : act.eventId()), now()));
    }

    @POST
    @Path("{asset}/{rule}/comment")
    public AlarmStateForm comment(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable ActForm act) {
        String comment = needed("comment", comment(act));
        return done(
                asset,
                rule,
                new AlarmInput.Comment(by(act, site), comment, blankToNull(act == null ? null : act.eventId()), now()));
    }

    @POST
    @Path("{asset}/{rule}/reset")
    public AlarmStateForm reset(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable ActForm act) {
        return done(asset, rule, new AlarmInput.Reset(by(act, site), text(comment(act)), now()));
    }

    /** Shelves for a time, or until the alarm next returns to normal when no duration is given. */
    @POST
    @Path("{asset}/{rule}/shelve")
    public AlarmStateForm shelve(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable ActForm act) {
        Actor by = by(act, site);
        String reason = needed("reason", act == null ? null : act.reason());
        String duration = blankToNull(act == null ? null : act.duration());
        return done(
                asset,
                rule,
                duration == null
                        ? new AlarmInput.ShelveOneShot(by, reason, now())
                        : new AlarmInput.ShelveTimed(by, reason, duration(duration), now()));
    }

    @POST
    @Path("{asset}/{rule}/unshelve")
    public AlarmStateForm unshelve(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam("Sec-Fetch-Site") @Nullable String site,
            @Nullable ActForm act) {
        return done(asset, rule, new AlarmInput.Unshelve(by(act, site), text(comment(act)), now()));
    }

    private AlarmStateForm done(String asset, String rule, AlarmInput.Act act) {
        AlarmId id = new AlarmId(asset, rule);
        state(id);
        ActResult result;
        try {
            result = gateway.engine()
                    .acts()
                    .act(new StationInput.Act(id, act))
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
        return state(id);
    }

    private AlarmStateForm state(AlarmId id) {
        return gateway.forms()
                .alarm(id, gateway.present().view())
                .orElseThrow(() -> Problems.missing("the station has no alarm `" + id + "`"));
    }

    private Moment now() {
        return gateway.clock().now();
    }

    /** A browser says on its own that the request came from the gateway's own page; a program does not. */
    static Actor by(@Nullable ActForm act, @Nullable String site) {
        String name = act == null || act.by() == null ? "" : act.by().strip();
        if (name.isEmpty() || name.length() > LONGEST_NAME) {
            throw Problems.wrong("`by` is the name of the person, 1 to " + LONGEST_NAME + " characters");
        }
        return new Actor(name, "same-origin".equals(site) ? "page" : "rest");
    }

    private static @Nullable String comment(@Nullable ActForm act) {
        return act == null ? null : act.comment();
    }

    static String needed(String key, @Nullable String value) {
        String text = text(value);
        if (text.isEmpty()) {
            throw Problems.wrong("`" + key + "` is needed, 1 to " + LONGEST_TEXT + " characters");
        }
        return text;
    }

    static String text(@Nullable String value) {
        String text = value == null ? "" : value.strip();
        if (text.length() > LONGEST_TEXT) {
            throw Problems.wrong("a text has at most " + LONGEST_TEXT + " characters");
        }
        return text;
    }

    private static @Nullable String blankToNull(@Nullable String value) {
        return value == null || value.isBlank() ? null : value;
    }

    static Duration duration(String text) {
        try {
            return Duration.parse(text);
        } catch (DateTimeParseException e) {
            throw Problems.wrong("`duration` is an ISO 8601 duration such as PT2H, not `" + text + "`");
        }
    }
}
