package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.HeaderParam;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.QueryParam;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import java.time.Duration;
import java.util.List;
import java.util.function.Predicate;
import oilbird.alarm.rule.StationFacts;
import oilbird.alarm.state.Actor;
import oilbird.alarm.state.AlarmClass;
import oilbird.alarm.state.AlarmId;
import oilbird.alarm.state.AlarmInput;
import oilbird.alarm.state.Priority;
import oilbird.alarm.state.StateName;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationView;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.ActForm;
import oilbird.gateway.contract.AlarmStateForm;
import oilbird.gateway.contract.AlarmsForm;
import oilbird.gateway.contract.EventForm;
import oilbird.gateway.contract.RecordPageForm;
import oilbird.gateway.contract.Written;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.mapping.signal.Moment;
import org.jspecify.annotations.Nullable;

/** Alarms and what people do about them. Every act needs a name, and is answered only after it is durable. */
@Path("/api/v1/alarms")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
public class AlarmResource {
    private static final ActForm NOTHING = new ActForm(null, null, null, null, null, null);

    private final Gateway gateway;
    private final Asking asking;

    public AlarmResource(Gateway gateway, Asking asking) {
        this.gateway = gateway;
        this.asking = asking;
    }

    /**
     * The station's alarms in the order of their ids, page by page.
     *
     * @param annunciated true for those that need someone, false for all others; all where it is left out.
     * @param after the last alarm of the page before.
     */
    @GET
    @Needs(Action.VIEW)
    public AlarmsForm alarms(
            @QueryParam("asset") @Nullable String asset,
            @QueryParam("device") @Nullable String device,
            @QueryParam("state") @Nullable String state,
            @QueryParam("priority") @Nullable String priority,
            @QueryParam("class") @Nullable String alarmClass,
            @QueryParam("active") @Nullable String active,
            @QueryParam("acknowledged") @Nullable String acknowledged,
            @QueryParam("annunciated") @Nullable String annunciated,
            @QueryParam("after") @Nullable String after,
            @QueryParam("limit") @DefaultValue("100") int limit) {
        StateName stateWanted = Paging.oneOf("state", state, StateName.values(), StateName::name);
        Priority priorityWanted = Paging.oneOf("priority", priority, Priority.values(), Written::name);
        AlarmClass classWanted = Paging.oneOf("class", alarmClass, AlarmClass.values(), Written::name);
        Truth activeWanted = truth("active", active);
        Truth acknowledgedWanted = truth("acknowledged", acknowledged);
        Truth annunciatedWanted = truth("annunciated", annunciated);
        Predicate<StationView.AlarmView> wanted =
                alarm -> (asset == null || alarm.state().id().asset().equals(asset))
                        && (device == null || device.equals(deviceOf(alarm)))
                        && (stateWanted == null || alarm.state().name() == stateWanted)
                        && (priorityWanted == null || alarm.state().priority() == priorityWanted)
                        && (classWanted == null || alarm.rule().policy().alarmClass() == classWanted)
                        && activeWanted.or(alarm.state().active())
                        && acknowledgedWanted.or(alarm.state().acknowledged())
                        && annunciatedWanted.or(alarm.state().annunciated());
        return gateway.forms()
                .alarms(
                        gateway.present().view(),
                        wanted,
                        Paging.pair("after", after, AlarmId::new),
                        Paging.limit(limit));
    }

    private enum Truth {
        TRUE,
        FALSE,
        ANY;

        boolean or(boolean is) {
            return this == ANY || is == (this == TRUE);
        }
    }

    private static Truth truth(String field, @Nullable String value) {
        Truth truth = Paging.oneOf(field, value, new Truth[] {Truth.TRUE, Truth.FALSE}, Written::name);
        return truth == null ? Truth.ANY : truth;
    }

    private static @Nullable String deviceOf(StationView.AlarmView alarm) {
        StationFacts.Device device = alarm.rule().device();
        return device == null ? null : device.id();
    }

    @GET
    @Path("{asset}/{rule}")
    @Needs(Action.VIEW)
    public AlarmStateForm alarm(@PathParam("asset") String asset, @PathParam("rule") String rule) {
        return state(new AlarmId(asset, rule));
    }

    /**
     * The events of one alarm, newest first.
     *
     * @param before position of the oldest event already seen.
     */
    @GET
    @Path("{asset}/{rule}/events")
    @Needs(Action.VIEW)
    public RecordPageForm events(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @QueryParam("before") @DefaultValue("9223372036854775807") long before,
            @QueryParam("limit") @DefaultValue("100") int limit) {
        AlarmId id = new AlarmId(asset, rule);
        StationView view = gateway.present().view();
        List<RecordedEvent> events = gateway.engine().record().ofAlarm(id, before, Paging.limit(limit));
        if (events.isEmpty()) {
            // Alarms of former rules still have a history.
            state(id);
        }
        List<EventForm> forms =
                events.stream().map(event -> gateway.forms().event(event, view)).toList();
        Long next = events.size() == limit ? Long.valueOf(events.get(limit - 1).position()) : null;
        return new RecordPageForm(RecordPageForm.FORM, gateway.forms().station(), forms, next);
    }

    /** @param seen header If-Match: the alarm's newest event that the person has seen, in quotes. */
    @POST
    @Path("{asset}/{rule}/acknowledge")
    @Needs(Action.ACKNOWLEDGE)
    public AlarmStateForm acknowledge(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(
                asset,
                rule,
                seen,
                form,
                (act, by, at) -> new AlarmInput.Acknowledge(
                        by, Asking.text("comment", act.comment()), Asking.blankToNull(act.eventId()), at));
    }

    /**
     * Says that what the alarm called for has been done, where its rule asks for that.
     *
     * @param seen header If-Match: the alarm's newest event that the person has seen, in quotes.
     */
    @POST
    @Path("{asset}/{rule}/confirm")
    @Needs(Action.CONFIRM)
    public AlarmStateForm confirm(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(
                asset,
                rule,
                seen,
                form,
                (act, by, at) -> new AlarmInput.Confirm(
                        by, Asking.text("comment", act.comment()), Asking.blankToNull(act.eventId()), at));
    }

    @POST
    @Path("{asset}/{rule}/comment")
    @Needs(Action.COMMENT)
    public AlarmStateForm comment(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(
                asset,
                rule,
                seen,
                form,
                (act, by, at) -> new AlarmInput.Comment(
                        by, Asking.needed("comment", act.comment()), Asking.blankToNull(act.eventId()), at));
    }

    @POST
    @Path("{asset}/{rule}/reset")
    @Needs(Action.RESET)
    public AlarmStateForm reset(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(
                asset,
                rule,
                seen,
                form,
                (act, by, at) -> new AlarmInput.Reset(by, Asking.text("comment", act.comment()), at));
    }

    /** Shelves for a time, or until the alarm next returns to normal when no duration is given. */
    @POST
    @Path("{asset}/{rule}/shelve")
    @Needs(Action.SHELVE)
    public AlarmStateForm shelve(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(asset, rule, seen, form, (act, by, at) -> shelve(act, by, at));
    }

    @POST
    @Path("{asset}/{rule}/unshelve")
    @Needs(Action.SHELVE)
    public AlarmStateForm unshelve(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(
                asset,
                rule,
                seen,
                form,
                (act, by, at) -> new AlarmInput.Unshelve(by, Asking.text("comment", act.comment()), at));
    }

    /** Suppresses from outside: for the control room's own logic, or an engineer. */
    @POST
    @Path("{asset}/{rule}/suppress")
    @Needs(Action.SUPPRESS)
    public AlarmStateForm suppress(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(
                asset,
                rule,
                seen,
                form,
                (act, by, at) -> new AlarmInput.Suppress(by, Asking.needed("reason", act.reason()), at));
    }

    /** Lifts all suppression; what the rule's own logic asks for counts again when it next changes its answer. */
    @POST
    @Path("{asset}/{rule}/unsuppress")
    @Needs(Action.SUPPRESS)
    public AlarmStateForm unsuppress(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(
                asset,
                rule,
                seen,
                form,
                (act, by, at) -> new AlarmInput.Unsuppress(by, Asking.text("comment", act.comment()), at));
    }

    /** Takes one alarm out of service; a device or asset as a whole is put in maintenance. */
    @POST
    @Path("{asset}/{rule}/remove-from-service")
    @Needs(Action.TAKE_OUT_OF_SERVICE)
    public AlarmStateForm removeFromService(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(asset, rule, seen, form, (act, by, at) -> removeFromService(act, by, at));
    }

    @POST
    @Path("{asset}/{rule}/place-in-service")
    @Needs(Action.TAKE_OUT_OF_SERVICE)
    public AlarmStateForm placeInService(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(
                asset,
                rule,
                seen,
                form,
                (act, by, at) -> new AlarmInput.PlaceInService(by, Asking.text("comment", act.comment()), at));
    }

    @POST
    @Path("{asset}/{rule}/disable")
    @Needs(Action.DISABLE)
    public AlarmStateForm disable(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(
                asset,
                rule,
                seen,
                form,
                (act, by, at) -> new AlarmInput.Disable(by, Asking.needed("reason", act.reason()), at));
    }

    @POST
    @Path("{asset}/{rule}/enable")
    @Needs(Action.DISABLE)
    public AlarmStateForm enable(
            @PathParam("asset") String asset,
            @PathParam("rule") String rule,
            @HeaderParam(HttpHeaders.IF_MATCH) @Nullable String seen,
            @Nullable ActForm form) {
        return done(
                asset,
                rule,
                seen,
                form,
                (act, by, at) -> new AlarmInput.Enable(by, Asking.text("reason", act.reason()), at));
    }

    private static AlarmInput.Act shelve(ActForm act, Actor by, Moment at) {
        String reason = Asking.needed("reason", act.reason());
        return Asking.blankToNull(act.duration()) == null
                ? new AlarmInput.ShelveOneShot(by, reason, at)
                : new AlarmInput.ShelveTimed(by, reason, Asking.duration("duration", act.duration()), at);
    }

    private static AlarmInput.Act removeFromService(ActForm act, Actor by, Moment at) {
        Duration reminder = Asking.blankToNull(act.duration()) == null
                ? Duration.ZERO
                : Asking.duration("duration", act.duration());
        return new AlarmInput.RemoveFromService(
                by, Asking.needed("reason", act.reason()), Asking.text("permit", act.permit()), reminder, at);
    }

    /** What a form asks for, of whom and when. */
    private interface Meant {
        AlarmInput.Act by(ActForm act, Actor by, Moment at);
    }

    private AlarmStateForm done(String asset, String rule, @Nullable String seen, @Nullable ActForm form, Meant meant) {
        ActForm said = form == null ? NOTHING : form;
        AlarmInput.Act act = meant.by(said, asking.by(said.by()), asking.now());
        AlarmId id = new AlarmId(asset, rule);
        String newest = state(id).lastEvent();
        if (seen != null && !seen.strip().equals("*") && !seen.strip().equals("\"" + newest + "\"")) {
            throw Problems.changed("the newest event of this alarm is now " + newest
                    + ", not what If-Match names: look at it before you act");
        }
        asking.carryOut(new StationInput.Act(id, act));
        return state(id);
    }

    private AlarmStateForm state(AlarmId id) {
        return gateway.forms()
                .alarm(id, gateway.present().view())
                .orElseThrow(() -> Problems.missing("the station has no alarm `" + id + "`"));
    }
}
