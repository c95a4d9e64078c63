package oilbird.gateway.app.rest;

import jakarta.ws.rs.Consumes;
import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.POST;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.QueryParam;
import jakarta.ws.rs.core.MediaType;
import java.time.Duration;
import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import oilbird.alarm.check.GuidedEvent;
import oilbird.alarm.check.GuidedFaultFinding;
import oilbird.alarm.check.GuidedInput;
import oilbird.alarm.check.GuidedSession;
import oilbird.alarm.state.Actor;
import oilbird.alarm.station.StationEvent;
import oilbird.alarm.station.StationInput;
import oilbird.alarm.station.StationView;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.FaultFindingActForm;
import oilbird.gateway.contract.FaultFindingExport;
import oilbird.gateway.contract.FaultFindingForm;
import oilbird.gateway.contract.FaultFindingRecordForm;
import oilbird.gateway.contract.FaultFindingsForm;
import oilbird.gateway.contract.Written;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.modbus.FoundIdentification;
import oilbird.gateway.opcua.ServerStatus;
import oilbird.mapping.signal.Moment;
import oilbird.mapping.signal.Work;
import org.jspecify.annotations.Nullable;

/**
 * Guided fault-finding: begun from a diagnosis, fed with what people find, and read as it stands or as a record. Every
 * input has a key of the sender's, so that one sent twice counts once, and is answered only after it is durable.
 */
@Path("/api/v1/fault-findings")
@Produces(MediaType.APPLICATION_JSON)
@Consumes(MediaType.APPLICATION_JSON)
public class FaultFindingResource {
    private static final FaultFindingActForm NOTHING = new FaultFindingActForm(
            null, null, null, null, null, null, null, null, null, null, null, null, null, null, null);
    private static final int LONGEST_KEY = 100;
    private static final Duration LONGEST_AGO = Duration.ofDays(366);
    private static final Duration CLOCKS_DIFFER = Duration.ofMinutes(5);
    private static final Duration BEFORE = Duration.ofDays(1);
    private static final int MOST_AROUND = 5_000;

    private final Gateway gateway;
    private final Asking asking;

    public FaultFindingResource(Gateway gateway, Asking asking) {
        this.gateway = gateway;
        this.asking = asking;
    }

    /** Those of the event record, newest first. */
    @GET
    @Needs(Action.VIEW)
    public FaultFindingsForm faultFindings(@QueryParam("limit") @DefaultValue("100") int limit) {
        List<RecordedEvent> begun = gateway.engine().record().sessionsBegun(Paging.limit(limit));
        return gateway.forms().faultFindings(begun, gateway.present().view());
    }

    /**
     * Begins one from an open diagnosis, or joins the one that is under way.
     */
    @POST
    @Needs(Action.FIND_FAULTS)
    public FaultFindingForm begin(@Nullable FaultFindingActForm form) {
        FaultFindingActForm act = form == null ? NOTHING : form;
        GuidedInput.Entry entry = entry(act, 0);
        String diagnosis = Asking.needed("diagnosis", act.diagnosis());
        List<RecordedEvent> events = asking.carryOut(new StationInput.BeginFaultFinding(diagnosis, entry));
        StationView view = gateway.present().view();
        String session = events.stream()
                .map(RecordedEvent::event)
                .filter(StationEvent.FaultFinding.class::isInstance)
                .map(e -> ((StationEvent.FaultFinding) e).session())
                .findFirst()
                .orElseGet(() -> sent(entry.key(), view));
        return state(session, view);
    }

    /** An input that came again: the one that has taken it. */
    private static String sent(String key, StationView view) {
        return view.faultFindings().sessions().stream()
                .filter(s -> s.trace().stream().anyMatch(t -> t.key().equals(key)))
                .map(GuidedSession::id)
                .findFirst()
                .orElseThrow(() -> Problems.unavailable("it was taken, and its state is not known yet; ask again"));
    }

    /** How it stands, and what comes next. */
    @GET
    @Path("{session}")
    @Needs(Action.VIEW)
    public FaultFindingForm faultFinding(@PathParam("session") String session) {
        return state(session, gateway.present().view());
    }

    /** Something that a person says; answers with how it stands then. */
    @POST
    @Path("{session}/inputs")
    @Needs(Action.FIND_FAULTS)
    public FaultFindingForm input(@PathParam("session") String session, @Nullable FaultFindingActForm form) {
        FaultFindingActForm act = form == null ? NOTHING : form;
        Long seen = act.seen();
        if (seen == null || seen < 0) {
            throw Problems.wrong("seen", "`seen` is the version of the fault-finding that the person had in view");
        }
        asking.carryOut(new StationInput.InFaultFinding(session, input(act, entry(act, seen))));
        return state(session, gateway.present().view());
    }

    /** Everything that belongs to it, for a hand-over; its steps can be verified without the gateway. */
    @GET
    @Path("{session}/record")
    @Needs(Action.VIEW)
    public FaultFindingRecordForm record(@PathParam("session") String session) {
        List<RecordedEvent> steps = steps(session);
        Moment now = gateway.clock().now();
        long begun = steps.get(0).event().at().wallMillis();
        RecordedEvent last = steps.get(steps.size() - 1);
        StationView view = gateway.present().view();
        GuidedSession open = view.faultFinding(session);
        boolean goesOn = open != null && !open.ended();
        return gateway.forms()
                .faultFindingRecord(
                        new FaultFindingExport(
                                steps,
                                gateway.engine().record().rowsOfSession(session),
                                gateway.engine()
                                        .record()
                                        .between(
                                                begun - BEFORE.toMillis(),
                                                goesOn
                                                        ? now.wallMillis()
                                                        : last.event().at().wallMillis(),
                                                MOST_AROUND),
                                identities(),
                                now),
                        view);
    }

    private Map<String, FaultFindingExport.Identity> identities() {
        Map<String, FaultFindingExport.Identity> identities = new LinkedHashMap<>();
        gateway.polling().forEach(d -> {
            FoundIdentification found = d.identification();
            if (found != null) {
                identities.put(
                        d.device(), new FaultFindingExport.Identity(found.vendor(), found.product(), found.revision()));
            }
        });
        gateway.following().forEach(d -> {
            ServerStatus.FoundProduct found = d.identification();
            if (found != null) {
                identities.put(
                        d.device(), new FaultFindingExport.Identity(found.vendor(), found.product(), found.firmware()));
            }
        });
        return identities;
    }

    private List<RecordedEvent> steps(String session) {
        List<RecordedEvent> steps = gateway.engine().record().ofSession(session);
        if (steps.isEmpty()) {
            throw Problems.missing("the event record has no fault-finding `" + session + "`");
        }
        return steps;
    }

    private FaultFindingForm state(String session, StationView view) {
        GuidedSession open = view.faultFinding(session);
        if (open == null) {
            List<GuidedEvent> events = steps(session).stream()
                    .map(e -> ((StationEvent.FaultFinding) e.event()).of())
                    .toList();
            open = new GuidedFaultFinding(view.faultFindings().library())
                    .restore(session, events)
                    .orElseThrow(() -> Problems.missing("the beginning of `" + session + "` was never recorded"));
        }
        return gateway.forms().faultFinding(open, view);
    }

    // ---- what comes in

    /** The one place that says who it is. */
    private GuidedInput.Entry entry(FaultFindingActForm act, long seen) {
        Actor by = asking.by(act.by());
        String key = act.key() == null ? "" : act.key().strip();
        if (key.isEmpty() || key.length() > LONGEST_KEY) {
            throw Problems.wrong(
                    "key",
                    "`key` is a text of the sender's own, 1 to " + LONGEST_KEY
                            + " characters, so that what is sent twice counts once");
        }
        Moment now = asking.now();
        return new GuidedInput.Entry(key, by, now, seen, doneAt(act.doneAt(), now));
    }

    private static @Nullable Long doneAt(@Nullable String written, Moment now) {
        String text = Asking.blankToNull(written);
        if (text == null) {
            return null;
        }
        long millis;
        try {
            millis = Instant.parse(text).toEpochMilli();
        } catch (DateTimeParseException e) {
            throw Problems.wrong(
                    "doneAt", "`doneAt` is a time such as 2026-11-30T06:28:00Z by RFC 3339, not `" + text + "`");
        }
        if (now.wallTrusted() && millis > now.wallMillis() + CLOCKS_DIFFER.toMillis()) {
            throw Problems.wrong("doneAt", "`doneAt` lies in the future: look at the clock of the page");
        }
        if (now.wallTrusted() && millis < now.wallMillis() - LONGEST_AGO.toMillis()) {
            throw Problems.wrong("doneAt", "`doneAt` is more than a year ago");
        }
        return millis;
    }

    private static GuidedInput input(FaultFindingActForm act, GuidedInput.Entry entry) {
        String does = Asking.needed("does", act.does());
        return switch (does) {
            case "join" -> new GuidedInput.Joined(entry);
            case "leave" -> new GuidedInput.Left(entry);
            case "second-person" -> new GuidedInput.SecondPerson(entry, Asking.needed("words", act.words()));
            case "authorised" -> new GuidedInput.Authorised(entry, check(act), Asking.needed("words", act.words()));
            case "told-before" -> new GuidedInput.ControlRoomTold(entry, true, Asking.needed("words", act.words()));
            case "told-after" -> new GuidedInput.ControlRoomTold(entry, false, Asking.needed("words", act.words()));
            case "words-saved" -> new GuidedInput.WordsSaved(entry, Asking.needed("words", act.words()));
            case "prepared" -> new GuidedInput.Prepared(entry, check(act), preparation(act));
            case "answer" ->
                new GuidedInput.Answered(entry, check(act), outcome(act), Asking.text("words", act.words()));
            case "measure" ->
                new GuidedInput.Measured(
                        entry,
                        check(act),
                        Asking.needed("written", act.written()),
                        Boolean.TRUE.equals(act.testerProvedBefore()),
                        Boolean.TRUE.equals(act.testerProvedAfter()),
                        Asking.text("words", act.words()));
            case "repair" ->
                new GuidedInput.Repaired(
                        entry,
                        Asking.needed("cause", act.cause()),
                        Asking.blankToNull(act.check()),
                        Asking.text("words", act.words()));
            case "hand-over" ->
                new GuidedInput.HandedOver(entry, Asking.needed("words", act.words()), Asking.needed("why", act.why()));
            case "give-up" -> new GuidedInput.GivenUp(entry, Asking.needed("why", act.why()));
            default ->
                throw Problems.wrong(
                        "does",
                        "`does` is join, leave, second-person, authorised, told-before, told-after, words-saved, prepared,"
                                + " answer, measure, repair, hand-over or give-up, not `" + does + "`");
        };
    }

    private static String check(FaultFindingActForm act) {
        return Asking.needed("check", act.check());
    }

    private static int outcome(FaultFindingActForm act) {
        Integer outcome = act.outcome();
        if (outcome == null) {
            throw Problems.wrong("outcome", "`outcome` is the number of the outcome that was found");
        }
        return outcome;
    }

    private static Work.Preparation preparation(FaultFindingActForm act) {
        Asking.needed("preparation", act.preparation());
        return Objects.requireNonNull(
                Paging.oneOf("preparation", act.preparation(), Work.Preparation.values(), Written::name));
    }
}
