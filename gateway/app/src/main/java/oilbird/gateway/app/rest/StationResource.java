package oilbird.gateway.app.rest;

import jakarta.ws.rs.DefaultValue;
import jakarta.ws.rs.GET;
import jakarta.ws.rs.HeaderParam;
import jakarta.ws.rs.Path;
import jakarta.ws.rs.PathParam;
import jakarta.ws.rs.Produces;
import jakarta.ws.rs.QueryParam;
import jakarta.ws.rs.core.HttpHeaders;
import jakarta.ws.rs.core.MediaType;
import jakarta.ws.rs.core.Response;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import oilbird.alarm.station.EventId;
import oilbird.alarm.station.StationView;
import oilbird.gateway.access.Action;
import oilbird.gateway.access.Needs;
import oilbird.gateway.app.wiring.Gateway;
import oilbird.gateway.contract.AssetForm;
import oilbird.gateway.contract.AssetsForm;
import oilbird.gateway.contract.DevicesForm;
import oilbird.gateway.contract.EventForm;
import oilbird.gateway.contract.Forms;
import oilbird.gateway.contract.HealthForm;
import oilbird.gateway.contract.LinesForm;
import oilbird.gateway.contract.NeedsSomeoneForm;
import oilbird.gateway.contract.OneReadingForm;
import oilbird.gateway.contract.ProblemForm;
import oilbird.gateway.contract.PublishedSchemas;
import oilbird.gateway.contract.ReadingListForm;
import oilbird.gateway.contract.ReadingsForm;
import oilbird.gateway.contract.RecordPageForm;
import oilbird.gateway.contract.SchemasForm;
import oilbird.gateway.contract.Written;
import oilbird.gateway.engine.outbox.LinkState;
import oilbird.gateway.engine.record.RecordedEvent;
import oilbird.gateway.engine.writer.WriterStatus;
import oilbird.gateway.modbus.DeviceStatus;
import oilbird.gateway.modbus.LineStatus;
import oilbird.gateway.opcua.ServerStatus;
import oilbird.mapping.signal.Quality;
import oilbird.mapping.signal.SignalId;
import org.eclipse.microprofile.openapi.annotations.media.Content;
import org.eclipse.microprofile.openapi.annotations.media.Schema;
import org.eclipse.microprofile.openapi.annotations.responses.APIResponse;
import org.jspecify.annotations.Nullable;

/** What needs someone, what the devices say, what happened, and whether the gateway works. */
@Path("/api/v1")
@Produces(MediaType.APPLICATION_JSON)
public class StationResource {
    /** Events that one question for certain kinds looks through. */
    private static final int LOOKED_THROUGH = 1_000;

    private final Gateway gateway;
    private final NeedsSomeone needsSomeone;
    private final Listeners listeners;

    public StationResource(Gateway gateway, NeedsSomeone needsSomeone, Listeners listeners) {
        this.listeners = listeners;
        this.gateway = gateway;
        this.needsSomeone = needsSomeone;
    }

    /** Answers 304 while nothing has changed since the picture that {@code If-None-Match} names. */
    @GET
    @Path("needs-someone")
    @APIResponse(responseCode = "200", content = @Content(schema = @Schema(implementation = NeedsSomeoneForm.class)))
    @APIResponse(responseCode = "304", description = "Nothing has changed.")
    // The one place that names the schema, to which the filter then refers from every operation.
    @APIResponse(responseCode = "default", content = @Content(schema = @Schema(implementation = ProblemForm.class)))
    @Needs(Action.VIEW)
    public Response needsSomeone(@HeaderParam(HttpHeaders.IF_NONE_MATCH) @Nullable String seen) {
        NeedsSomeone.Picture picture = needsSomeone.picture();
        Response.ResponseBuilder answer =
                EntityTags.names(seen, picture.tag()) ? Response.notModified() : Response.ok(picture.json());
        return answer.header(HttpHeaders.ETAG, picture.tag())
                .header(HttpHeaders.CACHE_CONTROL, "no-cache")
                .build();
    }

    @GET
    @Path("assets")
    @Needs(Action.VIEW)
    public AssetsForm assets() {
        return gateway.forms().assets(gateway.present().view());
    }

    @GET
    @Path("assets/{asset}")
    @Needs(Action.VIEW)
    public AssetForm asset(@PathParam("asset") String asset) {
        return gateway.forms()
                .asset(asset, gateway.present().view())
                .orElseThrow(() -> Problems.missing("the station has no asset `" + asset + "`"));
    }

    @GET
    @Path("devices")
    @Needs(Action.VIEW)
    public DevicesForm devices() {
        return gateway.forms().devices(gateway.present().view());
    }

    @GET
    @Path("devices/{device}")
    @Needs(Action.VIEW)
    public ReadingsForm device(@PathParam("device") String device) {
        return gateway.forms()
                .readings(device, gateway.present().view())
                .orElseThrow(() -> Problems.missing("the station has no device `" + device + "`"));
    }

    /** How the serial lines do: counts of answers, faults, noise and foreign frames. */
    @GET
    @Path("lines")
    @Needs(Action.VIEW)
    public LinesForm lines() {
        return new LinesForm(
                LinesForm.FORM,
                gateway.forms().station(),
                gateway.lines().stream().map(StationResource::line).toList());
    }

    private static LinesForm.LineForm line(LineStatus line) {
        LineStatus.Counts counts = line.counts();
        Map<String, Long> faults = new TreeMap<>();
        counts.faults().forEach((fault, count) -> faults.put(Written.name(fault), count));
        return new LinesForm.LineForm(
                line.line(),
                line.name(),
                line.way(),
                line.devices(),
                line.open(),
                counts.requests(),
                counts.answers(),
                faults,
                counts.noiseBytes(),
                counts.foreignFrames(),
                counts.lateAnswers(),
                counts.reopens(),
                Math.round(counts.busyShare() * 1000) / 10.0);
    }

    /**
     * Readings in the order of their ids, page by page.
     *
     * @param after the last reading of the page before.
     */
    @GET
    @Path("readings")
    @Needs(Action.VIEW)
    public ReadingListForm readings(
            @QueryParam("asset") @Nullable String asset,
            @QueryParam("device") @Nullable String device,
            @QueryParam("quality") @Nullable String quality,
            @QueryParam("after") @Nullable String after,
            @QueryParam("limit") @DefaultValue("100") int limit) {
        Quality wanted = Paging.oneOf("quality", quality, Quality.values(), Written::name);
        return gateway.forms()
                .readingList(
                        gateway.present().view(),
                        of -> (asset == null || of.asset().equals(asset))
                                && (device == null || of.id().equals(device)),
                        reading -> wanted == null || reading.quality() == wanted,
                        Paging.pair("after", after, SignalId::new),
                        Paging.limit(limit));
    }

    @GET
    @Path("readings/{device}/{point}")
    @Needs(Action.VIEW)
    public OneReadingForm reading(@PathParam("device") String device, @PathParam("point") String point) {
        SignalId id = new SignalId(device, point);
        return gateway.forms()
                .oneReading(id, gateway.present().view())
                .orElseThrow(() -> Problems.missing("the station has no reading `" + id + "`"));
    }

    /**
     * The event record: oldest first, or newest first below a position.
     *
     * @param after the last event already seen: its position or its id; 0 for the beginning.
     * @param before position of the oldest event already seen; instead of {@code after}, newest first.
     * @param kinds events of these kinds only. A page may then be short: {@code next} says whether there is more.
     */
    @GET
    @Path("record")
    @Needs(Action.VIEW)
    public RecordPageForm record(
            @QueryParam("after") @Nullable String after,
            @QueryParam("before") @Nullable Long before,
            @QueryParam("kind") List<String> kinds,
            @QueryParam("limit") @DefaultValue("100") int limit) {
        if (after != null && before != null) {
            throw Problems.wrong("before", "a page begins `after` an event or ends `before` one, not both");
        }
        int most = kinds.isEmpty() ? Paging.limit(limit) : Math.max(Paging.limit(limit), LOOKED_THROUGH);
        List<RecordedEvent> read = before == null
                ? gateway.engine().record().after(after == null ? 0 : position(after), most)
                : gateway.engine().record().before(before, most);
        StationView view = gateway.present().view();
        List<EventForm> forms = read.stream()
                .filter(event -> kinds.isEmpty() || kinds.contains(Forms.kind(event)))
                .map(event -> gateway.forms().event(event, view))
                .filter(listeners::maySee)
                .toList();
        Long next = read.size() == most ? Long.valueOf(read.get(most - 1).position()) : null;
        return new RecordPageForm(RecordPageForm.FORM, gateway.forms().station(), forms, next);
    }

    private long position(String after) {
        if (after.matches("[0-9]{1,18}")) {
            return Long.parseLong(after);
        }
        RecordedEvent event;
        try {
            event = gateway.engine().record().find(EventId.parse(after));
        } catch (IllegalArgumentException e) {
            throw Problems.wrong("after", "`after` is the position or the id of an event, not `" + after + "`");
        }
        if (event == null) {
            throw Problems.missing("the event record has no event `" + after + "`");
        }
        return event.position();
    }

    /** Answers 503 while the gateway itself does not work; a silent device or a link that is down is told, and no fault of its own. */
    @GET
    @Path("health")
    @Needs(Action.VIEW)
    public Response health() {
        StationView view = gateway.present().committedView();
        WriterStatus writer = gateway.engine().writer().status();
        long age = (gateway.clock().now().monotonicNanos() - view.at().monotonicNanos()) / 1_000_000;
        List<DeviceStatus> devices = gateway.polling();
        List<ServerStatus> servers = gateway.following();
        long answering = devices.stream()
                        .filter(d -> d.condition() == DeviceStatus.Condition.ANSWERING)
                        .count()
                + servers.stream()
                        .filter(s -> s.condition() == ServerStatus.Condition.ANSWERING)
                        .count();
        List<HealthForm.LinkForm> links =
                gateway.engine().links().stream().map(StationResource::link).toList();
        boolean works = !writer.fromMemory() && age < 60_000;
        HealthForm health = new HealthForm(
                HealthForm.FORM,
                gateway.forms().station(),
                works,
                !writer.fromMemory(),
                age,
                (int) answering,
                devices.size() + servers.size(),
                links);
        return Response.status(works ? 200 : 503).entity(health).build();
    }

    private static HealthForm.LinkForm link(LinkState state) {
        return new HealthForm.LinkForm(
                state.link(), Written.name(state.condition()), state.waiting(), state.skipped(), state.lastError());
    }

    @GET
    @Path("schemas")
    @Needs(Action.VIEW)
    public SchemasForm schemas() {
        return new SchemasForm(
                SchemasForm.FORM,
                PublishedSchemas.names().stream()
                        .map(name -> "/api/v1/schemas/" + name)
                        .toList());
    }

    /** The JSON Schema of a form. */
    @GET
    @Path("schemas/{name: [a-z0-9.-]+\\.schema\\.json}")
    @Produces("application/schema+json")
    @Needs(Action.VIEW)
    public byte[] schema(@PathParam("name") String name) {
        return PublishedSchemas.text(name).orElseThrow(() -> Problems.missing("there is no schema `" + name + "`"));
    }
}
